"""Hollow members: what lies over their ends and holes, which ends stay open, and which members are closed."""
