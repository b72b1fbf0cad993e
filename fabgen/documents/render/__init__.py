"""Pictures and pages: the small drawing layer, its PDF and SVG, paper, text."""
