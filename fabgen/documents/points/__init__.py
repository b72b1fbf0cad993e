"""Papers about points in space: the check table and floor layout of a frame, and how a mechanism moves."""
