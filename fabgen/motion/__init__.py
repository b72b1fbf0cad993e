"""How a job moves: the linkage, its travel, and what must stay clear."""
