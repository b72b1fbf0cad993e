"""Hollow members: what lies over their ends and holes, which ends stay open, and which members are closed.

Hollow sections are tubes, whatever their shape; profiles (angle, channel, T, bar) are open ones, whose ends nothing
closes, and what two of them enclose is not searched for.
"""
