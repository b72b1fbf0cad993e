"""Mass of all pieces, and where the centre of gravity of the placed ones lies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.centreline import Centreline
from fabgen.parts.piece import LengthPart, Piece, ProfilePart, made_here
from fabgen.parts.shape.cuts import section_share, side_lengths
from fabgen.parts.shape.profiles import profile_body
from fabgen.parts.shape.sections import end_profile

_STRAIGHT = 1e-6


@dataclass(frozen=True, slots=True)
class MassAndCentre:
    """Mass of all pieces, kg; of those with a place; their centre of gravity (x, y, z) mm in the
    job's coordinates, None where no piece has a place.  `unplaced` names what is not counted
    in the centre, (mark, how many)."""

    mass: float
    placed_mass: float
    centre: tuple[float, float, float] | None
    unplaced: tuple[tuple[str, int], ...]


def mass_and_centre(pieces: Sequence[Piece]) -> MassAndCentre:
    """Mass and centre of gravity of what is made here.

    Args:
        pieces: of the whole job; of several alike only those count in the centre that have a place, of tubes the
            first.
    """
    own = made_here(pieces)
    mass = sum(piece.mass * piece.quantity for piece in own)
    placed = 0.0
    moment = np.zeros(3)
    unplaced: list[tuple[str, int]] = []
    for piece in own:
        centres = _centres(piece)
        placed += piece.mass * len(centres)
        for centre in centres:
            moment += piece.mass * centre
        if rest := piece.quantity - len(centres):
            unplaced.append((piece.mark, rest))
    if placed <= 0.0:
        return MassAndCentre(mass, 0.0, None, tuple(unplaced))
    x, y, z = (float(v) for v in moment / placed)
    return MassAndCentre(mass, placed, (x, y, z), tuple(unplaced))


def _centres(piece: Piece) -> list[Array]:
    """Centre of gravity (3,) of each that has a place."""
    if isinstance(piece.shape, LengthPart):
        centre = tube_centre(piece.shape)
        if centre is None or piece.shape.frame is None:
            return [] if centre is None else [centre]
        own = piece.shape.frame.inside(centre)
        return [centre, *(place.outside(own) for place in piece.shape.also)]
    if isinstance(piece.shape, ProfilePart):
        return [piece.shape.frame.outside(profile_body(piece.shape).centre)]
    if not piece.shape.places:
        return []
    from fabgen.parts.shape.sheet_body import sheet_body

    body = sheet_body(piece.shape)
    own = body.skin_centre if piece.shape.surface else body.centre
    return [place.frame.outside(own) for place in piece.shape.places]


def tube_centre(part: LengthPart) -> Array | None:
    """Centre of gravity of a tube in the job's coordinates, (3,) mm; None without a place.

    Strips of wall along the tube, each from cut line to cut line, so that its coped ends are counted.

    Args:
        part: a length of section.
    """
    if part.is_bent_bar and part.frame is None:
        return None  # its path lies on the page of its drawing, not in the job
    if part.path is not None:
        return _bent_centre(part, part.path)
    start, finish = part.ends
    if part.frame is None or float(finish.frame.x @ start.frame.x) > _STRAIGHT - 1.0:
        return None
    sides, across = side_lengths(part), _fibres(part, 0)
    if len(across) != len(sides):
        return None
    hit = ~np.isnan(sides) & (sides > 0.0)
    if not hit.any():
        return None
    mass = np.where(hit, np.nan_to_num(sides) * section_share(part), 0.0)
    along = np.nan_to_num(start.line.x) + np.nan_to_num(sides) / 2.0
    points = np.column_stack((along, across))
    return np.asarray(start.frame.outside((mass[:, None] * points).sum(axis=0) / mass.sum()))


def _fibres(part: LengthPart, end: int) -> Array:
    """Where each strip of wall has its centre in the frame of an end, (n, 2) mm."""
    profile = end_profile(part.section, part.ends[end])
    # Half-way through the wall; in solid bar a sector's centre lies at two thirds of the radius.
    depth = profile.depth if part.section.is_solid else profile.depth / 2.0
    inward = depth / 3.0 if part.section.is_solid else depth
    return np.asarray(profile.skin + profile.inward * inward[:, None])


# -- bent tubes -------------------------------------------------------------------------
def _bent_centre(part: LengthPart, path: Centreline) -> Array:
    """Straights, bends and what the ends' cuts leave over or take off.

    The wall of a bend gets thinner outside and thicker inside by as much as it is stretched and upset, so its mass
    lies as along its centreline: an arc's centre of gravity is R sin(a / 2) / (a / 2) from the bend's centre (any
    handbook of mechanics, from memory).
    """
    pieces = [(s.length, np.asarray(s.frame_at(s.length / 2.0).origin)) for s in path.straights]
    # A former may take less tube into a bend than its centreline is long.
    for turn, bend in zip(path.turns, part.bends, strict=True):
        half = turn.angle / 2.0
        top = turn.frame_at(turn.length / 2.0).origin
        pieces.append((bend.length, turn.centre + (top - turn.centre) * math.sin(half) / half))
    for i, at in enumerate((path.start.origin, path.finish.origin)):
        pieces += _end_strips(part, i, at)
    mass = math.fsum(length for length, _ in pieces)
    return np.asarray(sum(length * centre for length, centre in pieces) / mass)


def _end_strips(part: LengthPart, end: int, at: Array) -> list[tuple[float, Array]]:
    """Strips of wall from an end's cut to the route's end `at`: length counted by its share of the section, minus
    where the tube is cut short of it, and centre."""
    worked, across = part.ends[end], _fibres(part, end)
    cut = worked.line.x
    if len(across) != len(cut):
        return []
    reach = float((at - worked.frame.origin) @ worked.frame.x)
    over = np.where(np.isnan(cut), 0.0, reach - np.nan_to_num(cut)) * section_share(part, end)
    points = worked.frame.outside(np.column_stack(((reach + np.nan_to_num(cut)) / 2.0, across)))
    return [(float(length), point) for length, point in zip(over, points, strict=True)]
