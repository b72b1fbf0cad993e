"""What the contacts of a job tell: what lies in what, and what hangs in the air."""
