"""Views of tubes and link rods."""
