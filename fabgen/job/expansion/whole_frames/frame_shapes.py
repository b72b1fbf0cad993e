"""The centre lines of whole frames by their outside sizes, in coordinates of their own.

x runs along the frame's length, y to the left, z up; its outside corner is the origin.  Of a section the first
figure stands upright, and lies along the frame where its tube stands upright: `up` and `side` of a `Skin`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from fabgen.job.errors import InputError
from fabgen.job.tables.frame_tables import FrameGiven, rise
from fabgen.shop.section import Section
from fabgen.wording.sentence import lengths, mm, sentence

Triple = tuple[float, float, float]
ALONG, UP = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
LEVEL_FOOT = {"plane": {"at": (0.0, 0.0, 0.0), "normal": UP}}
"""An end cut level at the floor; its plane is in the frame's coordinates."""


@dataclass(frozen=True)
class Member:
    """One tube of a frame: its own mark, its ends, where the first figure of its section looks, and other keys.

    `stands`: whether it is a leg that stands on the floor at its start.
    """

    mark: str
    start: Triple
    finish: Triple
    top: Triple
    section: Section
    keys: dict[str, Any] = field(default_factory=dict)
    stands: bool = False


def members(frame: FrameGiven) -> list[Member]:
    """The tubes of a frame in the order they are fitted.

    Raises:
        InputError: its sizes leave no room for its sections.
    """
    made = list(_SHAPES[frame.shape](frame))
    for member in made:
        if math.dist(member.start, member.finish) < member.section.reach:
            what = f"these sizes leave no room for its tube {member.mark}"
            raise InputError(what, "larger outside sizes, or a smaller section", key=("size",))
    return made


def _between(low: float, high: float, count: int) -> list[float]:
    """So many places evenly between two, those themselves left out."""
    return [low + (high - low) * (i + 1) / (count + 1) for i in range(count)]


def _halves(section: Section) -> tuple[float, float]:
    """Half of its first figure, and half of its second, mm."""
    return section.width / 2.0, section.depth / 2.0


# -- box ----------------------------------------------------------------------------------
def _box(frame: FrameGiven) -> Iterator[Member]:
    length, width, height = frame.size
    section = frame.tube
    lower = frame.inner_tube or section if frame.shelf is not None else section
    up, side = _halves(section)
    low_up, low_side = _halves(lower)
    low = low_up + rise(frame.foot) if frame.shelf is None else frame.shelf - low_up
    # With plates under them the posts go down to those, past the rails.
    top, foot = height - up, 0.0 if frame.shelf is not None or frame.foot is not None else low
    if low > top - up - low_up:
        raise InputError("the shelf is as high as the box", "a lower `shelf`", key=("shelf",))
    corners = [(x, y) for y in (side, width - side) for x in (up, length - up)]
    corners[2], corners[3] = corners[3], corners[2]  # round the box, so that a post follows its neighbour
    for number, (x, y) in enumerate(corners, 1):
        yield Member(f"P{number}", (x, y, foot), (x, y, top), ALONG, section, stands=True)
    for name, z, rail, across in (("B", low, lower, low_side), ("T", top, section, side)):
        # Outsides are flush: a rail lies half its own breadth within the outside size.
        sides = (
            ((up, across, z), (length - up, across, z)),
            ((length - across, side, z), (length - across, width - side, z)),
            ((length - up, width - across, z), (up, width - across, z)),
            ((across, width - side, z), (across, side, z)),
        )
        for number, (start, finish) in enumerate(sides, 1):
            yield Member(f"{name}{number}", start, finish, UP, rail)


# -- lying frames -------------------------------------------------------------------------------
def _ladder(frame: FrameGiven) -> Iterator[Member]:
    length, width = frame.size
    rung = frame.inner_tube or frame.tube
    up, side = _halves(frame.tube)
    half = rung.depth / 2.0
    for number, y in enumerate((side, width - side), 1):
        yield Member(f"R{number}", (0.0, y, up), (length, y, up), UP, frame.tube)
    if frame.stations is not None:
        stations: Sequence[float] = frame.stations
        if bad := next((s for s in stations if not half - 1e-6 <= s <= length - half + 1e-6), None):
            what = sentence("the rung at ", mm(bad, 3), " would not lie between the ends of the ladder")
            accepted = sentence("stations from ", lengths((half, length - half), " to ", 3))
            raise InputError(what, accepted, key=("stations",))
    else:
        count = frame.bars or 0
        stations = [half, *_between(half, length - half, count - 2), length - half][: max(count, 0)]
    for number, x in enumerate(stations, 1):
        yield Member(f"S{number}", (x, side, up), (x, width - side, up), UP, rung)


