"""Profiles: angle, channel, T and flat bar from point to point, their ends sawn and notched."""
