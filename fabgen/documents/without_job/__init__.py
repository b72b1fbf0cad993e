"""Documents made without a job file: one cope, one bend, a bend test strip, the printer test page."""
