"""Welds of pieces: what is welded to what, runs that are alike, tabs in slits."""
