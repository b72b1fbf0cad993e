"""What is not sheet in space: lengths of section and the rod ends of links as bodies, and where an end is cut."""
