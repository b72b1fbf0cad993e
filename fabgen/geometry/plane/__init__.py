"""Outlines in the plane, of lines and true arcs."""
