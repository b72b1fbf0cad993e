"""job.json."""
