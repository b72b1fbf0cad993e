"""Tube ends, and whole tubes and profiles, that are made alike: what one template and one drawing can serve."""

from __future__ import annotations

import math
from bisect import bisect_left, insort
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import fields, replace
from itertools import permutations
from typing import TypeVar

import numpy as np

from fabgen.parts.piece import (
    Array,
    DrilledHole,
    FaceLanding,
    Landing,
    LengthPart,
    Piece,
    ProfileEnd,
    ProfilePart,
    WorkedEnd,
)

SAME = 0.01
"""Lines this near to one another all the way round are one, mm; so are lengths."""

SAME_ANGLE = 1e-3
"""Top lines this near to one another are one, rad."""

NEAR_END = 300.0
"""Holes farther than this from an end are on no template of it, mm."""

EndOf = tuple[Piece, WorkedEnd]
T = TypeVar("T")

_OWN = frozenset({"cut_from", "mark", "mass", "opposite_of", "part_of", "path", "quantity", "same_as", "shape"})
"""What two pieces may differ in and yet share a drawing; their shapes, and so their masses, are compared apart."""


def alike_ends(ends: Iterable[EndOf]) -> list[list[EndOf]]:
    """The ends grouped: those of a group have one section, one line and one top line, so that one
    template serves all.  Groups stand where their first end stood."""
    return _grouped(ends, _end_key, lambda one: _figures(one[1]), _one_template)


def _end_key(one: EndOf) -> Hashable:
    piece, end = one
    part = piece.length_part
    assert part is not None
    # The faces of a rectangular tube go round the other way at its finish.
    at = "" if part.section.is_round else end.at
    return (part.section, end.cut, end.fit, at, end.line.misses, end.gap, _holes_near(part, end))


def _holes_near(part: LengthPart, end: WorkedEnd) -> Hashable:
    """The tube's own holes as a template of that end may show them, in tenths of a millimetre."""
    start = end.at == "start"
    places = ((hole, hole.along if start else part.length - hole.along) for hole in part.drilled)
    return tuple(
        (round(10.0 * place), round(10.0 * hole.station), hole.bore, start)
        for hole, place in places
        if place < NEAR_END
    )


def _one_template(one: EndOf, other: EndOf) -> bool:
    return _same_line(one[1], other[1])


def alike_tubes(pieces: Sequence[Piece]) -> list[list[Piece]]:
    """The pieces grouped: those of a group are tubes, or profiles, that differ in nothing but their marks, how many
    are wanted, the marks of what they meet and, of profiles, how they lie.  Any other piece stands alone."""
    return _grouped(pieces, _tube_key, _tube_figures, _one_drawing)


def alike_cuts(pieces: Iterable[Piece]) -> list[list[tuple[Piece, bool]]]:
    """The pieces for a list of what to saw: those of one tube, and a tube and its mirror image, that are one and the
    same piece once cut stand together, each with whether it lies the other way round, its finish as the first's start;
    any other piece stands alone.

    What only says where a piece stands in the job, and what lands on it, counts not.  A mirror image that differs is
    another piece.
    """
    groups: list[list[tuple[Piece, bool]]] = []
    families: dict[str, list[list[tuple[Piece, bool]]]] = {}
    pieces = list(pieces)
    firsts = {piece.same_as for piece in pieces} - {""}
    for piece in pieces:
        kin = piece.cut_from or piece.same_as or (piece.mark if piece.mark in firsts else "")
        family = families.setdefault(kin, []) if kin else []
        for group in family:
            if (turned := _turned(group[0][0], piece)) is not None:
                group.append((piece, turned))
                break
        else:
            groups.append([(piece, False)])
            family.append(groups[-1])
    return groups


