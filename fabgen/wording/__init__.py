"""How figures, sizes and faults are put into words, the same everywhere."""
