"""Checks of bolts: their stacks, where they stand, and what lies on their holes."""
