"""What all sheet parts share, and the flat plate."""
