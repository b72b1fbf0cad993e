"""Checks of what moves, and of the balls it moves on."""
