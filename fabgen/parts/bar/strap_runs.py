"""How a strap runs: its straights and bends in order, round something round or rectangular.

Round: with mid-thickness radii R of the arc and r of the ears' bends, whose middles are R + r apart, half the opening
of the arc is the angle whose sine is (gap/2 + t/2 + r) / (R + r), and an ear turns by a right angle less that.

Rectangular: four corners of one inside radius, or two of a half or a saddle, with straights between.  Where that radius
is greater than that of the thing's own corner with the rubber on it, the strap touches the corners and stands off the
faces: with e the difference of the two radii, by e (1 - 1 / sqrt(2)).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Centreline, in_plane
from fabgen.job.errors import listed, nearest
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.sheet.bend_data import inside_radius
from fabgen.parts.sheet.request import SheetRequest
from fabgen.shop.bending.press_brake import lower_tool
from fabgen.shop.threaded.clearance_holes import UnknownBoltError, clearance

SHARE, LEAST_GAP = 0.04, 3.0
"""Tightening closes this share of the diameter where there is no rubber, mm at least (common practice, no source)."""
FIFTH = 0.2
"""Rubber is squeezed by this share of its thickness (common practice, no source)."""
JOGGLE = math.radians(30.0)
"""A joggle's two bends, where its step leaves room for them."""
OFF = 1.0 - math.sqrt(0.5)
"""How far a rounder corner stands off the faces, of the difference of the two radii: the head of this module."""
QUARTER = math.pi / 2.0

Request = SheetRequest[Strap]


@dataclass(frozen=True, slots=True)
class Thing:
    """What a strap goes round, mm: `across` it and `up`, the way the ears point; both the diameter of a round one.

    `corner`: radius of a rectangular one's corners; `mark`: of a tube of the job, or ''.
    """

    across: float
    up: float
    is_round: bool = True
    corner: float = 0.0
    mark: str = ""

    @property
    def girth(self) -> float:
        """Once round, mm."""
        if self.is_round:
            return math.pi * self.across
        return 2.0 * (self.across + self.up) - (8.0 - 2.0 * math.pi) * self.corner


@dataclass(frozen=True, slots=True)
class StrapRun:
    """Straights and bends in order, `bends` rad plus to the inside, `radii` inside, mm, and what each bend is.

    `arc`: which bend goes round something round, None round a rectangular one; of that `box`: clear inside, across and
    up, and `off`: how far it stands off the faces, mm.
    """

    legs: tuple[float, ...]
    bends: tuple[float, ...]
    radii: tuple[float, ...]
    names: tuple[str, ...]
    arc: int | None
    box: tuple[float, float] | None = None
    off: float = 0.0

    def path(self, thickness: float) -> Centreline:
        """Mid-thickness of the made strap, what it goes round with its middle at the origin, the strap's middle at the
        bottom.

        Args:
            thickness: mm.
        """
        middles = [radius + thickness / 2.0 for radius in self.radii]
        start = Frame(np.zeros(3), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, -1.0]), np.array([0.0, 1.0, 0.0]))
        rough = in_plane(start, self.legs, self.bends, middles)
        if self.arc is None:
            assert self.box is not None
            middle = rough.frame_at(rough.length / 2.0)
            heading, centre = middle.x, middle.origin + (self.box[1] + thickness) / 2.0 * middle.z
        else:
            turn = rough.turns[sum(bool(bend) for bend in self.bends[: self.arc])]
            heading, centre = turn.frame_at(turn.length / 2.0).x, turn.centre
        turned = _level(heading)
        axes = [turned @ each for each in (start.x, start.y, start.z)]
        return in_plane(Frame(-(turned @ centre), *axes), self.legs, self.bends, middles)


def _level(heading: Array) -> Array:
    """The rotation (3, 3) in the xy plane that makes a heading run along +x."""
    c, s = float(heading[0]), -float(heading[1])
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def thing_of(request: Request, first_is_up: bool = True) -> Thing:
    """What the strap goes round.

    Args:
        request: the strap's.
        first_is_up: whether the first figure of a rectangular tube lies the way the ears point.
    Raises:
        Unfit: no tube has the mark.
    """
    around = request.given.round
    if isinstance(around, list):
        return Thing(around[0], around[1], is_round=False)
    if not isinstance(around, str):
        return Thing(around, around)
    marks = {tube.mark: tube.section for tube in request.job.tube}
    if around not in marks:
        accepted = "the mark of a tube, a diameter, or [across, up]" + (f": {listed(list(marks))}" if marks else "")
        raise request.unfit("round", f'"{around}" is the mark of no tube', accepted, nearest(around, list(marks)))
    section = marks[around]
    across, up = (section.depth, section.width) if first_is_up else (section.width, section.depth)
    return Thing(across, up, section.is_round, 0.0 if section.is_round else section.corner, around)


def gap_of(given: Strap, thing: Thing) -> float:
    """What tightening closes, mm: as given, or so much as squeezes the rubber by a fifth, or by practice.

    A gap takes its length out of the way round, which rubber all round gives: 2 pi times what it is squeezed by, round
    a rectangle 8 times.

    Args:
        given: the strap's table.
        thing: what it goes round.
    """
    if given.squeeze is not None or given.shape == "arc":
        return given.squeeze or 0.0
    round_ = 2.0 * math.pi if thing.is_round else 8.0
    if given.rubber:
        return {"band": round_, "half band": round_ / 2.0, "saddle": 1.0}[given.shape] * FIFTH * given.rubber
    return 0.0 if given.shape == "saddle" else math.ceil(max(LEAST_GAP, SHARE * thing.girth / math.pi) - 1e-9)


