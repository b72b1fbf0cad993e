"""Where placed parts go, with a tape: set-out.pdf, and the rows of other papers that say it."""
