"""Labels to stick on pieces."""
