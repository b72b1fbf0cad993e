"""Rigid bodies that move, the room they need, and struts under load."""
