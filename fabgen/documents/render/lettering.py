"""The four sizes of text on lists, sheets and templates.

A size of lettering is the height of its capitals; 2.5, 3.5, 5 and 7 mm are steps of ISO 3098-1 (from memory, check
against your copy).  None is smaller: text that finds no room wraps or is moved.
"""

from __future__ import annotations

CAPITAL = 1493 / 2048
"""Height of a capital of the faces that travel with fabgen, as a share of their size: that of their letter H over the
units of their em."""

LEAST_CAPITAL = 2.5


def _size(capital: float) -> float:
    """The size of the face, mm, whose capitals are `capital` mm high."""
    return capital / CAPITAL


TEXT, HEADING, TITLE, LARGEST = _size(LEAST_CAPITAL), _size(3.5), _size(5.0), _size(7.0)
"""Sizes of the face, mm, for capitals of 2.5, 3.5, 5 and 7 mm."""
