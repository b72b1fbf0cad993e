"""Part families: a definition in, a piece out."""
