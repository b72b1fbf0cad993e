"""The drawing of a profile."""
