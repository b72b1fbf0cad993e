"""Checks of tubes, their ends and their joints."""
