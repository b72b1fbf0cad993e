"""Checks of welds: can a fillet serve all the way round a coped or mitred tube end, and is one that the job
gives no heavier than what it joins?

What is looked at is the angle at which the two outside surfaces meet along the run, and a given fillet's
throat beside the thickness of the parts.  Strength, access of the torch and the welder's qualification are not.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from fabgen.checks.finding import Finding
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.weld_families import FILLET_LEAST, WeldFamily, weld_families
from fabgen.wording.figures import mm
from fabgen.wording.levels import Level

SOURCE = "EN 1993-1-8:2005, 4.3.2.1(1) to (3), clauses from memory"
TIGHT = math.radians(30.0)
TIGHT_SOURCE = "AWS D1.1, tubular T-, Y- and K-connections (from memory, check your edition)"
WHERE = "which joints, and how far: Welds at the tube joints, in cut-list.pdf"


def check_welds(pieces: Sequence[Piece], limit: float = FILLET_LEAST) -> list[Finding]:
    """A note for each tube with a joint whose surfaces meet at under `limit` rad, at under 30 degrees, or at
    over 120 degrees somewhere along the run.

    The words are the same for all tubes, so that they are told once; the table of the cut list has
    the figures of each kind of joint.  Then what is to be told of the welds given.
    """
    families = weld_families(pieces)
    return [
        *_told(families, "tight-heel", lambda family: family.share_under(limit) > 0.0, _tight(limit), SOURCE),
        *_told(families, "tight-root", lambda family: family.share_under(TIGHT) > 0.0, _ROOT, TIGHT_SOURCE),
        *_told(families, "open-side", _opens, _OPEN, SOURCE),
        *check_fillets(pieces),
    ]


def check_fillets(pieces: Sequence[Piece]) -> Iterator[Finding]:
    """A fillet is no thicker in the throat than the thinner of the parts it joins; a leg is sqrt 2 of the throat."""
    thick = {piece.mark: _thickness(piece) for piece in pieces}
    for piece in pieces:
        for weld in piece.welds:
            throat = weld.throat if weld.leg is None else weld.leg / math.sqrt(2.0)
            if throat is None or weld.type != "fillet":
                continue
            mark = min((part for part in weld.parts if part in thick), key=lambda part: thick[part])
            if throat <= thick[mark] + 0.005:
                continue
            size = (
                f"a throat of {mm(throat)}" if weld.leg is None else f"a leg of {mm(weld.leg)}, so {mm(throat)} throat"
            )
            text = (
                f"its fillet on {' and '.join(weld.parts[1:])} has {size}, and {mark} is only {mm(thick[mark], 2)} "
                "thick: no stronger for it, with more heat and pull, and the thin part burns through; about 0.7 of "
                f"the thinner part is usual, {mm(0.7 * thick[mark])}"
            )
            yield Finding(Level.WARN, (piece.mark,), "heavy-fillet", text, "common practice, no source")


def _thickness(piece: Piece) -> float:
    """Of a part's metal, mm: sheet, the wall of tube, or the smaller size of solid bar."""
    if isinstance(piece.shape, FlatPart):
        return piece.shape.thickness
    section = piece.shape.section
    return min(section.width, section.depth) if section.is_solid else section.wall


def _told(
    families: Sequence[WeldFamily], rule: str, concerned: Callable[[WeldFamily], bool], text: str, source: str
) -> Iterator[Finding]:
    """The finding for each tube of the families concerned, once a tube."""
    marks = dict.fromkeys(member.mark for family in families if concerned(family) for member in family.members)
    return (Finding(Level.NOTE, (mark,), rule, text, source) for mark in marks)


def _tight(limit: float) -> str:
    """A fillet weld joins surfaces at 60 to 120 degrees; at less it does not reach the root as it should."""
    return (
        f"a joint of it closes to under {math.degrees(limit):.0f}°, round its heel or inside a mitre: a fillet does "
        "not reach the root there, so bevel the edge and count the weld as a partial penetration butt weld "
        f"({WHERE})"
    )


_ROOT = f"a joint of it closes to under 30°: do not count on fusion at its root without a trial piece ({WHERE})"

_OPEN = (
    "a joint of it opens to over 120°, at its sides or its toe: a fillet has little throat there and its strength is a "
    f"matter of tests, so weld that part as a butt weld ({WHERE})"
)


def _opens(family: WeldFamily) -> bool:
    """Whether its surfaces open too far for a fillet; the outside of a mitre is no place for one at all."""
    return not family.weld.shared and family.share_over() > 0.0
