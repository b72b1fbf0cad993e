"""Checks of how the ends of tubes are cut and what they meet."""
