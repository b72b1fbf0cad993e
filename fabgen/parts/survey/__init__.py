"""What measuring does to parts: tolerances, changes, distances to check."""
