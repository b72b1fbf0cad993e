"""Which distances to take on the jig: few enough to be taken, and such that none can be out unseen.

Chosen are, in this order: crosswise pairs of points that lie mirrored to the middle plane (their
two distances are alike on a true frame), both diagonals of every four-sided bay, tubes and profiles
end to end, link rods pin to pin, and for a point that is in none of these its distances to three others far
apart.  What no tape can reach or be held to is left out, but not the lengths of what is made; these stand also where
there are too many others.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Protocol

import numpy as np

from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.part_tables import Part
from fabgen.job.values.point import Point
from fabgen.parts.routed_profile import routed_profiles

MOST = 80
"""Rows of the table; a bigger job has the most telling ones."""
SAME = 1.0
"""Points nearer than this are one place on the jig, mm."""
_SHORTEST = 30.0
_NEAR = 12.0
"""An end farther off the line of another tube or profile than this, beside the other's size, does not meet it, mm."""


_TRIED = 6
"""So many pairs of a frame are tried crosswise to another, the farthest first."""

_Two = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance to take: between two named places, of what kind, and what it is, e.g. 'T1, point to point'; of a tube
    or profile its mark."""

    one: Point
    other: Point
    kind: str
    what: str
    mark: str = ""

    @property
    def length(self) -> float:
        return math.dist(self.one.xyz, self.other.xyz)

    @property
    def of_part(self) -> str:
        """The mark of the part whose length it is; '' of others."""
        return self.what if self.kind == LINKS else self.mark


CROSSWISE, BAYS, TUBES, PROFILES, LINKS, OTHERS = (
    "Crosswise: the two of a pair are alike",
    "Diagonals of bays",
    "Tubes, from point to point of their axes",
    "Profiles, end to end of the points given",
    "Link rods, pin to pin",
    "Other points",
)


_ORDER = (CROSSWISE, BAYS, TUBES, PROFILES, LINKS, OTHERS)
_LENGTHS = (TUBES, PROFILES, LINKS)
"""Of what is made: these are not left out where there are too many."""

TUBES_ON_FACES = "Tubes, from point to point as given"
"""The heading instead of `TUBES` where points lie on tubes' faces."""


def on_faces(job: Definitions) -> bool:
    """Whether the points of a tube lie on a face of it, so that these are taken and not places on its axis."""
    return any(point.drawn is not None for tube in job.tube for point in tube.route)


class Reach(Protocol):
    """What a tape can do."""

    def is_held(self, place: Point) -> bool:
        """Whether there is anything at a place to hold it to."""

    def comes_to(self, place: Point) -> bool:
        """Whether a place is one that a tape can be held to."""

    def runs(self, one: Point, other: Point) -> bool:
        """Whether it can be held to two places at once, nothing between."""

    def reads(self, one: Point, other: Point) -> bool:
        """Whether what it reads there is the distance, with nothing to add."""


class _Everywhere:
    """A tape that nothing stands in the way of."""

    def is_held(self, place: Point) -> bool:
        return True

    def comes_to(self, place: Point) -> bool:
        return True

    def runs(self, one: Point, other: Point) -> bool:
        return True

    def reads(self, one: Point, other: Point) -> bool:
        return True


EVERYWHERE: Reach = _Everywhere()


@dataclass(frozen=True, slots=True)
class Rail:
    """A tube or profile as a tape meets it: the points of its route as they are given, how far its metal reaches from
    the line between them, mm, of which kind its row in the table is, how it is measured, and whether it is there
    already."""

    mark: str
    route: tuple[Point, ...]
    reach: float
    kind: str
    how: str
    there: bool = False

    @property
    def ends(self) -> tuple[Point, Point]:
        return self.route[0], self.route[-1]


