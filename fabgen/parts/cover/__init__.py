"""Sheet covers: one module a group of shapes."""
