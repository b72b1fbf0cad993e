"""Views of flat, folded and rolled sheet parts."""
