"""A job in space as drawings and the page show it: bodies, places, visible lines."""
