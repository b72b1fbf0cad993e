"""Folding sheet and bending bar: radii, allowances, tools and forces, each with its source."""
