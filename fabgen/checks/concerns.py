"""Concerns that a family found while it built a part, passed on as findings under a rule's name."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fabgen.checks.checked import Checking
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, Rule, found
from fabgen.wording.levels import Level


def concerns(of: Checking[Any], name: str) -> Iterator[Found]:
    """The concerns of a piece that bear a rule's name."""
    for each in of.piece.concerns:
        if each.rule == name:
            yield found(each.text, level=each.level, source=each.source)


def _concern_rule(name: str, about: str, *levels: Level, source: str = PRACTICE) -> Rule[Checking[Any]]:
    return Rule(name, levels or (Level.WARN,), source, about, lambda of: concerns(of, name))


_BAARDA = "W. Baarda, 1968, data snooping, from memory"
_RUNS = "Where only ends of tubes meet, the one that the others sit on runs on, flush with them: a note of how far."
_TAPED = "The taped sides and diagonals of a panel agree, and are enough to show a slip of the tape."

OF_TUBES = (_concern_rule("runs-on", _RUNS, Level.NOTE),)
OF_PROFILES = (
    _concern_rule("profile-mitre", "Two mitred profiles lie so that their cut faces meet all round.", Level.STOP),
)
OF_SHEET = (
    _concern_rule("gusset-angle", "A gusset between two tubes of the job has the angle at which these stand."),
    _concern_rule("mark-left-off", "There is room for the text to be etched."),
    _concern_rule("taped", _TAPED, Level.WARN, Level.STOP, Level.NOTE, source=_BAARDA),
    _concern_rule("bead", "Beads keep twice the thickness from edges, holes, bends and one another."),
    _concern_rule("twist", "A panel by points in space is flat, or folded where it is not.", source=FROM_JOB),
)
