"""What is not sheet as bodies: lengths of section and the rod ends of links."""
