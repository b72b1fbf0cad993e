"""Left and right hand of sheet parts: whether one is its own mirror image, and how it then lies for it."""
