"""Stock on hand: what a job takes from it, and what it puts back."""
