"""The bench: a job changed from a page, each change a small edit of its text file."""
