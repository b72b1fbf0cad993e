"""Profiles as they are sold: angle, flat bar, channel, T, round, square and hexagon bar, by their trade names."""
