"""Folded brackets: one module a group of shapes."""
