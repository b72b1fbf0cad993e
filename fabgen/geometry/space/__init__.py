"""Frames, bodies and meshes in space."""
