"""Welds of tube joints that are alike, taken together: what is said of one holds for all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.parts.piece import JointWeld, Piece, WorkedEnd, length_parts, made_here, profile_parts, tube_parts
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

FILLET_LEAST, FILLET_GREATEST = math.radians(60.0), math.radians(120.0)
"""A fillet weld joins faces at 60 to 120 degrees; at less it counts as a partial penetration butt
weld, at more its strength is to be found by testing: EN 1993-1-8:2005, 4.3.2.1(1) to (3), clause
from memory."""

_EDGE = math.radians(0.05)
"""A joint at a limit itself lies within it."""


Main = Section | ProfileSection | float
"""What a tube is welded to: a tube's or a profile's section, or a plate's thickness, mm."""


@dataclass(frozen=True, eq=False)
class Member:
    """One weld of a family: the tube's mark, its end, and the run."""

    mark: str
    end: WorkedEnd
    weld: JointWeld

    @property
    def name(self) -> str:
        """'T3 start on T1', 'T4 finish with T5', 'T6 start butted' of a ring."""
        if self.weld.onto == self.mark:
            return f"{self.mark} {self.end.at} butted"
        return f"{self.mark} {self.end.at} {'with' if self.weld.shared else 'on'} {self.weld.onto}"


@dataclass(frozen=True, eq=False)
class WeldFamily:
    """Runs between like sections at one angle, of one length and one range of angles along them.

    `angle` rad: between the tubes' axes, of a mitre, or on a plate, between a tube and the plane of the cut.
    `main`: of a tube or profile its section, of a plate its thickness, mm.
    """

    branch: Section
    main: Main
    angle: float
    members: tuple[Member, ...]

    @property
    def first(self) -> Member:
        return self.members[0]

    @property
    def weld(self) -> JointWeld:
        return self.members[0].weld

    def joint(self, units: str) -> str:
        """'33.7 x 2.6 on 48.3 x 3.2, 60°', in the units of the job."""
        branch = self.branch.words(units)
        if self.weld.onto == self.first.mark:
            return f"{branch}, its two ends to a ring"
        main = self.main
        if isinstance(main, Section | ProfileSection):
            onto = main.words(units)
        else:
            onto = sentence(mm(main, 2), " plate").words(units)
        if self.weld.shared:
            return f"{branch} mitred with {onto}, {math.degrees(2.0 * self.angle):.0f}° between them"
        if self.weld.in_slit:
            return f"{branch} slit over {onto}"
        return f"{branch} on {onto}, {math.degrees(self.angle):.0f}°"

    def share_under(self, limit: float = FILLET_LEAST) -> float:
        """Share of the run along which the surfaces meet at under `limit` rad."""
        return self._share(self.weld.run.length_under(limit)) if self.weld.run.least < limit - _EDGE else 0.0

    def share_over(self, limit: float = FILLET_GREATEST) -> float:
        return self._share(self.weld.run.length_over(limit)) if self.weld.run.greatest > limit + _EDGE else 0.0

    def _share(self, length: float) -> float:
        return length / self.weld.length if self.weld.length > 0.0 else 0.0

    @property
    def open_side(self) -> str:
        """Where the surfaces meet at the greatest angle: 'at the toe', 'at the sides', …"""
        angle = self.weld.run.angle
        if self.weld.shared:
            return "outside the corner"
        if len(self.first.end.seats) > 1:
            return "on the wider side"  # its heel is that of the cut on all of its mains
        phi = float(self.first.end.line.phi[int(np.nanargmax(angle))])
        return f"at {side_words(self.first.end, phi)}"


def side_words(end: WorkedEnd, phi: float) -> str:
    """'the heel', 'the toe', 'the sides', or 'the places in line with the main' of an end that has no heel."""
    off = abs(math.remainder(phi, 2.0 * math.pi))
    if math.pi / 4.0 < off < 0.75 * math.pi:
        return "the sides"
    if not end.has_heel:
        return "the places in line with the main"
    return "the heel" if off < math.pi / 2.0 else "the toe"


def weld_families(pieces: Sequence[Piece]) -> list[WeldFamily]:
    """All welds of the tube joints, in the order of their first."""
    parts = tube_parts(pieces)
    mains: dict[str, Main] = {piece.mark: flat.thickness for piece in pieces if (flat := piece.flat_part) is not None}
    mains |= {piece.mark: profile.section for piece, profile in profile_parts(pieces)}
    found: dict[tuple[object, ...], list[Member]] = {}
    kinds: dict[tuple[object, ...], tuple[Section, Main, float]] = {}
    for mark, part in tube_parts(made_here(pieces)).items():
        for end in part.ends:
            for weld in end.welds:
                main = parts.get(weld.onto)
                onto = main.section if main is not None else mains[weld.onto]
                kind = (part.section, onto, _angle(end, weld))
                is_straight = main is None or main.path is None
                key = (
                    *kind[:2],
                    weld.shared,
                    weld.in_slit,
                    weld.onto == mark,
                    round(math.degrees(kind[2])),
                    *_figures(weld, is_straight),
                )
                found.setdefault(key, []).append(Member(mark, end, weld))
                kinds.setdefault(key, kind)
    return [WeldFamily(*kinds[key], tuple(members)) for key, members in found.items()]


def total_weld_length(pieces: Sequence[Piece]) -> float:
    """Of the tube joints of a whole job, mm, every piece as often as it is made."""
    own = length_parts(made_here(pieces))
    return sum(piece.quantity * sum(weld.share for weld in part.welds) for piece, part in own)


def _figures(weld: JointWeld, is_straight: bool) -> tuple[object, ...]:
    run = weld.run
    least, greatest = (None if math.isnan(a) else round(math.degrees(a)) for a in (run.least, run.greatest))
    return (round(weld.length), least, greatest, is_straight)


def _angle(end: WorkedEnd, weld: JointWeld) -> float:
    return next((seat.angle for seat in end.seats if seat.onto == weld.onto), math.pi / 2.0)
