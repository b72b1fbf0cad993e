"""What keys of a job file take, in words: for errors, `fabgen keys` and the manual."""
