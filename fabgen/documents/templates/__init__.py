"""True-size templates to print."""
