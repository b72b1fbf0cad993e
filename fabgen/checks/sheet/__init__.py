"""Checks of flat, folded and rolled sheet parts."""
