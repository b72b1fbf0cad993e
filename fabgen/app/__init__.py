"""What commands do, between the command line and the rooms below: a job worked through, the page, the settings."""