def rails(job: Definitions) -> list[Rail]:
    """The tubes of a job, then its profiles.

    Args:
        job: the definitions.
    """
    found = []
    for tube in job.tube:
        how = "point to point" if len(tube.route) == 2 else "straight from point to point"
        found.append(Rail(tube.mark, tube.given_route, tube.section.reach, TUBES, how, _is_there(tube)))
    for profile in routed_profiles(job):
        line = profile.line
        how = {"heel": "heel to heel", "middle": "end to end"}.get(line, f"end to end, {line}")
        given = job.profile[profile.index]
        found.append(Rail(profile.mark, tuple(given.route), profile.reach, PROFILES, how, _is_there(given)))
    return found


def _is_there(part: Part) -> bool:
    return part.state == "there already"


def places(job: Definitions) -> list[Point]:
    """Every place that has a name on the jig: named points, and ends of tubes, profiles and links that have none, each
    once.

    Left out are the corners of bent tubes' routes: no metal is there.
    """
    lines = rails(job)
    ends = {point.name for rail in lines for point in rail.ends}
    bends = {point.name for rail in lines for point in rail.route[1:-1]} - ends
    kept: list[Point] = []
    for point in _all_places(job):
        if point.name not in bends and all(math.dist(point.xyz, other.xyz) > SAME for other in kept):
            kept.append(point)
    return kept


def _all_places(job: Definitions) -> Iterator[Point]:
    ends: list[Point] = []
    for rail in rails(job):
        ends += [_named(p, f"{rail.mark} {at}") for p, at in zip(rail.ends, ("start", "finish"), strict=True)]
    for link in job.link:
        if link.between is not None:
            ends += [_named(p, f"{link.mark} {at}") for p, at in zip(link.between, ("start", "finish"), strict=True)]
    yield from (point for point in ends if point.name in job.points)
    yield from job.points.values()
    yield from ends


def _named(point: Point, name: str) -> Point:
    return point if point.name else Point(*point.xyz, name, point.scatter)


def distances(job: Definitions, tape: Reach = EVERYWHERE) -> tuple[list[Distance], int]:
    """The distances to take, by kind, and how many more there would be.

    Args:
        job: its definitions.
        tape: where it goes.
    """
    chosen = _Chosen(places(job), tape)
    lines = rails(job)
    for rail in lines:
        # Before it is put in nothing is in the way of the length of what is made.
        if not rail.there or all(tape.comes_to(chosen.place(end)) for end in rail.ends):
            chosen.take(*rail.ends, rail.kind, f"{rail.mark}, {rail.how}", rail.mark)
    for link in job.link:
        if link.between is not None:
            chosen.take(link.between[0], link.between[1], LINKS, link.mark)
    of_rails = [chosen.place(point) for rail in lines for point in rail.ends]
    for a, b, c, d in _bays(lines, chosen):
        for one, other in ((a, c), (b, d)):
            chosen.add(one, other, BAYS, "bay " + ", ".join(sorted(p.name for p in (a, b, c, d))))
    _crosswise(chosen, of_rails)
    there = {f"{rail.mark} {at}" for rail in lines if rail.there for at in ("start", "finish")}
    _ties(chosen, there)
    rows = sorted(chosen.rows.values(), key=lambda row: _ORDER.index(row.kind))
    return _most(rows)


def _most(rows: Sequence[Distance]) -> tuple[list[Distance], int]:
    """As many as a table takes, in their order: what is made first, the two of a crosswise pair together."""
    if len(rows) <= MOST:
        return list(rows), 0
    room = max(0, MOST - sum(row.kind in _LENGTHS for row in rows))
    kept: list[Distance] = []
    for row in rows:
        if row.kind in _LENGTHS:
            kept.append(row)
        elif room:
            kept.append(row)
            room -= 1
    kept = kept[:MOST]
    whats = Counter(row.what for row in kept if row.kind == CROSSWISE)
    kept = [row for row in kept if row.kind != CROSSWISE or whats[row.what] == 2]
    return kept, len(rows) - len(kept)


