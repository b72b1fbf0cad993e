"""Slanted ends of neighbours on a bar that one saw cut makes both of.

Two pieces sawn to the same angle need no wedge of waste between them: laid so that their slanted
ends face one another, one cut ends the one and begins the other.  A piece may lie end for end, and
turned about the bar, so all slanted ends of one kind (`SlantedEnd.kind`) can face one another.  Where two ends
share no cut the blade still goes through at a slant, and takes kerf / cos(angle) along the bar.

In which order as many cuts as can be are shared is Euler's question: kinds of end are places,
pieces are ways between them, and a row of shared cuts is a walk over ways.  With n ends of a kind,
n/2 cuts (rounded down) can be shared, one fewer where the pieces would close into a ring
(Euler, L., 'Solutio problematis ad geometriam situs pertinentis', 1741; Hierholzer, C.,
Mathematische Annalen 6, 1873, for the walk).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.profile.end_cut import SawnPlane
from fabgen.geometry.profile.symmetries import matching_slant
from fabgen.geometry.space.joined import joined_groups
from fabgen.parts.piece import LengthPart, Piece, ProfileEnd, ProfilePart, WorkedEnd
from fabgen.parts.shape.profiles import cross_section

_LEAST_ANGLE = 0.5
"""Flatter slants are left to themselves, degrees."""
_FINE = 0.02
"""Of the chords of a profile's radii, mm."""


@dataclass(frozen=True, slots=True)
class SlantedEnd:
    """A slanted end that one straight saw cut makes.

    `kind`: ends of one kind on one section can share a cut, if they `share` any.  `angle` degrees
    from square; `slant` mm along the bar from its longest to its shortest point.
    """

    kind: tuple[str, float]
    angle: float
    slant: float
    shares: bool = True

    def extra(self, kerf: float) -> float:
        """How much more of the bar a cut at this slant takes than a square one of `kerf` mm, mm."""
        return kerf * (1.0 / math.cos(math.radians(self.angle)) - 1.0)

    def saved(self, kerf: float) -> float:
        """How much less of the bar a shared cut takes than two pieces a square cut of `kerf` mm apart, mm."""
        return self.slant - self.extra(kerf)

    def can_save(self, kerf: float) -> bool:
        return self.shares and self.saved(kerf) > 0.0


Ends = tuple[SlantedEnd | None, SlantedEnd | None]
"""A piece's start and finish; None where the end is not sawn at a slant."""
SQUARE: Ends = (None, None)


def extra_of(end: SlantedEnd | None, kerf: float) -> float:
    return end.extra(kerf) if end else 0.0


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """One piece in its bar's order: its number, whether it lies end for end, the end at which it
    shares its saw cut with the piece before it (None = it does not), and how much more of the bar than
    a square cut the cut between the two takes where it is not shared, mm."""

    number: int
    turned: bool
    shared: SlantedEnd | None
    extra: float = 0.0


def slanted_ends(pieces: Sequence[Piece], share: bool = True) -> dict[str, Ends]:
    """The ends of every mark with one that is sawn at a slant; `share`: whether cuts are shared at all.

    Ends of bent tubes share none: how an end lies in the bar before bending is not kept.  Nor do ends
    that need the saw swung and tilted at once, which match their own kind only when seen in a mirror, nor those of
    profiles that face none of their own kind however the bar is turned.
    """
    found: dict[str, Ends] = {}
    for piece in pieces:
        if (profile := piece.profile_part) is not None:
            start, finish = (_profile_end(profile, end, share) for end in profile.ends)
        elif (part := piece.length_part) is not None:
            alone = not share or bool(part.bends)
            start, finish = (_end(part, end, alone) for end in part.ends)
        else:
            continue
        if start or finish:
            found[piece.mark] = (start, finish)
    return found


def _end(part: LengthPart, end: WorkedEnd, alone: bool) -> SlantedEnd | None:
    setup = end.saw
    if setup is None or setup.method != "straight saw cut" or end.line.misses or setup.from_square_deg < _LEAST_ANGLE:
        return None
    angle = round(setup.from_square_deg, 1)
    section = part.section
    how = "slanted"
    if not section.is_round and section.width != section.depth:
        # By the side that the cut slants across: the bar may be rolled to saw the next piece.
        how = f"across {section.depth if setup.swing_deg else section.width:g}"
    both = bool(setup.swing_deg and setup.tilt_deg)
    return SlantedEnd((how, angle), angle, float(end.line.x.max() - end.line.x.min()), not (both or alone))


def _profile_end(part: ProfilePart, end: ProfileEnd, share: bool) -> SlantedEnd | None:
    """A sawn end; one that is notched besides shares no cut, nor one that no turning of the bar brings to face its own
    like: of a mitred angle iron the next piece's end slants another way."""
    angle = round(math.degrees(end.cut.sawn.from_square), 1)
    if angle < _LEAST_ANGLE:
        return None
    sold = cross_section(part.section).outline
    assert isinstance(part.cross.outline, Outline)
    assert isinstance(sold, Outline)
    seen = part.cross.outline if end.at == "start" else part.cross.outline.flipped()
    slant = float(np.ptp(end.cut.sawn.x(seen.points(_FINE))))
    way = None if end.is_notched else matching_slant(sold, _as_sold(part, end))
    return SlantedEnd((f"profile at {way}", angle), angle, slant, shares=share and way is not None)


def _as_sold(part: ProfilePart, end: ProfileEnd) -> SawnPlane:
    """The plane of an end's saw cut in the frame of the section as the trade draws it, the metal on its far side."""
    ahead, y, z = end.cut.sawn.normal
    if end.at == "finish":  # its frame is turned half round about z, and the metal is on the plane's other side
        z = -z
    if part.flipped:  # so is the whole piece on the bar
        z = -z
    return SawnPlane(0.0, (ahead, y, z))


