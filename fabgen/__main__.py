"""`python -m fabgen`."""

from fabgen.cli import main

main()
