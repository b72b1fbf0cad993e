"""Bent tubes and bend tests."""
