"""What to measure on the jig: check table, floor layout."""
