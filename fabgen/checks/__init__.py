"""What an old hand would look at before the first cut: one rule a function."""
