"""Profiles: angle, channel, T, flat and solid bar as cross-sections, and what is cut of their ends."""
