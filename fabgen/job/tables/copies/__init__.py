"""Tables that make parts again."""
