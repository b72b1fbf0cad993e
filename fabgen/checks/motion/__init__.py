"""Checks of what moves."""
