"""Ends of hollow tubes that stay open, and what closes others: what lies over them, and discs, caps and plugs of the
weld table that have no place."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Mapping, Sequence
from itertools import combinations

import numpy as np

from fabgen.geometry.plane.outline import Loop
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import At, FlatPart, LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.hollow.mouths import Mouths
from fabgen.shop.section import Section

PLUG_GAP = 2.0
"""A bar or a disc let in that is this much less than a tube's bore still closes it, mm: 1 mm all round, the usual gap
of a cap."""
COVER_PAST = 25.0
"""A flat that stands out past a tube's outside by less than this on every side is its cap, mm."""
DRAIN = 1.0 / 3.0
"""A hole up to this share of a tube's width drains its cap and does not leave the end open (common practice)."""
_MEETS = 2.0
"""Plain ends this near to one another butt, mm."""
PLUG_SLANT = math.radians(5.0)
"""A plug still fits an end whose cut is this far from square (common practice, no source)."""


def open_ends(
    job: Definitions, pieces: Sequence[Piece], mouths: Mouths | None = None, bolted: Container[str] = ()
) -> dict[str, int]:
    """How many ends of each tube stay open and take a plug, by mark, as often as it is made; of those that have one.

    Args:
        job: its definitions; some of its welds close an end.
        pieces: of the whole job.
        mouths: what lies over its openings, where that is known already.
        bolted: the marks of tubes along whose bore a bolt goes, as through a pivot: they take no plug.
    """
    left = _ends_left(job, pieces, mouths or Mouths(job, pieces))
    return {mark: square for mark, (square, _) in left.items() if square and mark not in bolted}


def slanted_ends(job: Definitions, pieces: Sequence[Piece], mouths: Mouths | None = None) -> dict[str, int]:
    """The same of those that are sawn level at such a slant that no plug fits."""
    left = _ends_left(job, pieces, mouths or Mouths(job, pieces))
    return {mark: slanted for mark, (_, slanted) in left.items() if slanted}


def is_sawn_to_plane(end: WorkedEnd) -> bool:
    """Whether an end is sawn square, level or to a plate, so that what lies over it is what closes it."""
    return end.is_free or bool(end.stands_on)


def _ends_left(job: Definitions, pieces: Sequence[Piece], mouths: Mouths) -> dict[str, tuple[int, int]]:
    """How many ends of each tube made here stay open: of those that take a plug, and of the slanted ones."""
    free = {
        piece.mark: (piece, [end for end in part.ends if end.is_free])
        for piece in pieces
        if piece.kind == "tube"
        and not piece.part_of
        and (part := piece.length_part) is not None
        and not part.section.is_solid
        and not part.is_ring
        and not part.sleeve_of
    }
    capped = capped_ends(job, pieces, mouths, drained=True)
    butting = {place for pair in butts(pieces) for place in pair}
    found: dict[str, tuple[int, int]] = {}
    for mark, (piece, ends) in free.items():
        if piece.as_it_is:
            continue
        part = _length_of(piece)
        # What stands in a slit leaves no room for a plug.
        slit = {end.at for end in ends if end.form is not None}
        slit |= {hole.slit.at for hole in part.drilled if hole.slit is not None}
        most = DRAIN * min(part.section.width, part.section.depth)
        left = [
            end
            for end in ends
            if end.at not in slit and (mark, end.at) not in butting and mouths.end(mark, part, end).width > most
        ]
        slanted = sum(_is_slanted(end) for end in left)
        square, caps_left = len(left) - slanted, capped.get(mark, 0)
        found[mark] = (
            max(0, square - caps_left) * piece.quantity,
            max(0, slanted - max(0, caps_left - square)) * piece.quantity,
        )
    return found


def _is_slanted(end: WorkedEnd) -> bool:
    return any(flat.from_square > PLUG_SLANT for flat in end.flats)


