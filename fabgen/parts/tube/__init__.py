"""Tubes: route, ends, holes, welds, saw set-up."""
