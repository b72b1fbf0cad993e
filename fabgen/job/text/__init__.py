"""The text of a job file: its lines and keys, its syntax, and small edits that keep the rest."""
