"""Points of a job: as given, as measured, and as built."""