def _turned(one: Piece, other: Piece) -> bool | None:
    """Whether a piece is another one the other way round; None where the two are not one piece."""
    a, b = one.length_part, other.length_part
    if a is None or b is None or one.material != other.material or a.section != b.section:
        return None
    if abs(a.length - b.length) > SAME or any((*p.drilled, *p.holes, *p.bends) for p in (a, b)):
        return None
    for turned, (start, finish) in ((False, b.ends), (True, b.ends[::-1])):
        if _sawn_alike(a.ends[0], start) and _sawn_alike(a.ends[1], finish) and _lie_alike(a, start, finish):
            return turned
    return None


def _sawn_alike(one: WorkedEnd, other: WorkedEnd) -> bool:
    same = (one.cut, one.fit, one.gap, one.form) == (other.cut, other.fit, other.gap, other.form)
    return same and one.line.misses == other.line.misses and _same_line(one, other)


def _lie_alike(part: LengthPart, start: WorkedEnd, finish: WorkedEnd) -> bool:
    """Whether the two ends of a part are turned to one another, and to the faces of its section, as these two are."""
    own, square = part.ends, [float(np.ptp(end.line.x)) < SAME for end in part.ends]
    if not any(square):
        # Places round the start and the finish run opposite ways, so turning a tube leaves the sum of their tops.
        off = (own[0].top + own[1].top) - (start.top + finish.top)
        if abs(math.remainder(off, 2.0 * math.pi)) > SAME_ANGLE:
            return False
    section = part.section
    if section.is_round:
        return True
    faces = math.pi / 2.0 if section.width == section.depth else math.pi
    pairs = [
        pair for pair, is_square in zip(zip(own, (start, finish), strict=True), square, strict=True) if not is_square
    ]
    return all(abs(math.remainder(a.top - b.top, faces)) <= SAME_ANGLE for a, b in pairs)


def _land_alike(one: Sequence[Landing], other: Sequence[Landing]) -> bool:
    return len(one) == len(other) and all(_close(a, b) for a, b in zip(one, other, strict=True))


def _close(one: Landing, other: Landing) -> bool:
    pairs = ((one.axes, other.axes), (one.skin, other.skin), (one.round, other.round), (one.angle, other.angle))
    return one.at == other.at and all(
        a is b or (a is not None and b is not None and math.isclose(a, b, abs_tol=SAME)) for a, b in pairs
    )


def _faces_alike(one: Sequence[FaceLanding], other: Sequence[FaceLanding]) -> bool:
    return len(one) == len(other) and all(
        (a.faces, len(a.figures)) == (b.faces, len(b.figures))
        and np.abs(np.subtract(a.figures, b.figures)).max() < SAME
        for a, b in zip(one, other, strict=True)
    )


def _tube_key(piece: Piece) -> Hashable:
    if (profile := piece.profile_part) is not None:
        shared = tuple(repr(getattr(piece, each.name)) for each in fields(piece) if each.name not in {*_OWN, "facts"})
        kinds = tuple((end.kind, end.is_notched) for end in profile.ends)
        return (shared, profile.section, profile.flipped, kinds, len(profile.holes))
    part = piece.length_part
    if part is None or piece.kind != "tube":
        return (piece.mark,)
    shared = tuple(repr(getattr(piece, each.name)) for each in fields(piece) if each.name not in _OWN)
    ends = tuple((e.cut, e.fit, e.opens, e.gap, e.flats and len(e.flats), len(e.seats)) for e in part.ends)
    return (shared, part.section, part.bends, ends, tuple(e.line.misses for e in part.ends))


def _tube_figures(piece: Piece) -> Array:
    if (profile := piece.profile_part) is not None:
        return np.array([profile.length])
    part = piece.length_part
    if part is None:
        return np.zeros(1)
    return np.array([part.length, part.axis, *(f for end in part.ends for f in _figures(end))])


