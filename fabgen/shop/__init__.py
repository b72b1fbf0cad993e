"""Shop data and rules, each figure with its source."""
