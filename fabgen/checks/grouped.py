"""Like cases in one finding: each named with its figure, the rest counted."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.wording.sentence import Part, Sentence, joined, sentence

NAMED = 12
"""So many cases in one finding are named one by one."""
FEW = 8
"""So many where each takes more words."""


def named(cases: Sequence[Part], joint: str = ", ", most: int = NAMED) -> Sentence:
    """'T1 start 12 mm, T2 start 9 mm and 3 more'."""
    more = f" and {len(cases) - most} more" if len(cases) > most else ""
    return sentence(joined(joint, cases[:most]), more)
