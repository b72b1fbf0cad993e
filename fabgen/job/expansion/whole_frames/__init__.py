"""Frames by their outside sizes: from a [[frame]] to the tubes or profiles that it becomes."""
