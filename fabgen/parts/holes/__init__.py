"""Holes in tubes: for branches, passing tubes and bolts, and vents; what sits in a hole, and what lands on a tube."""
