"""Checks of what was measured."""