def run_of(request: Request, thing: Thing, gap: float) -> StrapRun:
    """How it runs.

    Args:
        request: the strap's.
        thing: what it goes round.
        gap: what tightening closes, mm.
    Raises:
        Unfit: its sizes leave no room for one another.
    """
    given = request.given
    small = inside_radius(request) if given.radius is None else given.radius
    if not thing.is_round:
        return _rectangular(request, thing, gap, small)
    if given.corner is not None:
        raise request.unfit("corner", "what it goes round is round and has no corners", "leave it out")
    if given.shape == "arc":
        return _arc(request, thing, small)
    t, big, ear = request.thickness, thing.across / 2.0 + given.rubber, _ear(request, small)
    radii, names = (small, big, small), ("ear 1", "arc", "ear 2")
    if given.shape == "saddle":
        down = thing.across / 2.0 - gap - t - small
        if down < 0.0:
            raise request.unfit("radius", "the ears' bends are higher than the sides are long", "a smaller radius")
        return StrapRun((ear, down, down, ear), (-QUARTER, math.pi, -QUARTER), radii, names, 1)
    share = (gap / 2.0 + t + small) / (big + t + small)
    if share > 0.9:
        raise request.unfit("squeeze", "the ears and their bends are wider than what it goes round", "a smaller gap")
    opening = math.asin(share)
    arc = (2.0 if given.shape == "band" else 1.0) * math.pi - 2.0 * opening
    return StrapRun((ear, 0.0, 0.0, ear), (opening - QUARTER, arc, opening - QUARTER), radii, names, 1)


def _arc(request: Request, thing: Thing, small: float) -> StrapRun:
    given = request.given
    assert given.arc is not None
    big = thing.across / 2.0 + given.rubber
    if len(given.straights) != 2:
        raise request.unfit("straights", "an arc has two ends", "straights = [20, 20]")
    s0, s1 = given.straights
    if given.ends == "plain":
        return StrapRun((s0, s1), (given.arc,), (big,), ("arc",), 0)
    ear = _ear(request, small)
    if given.ends == "flanged":
        bends, radii = (-QUARTER, given.arc, -QUARTER), (small, big, small)
        return StrapRun((ear, s0, s1, ear), bends, radii, ("ear 1", "arc", "ear 2"), 1)
    turn, between = _joggle(given.joggle or request.thickness, small + request.thickness / 2.0)
    legs = (ear, between, s0, s1, between, ear)
    names = ("ear 1", "ear 2", "arc", "ear 3", "ear 4")
    return StrapRun(legs, (turn, -turn, given.arc, -turn, turn), (small, small, big, small, small), names, 2)


def _rectangular(request: Request, thing: Thing, gap: float, small: float) -> StrapRun:
    given, t = request.given, request.thickness
    if given.shape == "arc":
        raise request.unfit("shape", "what it goes round has corners", 'shape = "band", "half band" or "saddle"')
    lies = thing.corner + given.rubber
    radius = max(inside_radius(request), lies) if given.corner is None else given.corner
    off = OFF * max(0.0, radius - lies)
    wide, high = (size / 2.0 + given.rubber + off for size in (thing.across, thing.up))
    ear, bottom, beyond = _ear(request, small), 2.0 * (wide - radius), gap / 2.0 + t + small
    if given.shape == "band":
        top, side = wide - radius - beyond, 2.0 * (high - radius)
        legs: tuple[float, ...] = (ear, top, side, bottom, side, top, ear)
        corners = 4
    else:
        side = high - radius - beyond
        if given.shape == "saddle":
            side = thing.up / 2.0 - gap - t - small + high - radius
        legs, corners = (ear, side, bottom, side, ear), 2
    if min(legs) < 0.0:
        what = "the bends at its corners and ears leave no straight between them"
        raise request.unfit("corner", what, "a smaller corner or radius, or a smaller gap")
    bends = (-QUARTER, *(QUARTER,) * corners, -QUARTER)
    names = ("ear 1", *(f"corner {i + 1}" for i in range(corners)), "ear 2")
    return StrapRun(legs, bends, (small, *(radius,) * corners, small), names, None, (2.0 * wide, 2.0 * high), off)


def _ear(request: Request, radius: float) -> float:
    """Flat of an ear, mm: as given, or four times its bolt, 20 mm without one (common practice, no source), and the
    opening of its bend's lower tool at least."""
    given = request.given
    if given.ear is not None:
        return given.ear
    try:
        usual = 20.0 if given.bolt is None else 4.0 * clearance(given.bolt).nominal
    except UnknownBoltError:
        return 20.0  # reported with the hole
    return math.ceil(max(usual, lower_tool(request.material, request.thickness, radius, request.die).opening))


def _joggle(step: float, middle: float) -> tuple[float, float]:
    """Angle of a joggle's two bends, rad, and the straight between them, mm."""
    rest = step - 2.0 * middle * (1.0 - math.cos(JOGGLE))
    if rest < 0.0:
        return math.acos(1.0 - step / (2.0 * middle)), 0.0
    return JOGGLE, rest / math.sin(JOGGLE)
