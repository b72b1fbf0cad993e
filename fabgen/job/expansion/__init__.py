"""What stands for many parts, as the parts that it becomes: whole frames, and parts made again."""