# -- in which order ---------------------------------------------------------------
def taken(ends: Sequence[Ends], kerf: float) -> float:
    """What the cuts between pieces with these ends take of a bar beyond a square kerf each, mm: less than
    nothing where sharing saves more."""
    return sum(laid.extra - (laid.shared.saved(kerf) if laid.shared else 0.0) for laid in arranged(ends, kerf))


def least_taken(ends: Sequence[Ends], kerf: float) -> float:
    """What `taken` could come to at best in any order, mm.

    A cut between two ends takes the greater of their extras, so at least half of both, and two ends lie
    at the bar's own; a shared cut takes off both slants by half each.
    """
    extras = [extra_of(end, kerf) for pair in ends for end in pair]
    shared = sum(laid.shared.slant for laid in arranged(ends, kerf) if laid.shared)
    return sum(extras) / 2.0 - max(extras, default=0.0) - shared


def arranged(ends: Sequence[Ends], kerf: float) -> list[LaidPiece]:
    """Pieces in the order that saves most; rows of shared cuts stand by how slanted their outer ends are, so
    that the widest cuts between rows are few, and else as their first pieces do."""
    places = [_places(i, pair, kerf) for i, pair in enumerate(ends)]
    rows = [row for component in _components(places) for row in _rows(component, places, ends, kerf)]

    def first(laid: LaidPiece) -> float:
        return extra_of(ends[laid.number][1 if laid.turned else 0], kerf)

    def last(laid: LaidPiece) -> float:
        return extra_of(ends[laid.number][0 if laid.turned else 1], kerf)

    rows.sort(key=lambda row: (-max(first(row[0]), last(row[-1])), min(laid.number for laid in row)))
    order: list[LaidPiece] = []
    for row in rows:
        extra = max(last(order[-1]), first(row[0])) if order else 0.0
        order += [replace(row[0], extra=extra), *row[1:]]
    return order


_Place = tuple[str, float] | tuple[int, int]


def _places(number: int, pair: Ends, kerf: float) -> tuple[_Place, _Place]:
    """Where a piece begins and ends: at a kind of end, or at a place of its own where nothing is shared."""
    first, last = (end.kind if end and end.can_save(kerf) else (number, side) for side, end in enumerate(pair))
    return first, last


def _components(places: Sequence[tuple[_Place, _Place]]) -> list[list[int]]:
    """Pieces that hang together by their kinds of end, by the first of each."""
    first: dict[_Place, int] = {}
    pairs = ((first.setdefault(place, i), i) for i, pair in enumerate(places) for place in pair)
    return joined_groups(len(places), pairs)


def _rows(
    component: Sequence[int], places: Sequence[tuple[_Place, _Place]], ends: Sequence[Ends], kerf: float
) -> list[list[LaidPiece]]:
    """The fewest walks over all of a component's pieces, each a row in which every cut between two is shared."""
    ways: dict[_Place, list[tuple[int, int]]] = defaultdict(list)
    for i in component:
        for side, place in enumerate(places[i]):
            ways[place].append((i, side))
    odd = [place for place, there in ways.items() if len(there) % 2]
    # Odd places are joined two and two by ways that are no pieces: the ring then falls apart at them.
    jumps = {-1 - k: (odd[2 * k], odd[2 * k + 1]) for k in range(len(odd) // 2)}
    for jump, pair in jumps.items():
        for side, place in enumerate(pair):
            ways[place].append((jump, side))
    ring = _ring(_begin(ways, places, ends, kerf) if not odd else odd[0], ways, places, jumps)
    if odd:
        at = next(k for k, (i, _) in enumerate(ring) if i < 0)
        ring = ring[at:] + ring[:at]
    rows: list[list[LaidPiece]] = [[]]
    for i, side in ring:
        if i < 0:
            rows.append([])
        else:
            shared = ends[i][side] if rows[-1] else None
            rows[-1].append(LaidPiece(i, side == 1, shared))
    return [row for row in rows if row]


def _begin(
    ways: Mapping[_Place, Sequence[tuple[int, int]]],
    places: Sequence[tuple[_Place, _Place]],
    ends: Sequence[Ends],
    kerf: float,
) -> _Place:
    """Where a ring is best broken: at the kind of end that saves least."""

    def saved(place: _Place) -> float:
        i, side = ways[place][0]
        end = ends[i][side]
        return end.saved(kerf) if end else 0.0

    return min(ways, key=saved)


def _ring(
    start: _Place,
    ways: Mapping[_Place, Sequence[tuple[int, int]]],
    places: Sequence[tuple[_Place, _Place]],
    jumps: Mapping[int, tuple[_Place, _Place]],
) -> list[tuple[int, int]]:
    """A closed walk over all ways, each once: its number, and the side at which it is entered (Hierholzer)."""
    left = {place: list(reversed(there)) for place, there in ways.items()}
    used: set[int] = set()
    stack: list[tuple[_Place, tuple[int, int] | None]] = [(start, None)]
    walk: list[tuple[int, int]] = []
    while stack:
        place, entered = stack[-1]
        while left[place] and left[place][-1][0] in used:
            left[place].pop()
        if left[place]:
            number, side = left[place].pop()
            used.add(number)
            pair = jumps[number] if number < 0 else places[number]
            stack.append((pair[1 - side], (number, side)))
        else:
            stack.pop()
            if entered is not None:
                walk.append(entered)
    return walk[::-1]
