"""Bent round bar."""