class _Chosen:
    """Distances chosen so far, each pair of places once: the first reason counts."""

    def __init__(self, places: Sequence[Point], tape: Reach) -> None:
        self.places = places
        self.tape = tape
        self.rows: dict[frozenset[str], Distance] = {}
        self._nearest: dict[tuple[float, float, float], Point] = {}

    def place(self, point: Point) -> Point:
        """The named place of a point."""
        if point.xyz not in self._nearest:
            self._nearest[point.xyz] = min(self.places, key=lambda place: math.dist(place.xyz, point.xyz))
        return self._nearest[point.xyz]

    @property
    def reached(self) -> list[Point]:
        """The places that a tape comes to and that it can be held to."""
        return [place for place in self.places if self.tape.comes_to(place) and self.tape.is_held(place)]

    def take(self, one: Point, other: Point, kind: str, what: str, mark: str = "") -> None:
        """A row, whatever stands there."""
        row = Distance(self.place(one), self.place(other), kind, what, mark)
        if row.length >= _SHORTEST:
            self.rows.setdefault(frozenset((row.one.name, row.other.name)), row)

    def add(self, one: Point, other: Point, kind: str, what: str) -> None:
        """A row, where a tape runs so."""
        if self.tape.runs(self.place(one), self.place(other)):
            self.take(one, other, kind, what)

    def of(self, place: Point) -> int:
        return sum(place.name in pair for pair in self.rows)


# -- bays ----------------------------------------------------------------------------------
def _bays(lines: Sequence[Rail], chosen: _Chosen) -> list[tuple[Point, Point, Point, Point]]:
    """Four places in a ring, neighbours joined by tubes or profiles, none of them joined across."""
    ties: dict[str, set[str]] = {}
    for one, other in _pieces_of_lines(lines, chosen):
        ties.setdefault(one.name, set()).add(other.name)
        ties.setdefault(other.name, set()).add(one.name)
    at = {place.name: place for place in chosen.places}
    found: list[tuple[Point, Point, Point, Point]] = []
    for a, c in combinations(sorted(ties), 2):
        if c in ties[a]:
            continue
        for b, d in combinations(sorted(ties[a] & ties[c]), 2):
            # Each ring is met twice, from either diagonal; the one with the first name is kept.
            if d not in ties[b] and min(a, c) < min(b, d) and _is_bay([at[n] for n in (a, b, c, d)]):
                found.append((at[a], at[b], at[c], at[d]))
    return found


def _pieces_of_lines(lines: Sequence[Rail], chosen: _Chosen) -> Iterator[tuple[Point, Point]]:
    """Pairs of places that follow one another along a tube or profile: its ends, and where others meet it."""
    ends = {chosen.place(p).name: chosen.place(p) for rail in lines for p in rail.ends}
    for rail in lines:
        if len(rail.route) != 2:
            continue
        start, finish = (np.array(p.xyz) for p in rail.ends)
        length = float(np.linalg.norm(finish - start))
        if length < _SHORTEST:
            continue
        along = (finish - start) / length
        on: list[tuple[float, Point]] = []
        for place in ends.values():
            away = np.array(place.xyz) - start
            s = float(away @ along)
            off = float(np.linalg.norm(away - s * along))
            if -SAME <= s <= length + SAME and off <= rail.reach + _NEAR:
                on.append((s, place))
        on.sort(key=lambda each: (each[0], each[1].name))
        for (s, one), (t, other) in pairwise(on):
            if t - s >= _SHORTEST:
                yield one, other


def _is_bay(corners: Sequence[Point]) -> bool:
    """Whether four places make a ring worth two diagonals: nowhere folded flat."""
    at = np.array([p.xyz for p in corners])
    for i in range(4):
        one, other = at[(i + 1) % 4] - at[i], at[i - 1] - at[i]
        size = float(np.linalg.norm(one) * np.linalg.norm(other))
        if float(np.linalg.norm(np.cross(one, other))) < 0.2 * size:
            return False
    return True