def _one_drawing(one: Piece, other: Piece) -> bool:
    if one.profile_part is not None and other.profile_part is not None:
        return _profiles_alike(one.profile_part, other.profile_part)
    a, b = one.length_part, other.length_part
    if a is None or b is None:
        return False
    same_ends = all(_same_line(x, y) and _same_joints(x, y) for x, y in zip(a.ends, b.ends, strict=True))
    landed = _land_alike(a.landings, b.landings) and _faces_alike(a.profiles, b.profiles)
    return same_ends and landed and _drilled_alike(a.drilled, b.drilled)


def _profiles_alike(one: ProfilePart, other: ProfilePart) -> bool:
    ends = zip(one.ends, other.ends, strict=True)
    landed = _faces_alike(one.landings, other.landings)
    return (
        landed
        and all(_cut_alike(a, b) for a, b in ends)
        and all(a.like(b) and abs(a.along - b.along) < SAME for a, b in zip(one.holes, other.holes, strict=True))
    )


def _cut_alike(one: ProfileEnd, other: ProfileEnd) -> bool:
    """Whether two ends of one section are cut to the same lines, and lean alike through the metal."""
    lean = np.abs(np.subtract(one.cut.sawn.normal, other.cut.sawn.normal)).max() < SAME_ANGLE
    return bool(lean) and all(
        a.x.shape == b.x.shape
        and np.abs(a.station - b.station).max() < SAME
        and np.abs(a.x - one.longest - (b.x - other.longest)).max() < SAME
        for a, b in zip(one.cut.edges, other.cut.edges, strict=True)
    )


def _drilled_alike(one: Sequence[DrilledHole], other: Sequence[DrilledHole]) -> bool:
    return len(one) == len(other) and all(
        a.like(replace(b, main=a.main)) and abs(a.along - b.along) < SAME for a, b in zip(one, other, strict=True)
    )


def _same_joints(one: WorkedEnd, other: WorkedEnd) -> bool:
    """Whether they sit on as much alike, whatever the order in which their tubes are listed."""
    return any(
        all(
            abs(x.angle - y.angle) < SAME_ANGLE and abs(x.offset - y.offset) < SAME
            for x, y in zip(one.seats, order, strict=True)
        )
        for order in permutations(other.seats)
    )


def _same_line(one: WorkedEnd, other: WorkedEnd) -> bool:
    return one.line.apart(other.line) <= SAME


def _figures(end: WorkedEnd) -> Array:
    """A few figures that ends alike have in common, to look only at the likely ones: the height of the line,
    its mean, and the top line's way, all in mm or so."""
    round_it = 10.0 * np.array([np.cos(end.top), np.sin(end.top)])
    line = end.line
    highest = 0.0 if np.isnan(line.x).all() else float(np.nanmax(line.x))
    return np.array([highest - line.longest, line.mean - line.longest, *round_it])


def _grouped(
    items: Iterable[T], key: Callable[[T], Hashable], figures: Callable[[T], Array], same: Callable[[T, T], bool]
) -> list[list[T]]:
    """Grouped by a key, by figures that agree to `SAME`, and then by `same` with a group's first."""
    groups: list[list[T]] = []
    families: dict[Hashable, list[tuple[float, int]]] = {}
    rows: list[Array] = []
    for item in items:
        family, row = families.setdefault(key(item), []), figures(item)
        first = float(row[0])
        likely = family[bisect_left(family, (first - SAME, -1)) : bisect_left(family, (first + SAME, len(groups)))]
        for _, number in sorted(likely, key=lambda each: each[1]):
            if (np.abs(rows[number] - row) <= SAME).all() and same(groups[number][0], item):
                groups[number].append(item)
                break
        else:
            insort(family, (first, len(groups)))
            groups.append([item])
            rows.append(row)
    return groups


def names(marks: Sequence[str], most: int = 8) -> str:
    """'T3, T4 and T5', or 'T3, T4, … (62 in all)' of many."""
    if len(marks) > most:
        return f"{', '.join(marks[:most])}, … ({len(marks)} in all)"
    return " and ".join([", ".join(marks[:-1]), marks[-1]] if len(marks) > 1 else marks)
