"""A tube end unrolled: its line, its marks, its ordinates."""
