"""The page of a job: one HTML file with the parts in space, their patterns, checks and the cut list."""
