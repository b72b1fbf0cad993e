"""Holes in tubes: for branches and tubes that pass, those that the job gives, vents; and what lands on a tube."""
