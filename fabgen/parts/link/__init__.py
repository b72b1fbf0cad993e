"""Link rods: the rod, its ends, what it bears."""