def butts(pieces: Sequence[Piece]) -> Iterator[tuple[tuple[str, At], tuple[str, At]]]:
    """The plain ends of tubes that meet face to face, two and two.

    Args:
        pieces: of the whole job.
    """
    free = [
        (piece.mark, end)
        for piece in pieces
        if piece.kind == "tube" and (part := piece.length_part) is not None and not part.sleeve_of
        for end in part.ends
        if end.is_free and part.frame is not None and not part.section.is_solid
    ]
    for (mark, end), (other_mark, other) in combinations(free, 2):
        near = float(np.linalg.norm(end.frame.origin - other.frame.origin)) <= _MEETS
        if mark != other_mark and near and float(end.frame.x @ other.frame.x) < -0.99:
            yield (mark, end.at), (other_mark, other.at)


def capped_ends(job: Definitions, pieces: Sequence[Piece], mouths: Mouths, drained: bool = False) -> dict[str, int]:
    """How many free ends of each tube the weld table closes with parts that do not lie there already.

    Args:
        job: its definitions.
        pieces: of the whole job.
        mouths: what lies over its openings.
        drained: caps with a drain hole count too: they close an end to dirt, not to the air in it.
    """
    parts = {piece.mark: piece for piece in pieces}
    counts: dict[str, int] = {}
    for weld in job.weld:
        if found := caps(weld, parts, drained):
            tube, cap = found
            part = _length_of(tube)
            if any(end.stands_on == cap.mark for end in part.ends):
                continue  # that end is no free one: it is cut to this plate
            if any(cap.mark in mouths.end(tube.mark, part, end).by for end in part.ends if end.is_free):
                continue  # where it stands says how far it closes it
            counts[tube.mark] = counts.get(tube.mark, 0) + max(1, cap.quantity // tube.quantity)
    return counts


def caps(weld: Weld, parts: Mapping[str, Piece], drained: bool = False) -> tuple[Piece, Piece] | None:
    """The tube whose end a weld closes and what closes it: a tube that stands on a flat, or a disc, cap or plug about
    as large as the tube that is welded on it or let into it; `drained`: one with a drain hole too."""
    first, second = parts.get(weld.parts[0]), parts.get(weld.parts[1])
    if not weld.all_round or first is None or second is None or len(weld.parts) != 2:
        return None
    if _has_free_end(first) and isinstance(second.shape, FlatPart):
        section = _length_of(first).section
        return (first, second) if _covers(second.shape, section, drained, least_only=True) else None
    if not _has_free_end(second):
        return None
    section = _length_of(second).section
    if isinstance(first.shape, FlatPart):
        return (second, first) if _covers(first.shape, section, drained) else None
    if not isinstance(first.shape, LengthPart):
        return None
    plug = first.shape.section
    fits = plug.is_solid and section.width - 2.0 * section.wall - PLUG_GAP <= plug.width <= section.width + COVER_PAST
    return (second, first) if fits else None


def _covers(flat: FlatPart, section: Section, drained: bool, least_only: bool = False) -> bool:
    """Whether a flat covers a tube's bore, or is let into it, with no hole over it as it lies in the middle but a drain
    where it may be `drained`, and is not much larger."""
    sides = sorted(_size(flat.outline))
    wide = sorted((section.width, section.depth))
    if any(side < size - 2.0 * section.wall - PLUG_GAP - 1e-6 for side, size in zip(sides, wide, strict=True)):
        return False
    if not least_only and any(side > size + 2.0 * COVER_PAST for side, size in zip(sides, wide, strict=True)):
        return False
    x0, y0, x1, y1 = flat.outline.bounds
    middle = np.array([x0 + x1, y0 + y1]) / 2.0
    bore = section.reach - section.wall
    for hole in flat.holes:
        u0, v0, u1, v1 = hole.shape.bounds
        if drained and max(u1 - u0, v1 - v0) <= DRAIN * wide[0]:
            continue
        off = np.linalg.norm(np.array([u0 + u1, v0 + v1]) / 2.0 - middle)
        if off - max(u1 - u0, v1 - v0) / 2.0 < bore:
            return False
    return True


def _has_free_end(piece: Piece) -> bool:
    part = piece.shape
    return isinstance(part, LengthPart) and not part.section.is_solid and any(end.is_free for end in part.ends)


def _length_of(piece: Piece) -> LengthPart:
    assert isinstance(piece.shape, LengthPart)
    return piece.shape


def _size(outline: Loop) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.bounds
    return x1 - x0, y1 - y0
