"""How grave a finding is: three levels, each with its word on paper, its meaning and its order."""

from __future__ import annotations

from enum import StrEnum


class Level(StrEnum):
    """A finding's level, the gravest first; its value is what job.json says."""

    STOP = "stop"
    WARN = "warn"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the gravest."""
        return list(Level).index(self)

    @property
    def word(self) -> str:
        """What stands before a finding on paper and in a terminal."""
        return _WORDS[self][0]

    @property
    def heading(self) -> str:
        """The heading of a list of such findings."""
        return _WORDS[self][1]

    @property
    def meaning(self) -> str:
        """What it means before cutting."""
        return _WORDS[self][2]


_WORDS = {
    Level.STOP: ("STOP", "Stop: put right before cutting", "it cannot be made as drawn"),
    Level.WARN: ("look", "Look at", "look at it before you cut"),
    Level.NOTE: ("note", "Notes", "worth knowing"),
}
