"""Checks of profiles."""
