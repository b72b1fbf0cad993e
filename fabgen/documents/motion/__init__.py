"""How a job moves, on paper."""
