"""Holes of parts in space: which face one another, and the way of a bolt through them."""
