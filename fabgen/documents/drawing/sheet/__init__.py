"""The drawing sheet and what every view is made of: frame, scales, dimensions, tables."""
