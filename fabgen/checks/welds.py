"""Checks of the welds round coped and mitred tube ends: can a fillet serve all the way round?

What is looked at is the angle at which the two outside surfaces meet along the run.  Throat,
leg, strength, access of the torch and the welder's qualification are not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fabgen.checks.finding import Finding
from fabgen.parts.piece import Piece
from fabgen.parts.weld_families import WeldFamily, weld_families
from fabgen.parts.welds import FILLET_GREATEST, FILLET_LEAST

SOURCE = "EN 1993-1-8:2005, 4.3.2.1(1) to (3), clauses from memory"
TIGHT = math.radians(30.0)
TIGHT_SOURCE = f"{SOURCE}; under 30° AWS D1.1, tubular T-, Y- and K-connections (from memory, check your edition)"


def check_welds(pieces: Sequence[Piece], limit: float = FILLET_LEAST) -> list[Finding]:
    """A note for each tube and kind of joint whose surfaces meet its mains' at under `limit` rad, or at over
    120 degrees, somewhere along the run.  All tubes with one kind of joint are told the same."""
    found: list[Finding] = []
    tubes = {piece.mark for piece in pieces if piece.kind == "tube"}
    for family in weld_families(pieces):
        words = [*_tight(family, limit), *_open(family)]
        if words:
            text = f"{family.joint}: {'; '.join(words)} (lengths: Welds at the tube joints)"
            source = TIGHT_SOURCE if family.share_under(TIGHT) else SOURCE
            marks = dict.fromkeys(member.mark for member in family.members if member.mark in tubes)
            found += [Finding("note", mark, "weld-angle", text, source) for mark in marks]
    return found


def _tight(family: WeldFamily, limit: float) -> Iterator[str]:
    """Where the surfaces meet at under 60 degrees a fillet does not reach the root as it should."""
    share, run = family.share_under(limit), family.weld.run
    if not share:
        return
    place = "at the inside of the corner" if family.weld.shared else "round the heel"
    yield (
        f"{place} the surfaces close to {math.degrees(run.least):.0f}°, and over {_percent(share)} of the joint to "
        f"under {math.degrees(limit):.0f}°: a fillet does not reach the root there, so bevel the edge and count "
        "the weld as a partial penetration butt weld"
    )
    if under := family.share_under(TIGHT):
        yield f"over {_percent(under)} it is under 30°: do not count on fusion at the root without a trial piece"


def _open(family: WeldFamily) -> Iterator[str]:
    """Where they meet at over 120 degrees a fillet's strength is found by testing only.

    The outside of a mitred corner is no place for a fillet at all: nothing is said of it.
    """
    share = 0.0 if family.weld.shared else family.share_over()
    if share:
        yield (
            f"at {family.open_side} they open to {math.degrees(family.weld.run.greatest):.0f}°, and over "
            f"{_percent(share)} of the joint to over {math.degrees(FILLET_GREATEST):.0f}°: weld that as a butt weld, a "
            "fillet's strength there is a matter of tests"
        )


def _percent(share: float) -> str:
    return f"{max(1, round(100.0 * share))} %"
