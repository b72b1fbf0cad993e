"""Checks of the welds round coped and mitred tube ends: can their roots be reached?

What is looked at is the angle at which the two outside surfaces meet along the run.  Throat,
leg, strength, access of the torch and the welder's qualification are not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fabgen.checks.finding import Finding
from fabgen.parts.piece import Piece
from fabgen.parts.welds import FILLET_LEAST, JointWeld, joint_welds, tube_parts

SOURCE = "EN 1993-1-8:2005, 4.3.2.1(1) and (2), clause from memory"
TIGHT = math.radians(30.0)
TIGHT_SOURCE = f"{SOURCE}; under 30° AWS D1.1, tubular T-, Y- and K-connections (from memory, check your edition)"

_EDGE = math.radians(0.05)
"""A joint at the limit itself is no finding."""


def check_welds(pieces: Sequence[Piece], limit: float = FILLET_LEAST) -> list[Finding]:
    """A note for every tube end whose surfaces meet its mains' at under `limit` rad somewhere along the run."""
    parts = tube_parts(pieces)
    found: list[Finding] = []
    for piece in pieces:
        if piece.kind == "tube":
            welds = joint_welds(piece, parts)
            for at in ("start", "finish"):
                found += check_heel(piece.mark, [weld for weld in welds if weld.at == at], limit)
    return found


def check_heel(mark: str, welds: Sequence[JointWeld], limit: float = FILLET_LEAST) -> Iterator[Finding]:
    """Where the surfaces meet at under 60 degrees a fillet does not reach the root as it should.

    `welds` are those of one end.
    """
    sharp = [weld for weld in welds if weld.run.least < limit - _EDGE]
    if not sharp:
        return
    place = "the inside of the corner" if sharp[0].shared else "the heel"
    where = "; ".join(
        f"{'with' if weld.shared else 'on'} {weld.onto} {math.degrees(weld.run.least):.0f}° at least, "
        f"along {weld.run.length_under(limit):.0f} of {weld.length:.0f} mm"
        for weld in sharp
    )
    text = (
        f"at {place} of its {sharp[0].at} the surfaces meet at under {math.degrees(limit):.0f}° ({where}): "
        "a fillet counts there as a partial penetration butt weld"
    )
    tight = [weld for weld in sharp if weld.run.least < TIGHT - _EDGE]
    if tight:
        length = sum(weld.run.length_under(TIGHT) for weld in tight)
        text += f"; along {length:.0f} mm it is under 30°: do not count on fusion at the root without a trial piece"
    yield Finding("note", mark, "tight-heel", text, TIGHT_SOURCE if tight else SOURCE)