# -- crosswise pairs, and ties ------------------------------------------------------------------
def _crosswise(chosen: _Chosen, of_rails: Sequence[Point]) -> None:
    """Mirrored pairs crosswise to the frame's foremost or rearmost pair, whichever is farther; where a tape does not
    run so, to the next that is far."""
    pairs = _mirrored(chosen.reached)
    names = {place.name for place in of_rails}
    frame = [pair for pair in pairs if pair[0].name in names] or pairs
    if len(pairs) < 2:
        return
    ends = [pick(frame, key=lambda pair: (pair[0].x, abs(pair[0].y))) for pick in (min, max)]
    rows = dict(chosen.rows)
    for pair in pairs:
        if pair is _far(pair, ends)[0]:
            continue
        end = _crossed(chosen.tape, pair, (_far(pair, ends)[0], *_far(pair, frame)[:_TRIED], *_far(pair, pairs)))
        for one, other in _across(pair, end) if end is not None else ():
            key = frozenset((one.name, other.name))
            if key in rows and rows[key].kind in _LENGTHS:
                continue
            chosen.rows.pop(key, None)
            assert end is not None
            chosen.take(one, other, CROSSWISE, f"{pair[0].name}, {pair[1].name} to {end[0].name}, {end[1].name}")


def _far(pair: _Two, others: Sequence[_Two]) -> list[_Two]:
    """Pairs, the farthest from one first."""
    return sorted(others, key=lambda each: (math.dist(each[0].xyz, pair[0].xyz), each[0].name), reverse=True)


def _across(pair: _Two, end: _Two) -> tuple[_Two, _Two]:
    return (pair[0], end[1]), (pair[1], end[0])


def _crossed(tape: Reach, pair: _Two, tried: Sequence[_Two]) -> _Two | None:
    """The first pair to which a tape reads another crosswise as it is."""

    def runs(end: _Two) -> bool:
        across = _across(pair, end)
        return end is not pair and all(a.name != b.name and tape.runs(a, b) for a, b in across)

    def reads(end: _Two) -> bool:
        return all(tape.reads(a, b) for a, b in _across(pair, end))

    return next((each for each in tried if reads(each) and runs(each)), None)


def _mirrored(places: Sequence[Point]) -> list[_Two]:
    """Left and right points that mirror one another, from the rear forward."""
    left = [p for p in places if p.y > SAME]
    found = []
    for one in left:
        image = (one.x, -one.y, one.z)
        other = min(places, key=lambda p: math.dist(p.xyz, image), default=None)
        if other is not None and math.dist(other.xyz, image) <= SAME:
            found.append((one, other))
    return sorted(found, key=lambda pair: (pair[0].x, pair[0].y, pair[0].z, pair[0].name))


def _ties(chosen: _Chosen, there: Collection[str]) -> None:
    """Three distances to far corners for each place that has fewer than two so far, those first that a tape reads as
    they are; none for nameless ends of what is there already."""
    every, tape = chosen.reached, chosen.tape
    corners = _corners(every)
    for place in every:
        if chosen.of(place) >= 2 or place.name in there:
            continue
        plain = [other for other in every if tape.reads(place, other)]
        for most, to in ((3, corners), (3, _corners(plain)), (2, corners)):
            for corner in to:
                if most == 3 and not tape.reads(place, corner):
                    continue
                if chosen.of(place) < most and corner.name != place.name:
                    chosen.add(place, corner, OTHERS, f"{place.name} from three corners")


def _corners(places: Sequence[Point]) -> list[Point]:
    """Four places far apart: each the farthest from those before."""
    if not places:
        return []
    found = [min(places, key=lambda p: (p.x + p.y + p.z, p.name))]
    while len(found) < min(4, len(places)):
        found.append(max(places, key=lambda p: (min(math.dist(p.xyz, f.xyz) for f in found), p.name)))
    return found


def heights(job: Definitions) -> tuple[float, Mapping[str, float]]:
    """The datum's z, and the height of each place above it, mm."""
    every = places(job)
    datum = job.measuring.datum
    if datum is None:
        datum = min((place.z for place in every), default=0.0)
    return datum, {place.name: place.z - datum for place in every}
