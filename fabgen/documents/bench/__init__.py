"""The page on which a job is changed."""
