"""Bolts, nuts and rod ends: their sizes, their holes, and how much thread is engaged."""
