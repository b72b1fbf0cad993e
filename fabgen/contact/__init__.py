"""What touches what: everything that has a place as solid metal, held against everything near it."""
