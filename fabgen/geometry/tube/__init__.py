"""Tubes as solids, first contact with them, and what is developed from it."""