def _rack(frame: FrameGiven) -> Iterator[Member]:
    length, width = frame.size
    bar = frame.inner_tube or frame.tube
    up, side = _halves(frame.tube)
    for number, y in enumerate((side, width - side), 1):
        yield Member(f"R{number}", (side, y, up), (length - side, y, up), UP, frame.tube)
    for number, x in enumerate((side, length - side), 1):
        yield Member(f"E{number}", (x, side, up), (x, width - side, up), UP, frame.tube)
    for number, x in enumerate(_between(side, length - side, frame.bars or 0), 1):
        yield Member(f"S{number}", (x, side, up), (x, width - side, up), UP, bar)


# -- standing frames ----------------------------------------------------------------------------
def _panel(frame: FrameGiven) -> Iterator[Member]:
    length, height = frame.size
    inner = frame.inner_tube or frame.tube
    up, side = _halves(frame.tube)
    low, top = up + rise(frame.foot), height - up
    for number, x in enumerate((up, length - up), 1):
        foot = low if frame.foot is None else 0.0
        yield Member(f"P{number}", (x, side, foot), (x, side, top), ALONG, frame.tube, stands=True)
    for name, z in (("B1", low), ("T1", top)):
        yield Member(name, (up, side, z), (length - up, side, z), UP, frame.tube)
    for number, x in enumerate(_between(up, length - up, frame.bars or 0), 1):
        yield Member(f"S{number}", (x, side, low), (x, side, top), ALONG, inner)
    diagonals = [((up, side, low), (length - up, side, top)), ((up, side, top), (length - up, side, low))]
    for number, (start, finish) in enumerate(diagonals[: ("", "one", "x").index(frame.brace or "")], 1):
        yield Member(f"X{number}", start, finish, _across_in_plane(start, finish), inner)


def _truss(frame: FrameGiven) -> Iterator[Member]:
    length, height = frame.size
    web = frame.inner_tube or frame.tube
    up, side = _halves(frame.tube)
    half = web.width / 2.0
    low, top = up, height - up
    for name, z in (("B1", low), ("T1", top)):
        # From post to post, where they run on to carry what ends there.
        yield Member(name, (half, side, z), (length - half, side, z), UP, frame.tube)
    bays = frame.bays or 1
    stations = [half, *_between(half, length - half, bays - 1), length - half]
    for number, x in enumerate(stations, 1):
        yield Member(f"S{number}", (x, side, low), (x, side, top), ALONG, web)
    for number, (one, other) in enumerate(pairwise(stations), 1):
        # They fall toward the middle, which puts them in tension under a load from above.
        falls = number <= (bays + 1) // 2
        start, finish = (one, side, top if falls else low), (other, side, low if falls else top)
        yield Member(f"X{number}", start, finish, _across_in_plane(start, finish), web)


def _trestle(frame: FrameGiven) -> Iterator[Member]:
    length, spread, height = frame.size
    leg = frame.inner_tube or frame.tube
    up, _ = _halves(frame.tube)
    middle, ridge = spread / 2.0, height - up
    yield Member("R1", (0.0, middle, ridge), (length, middle, ridge), UP, frame.tube)
    across, half = _halves(leg)
    foot = _leaning_foot(middle, ridge, across)
    inset = length / 8.0 if frame.inset is None else frame.inset + half
    places = [(x, y) for x in (inset, length - inset) for y in (foot, spread - foot)]
    for number, (x, y) in enumerate(places, 1):
        start, finish = (x, y, 0.0), (x, middle, ridge)
        outward = (0.0, math.copysign(ridge, y - middle), abs(middle - y))
        yield Member(f"L{number}", start, finish, outward, leg, {"start": LEVEL_FOOT}, stands=True)
    if frame.shelf is not None:
        z = frame.shelf - up
        if not 0.0 < z < ridge:
            raise InputError("the shelf is as high as the trestle", "a lower `shelf`", key=("shelf",))
        lean = foot + (middle - foot) * z / ridge
        for number, x in enumerate((inset, length - inset), 1):
            yield Member(f"S{number}", (x, lean, z), (x, spread - lean, z), UP, leg)


def _leaning_foot(middle: float, ridge: float, half: float) -> float:
    """Where the centre line of a leg that leans to the ridge meets the floor, for its outside to meet it at 0, mm."""
    foot = half
    for _ in range(50):  # the leaner the leg, the wider its cut at the floor
        foot = half * math.hypot(ridge, middle - foot) / ridge
    return foot


def _across_in_plane(start: Triple, finish: Triple) -> Triple:
    """Square to a diagonal, in the plane of length and height, upward."""
    along, rise = finish[0] - start[0], finish[2] - start[2]
    return (-rise, 0.0, along)


_SHAPES: dict[str, Callable[[FrameGiven], Iterator[Member]]] = {
    "box": _box,
    "ladder": _ladder,
    "panel": _panel,
    "trestle": _trestle,
    "truss": _truss,
    "rack": _rack,
}
