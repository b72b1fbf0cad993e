"""The whole: what all pieces weigh together, and where the centre of gravity of the placed ones lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fabgen.parts.cope import section_profile
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.tube import section_share, side_lengths

_STRAIGHT = 1e-6


@dataclass(frozen=True, slots=True)
class Whole:
    """Mass of all pieces, kg; of those with a place; their centre of gravity (x, y, z) mm in the
    job's coordinates, None where no piece has a place.  `unplaced` names what is not counted
    in the centre, (mark, how many)."""

    mass: float
    placed_mass: float
    centre: tuple[float, float, float] | None
    unplaced: tuple[tuple[str, int], ...]


def whole_of(pieces: Sequence[Piece]) -> Whole:
    """Mass and centre of gravity.  Of several alike only those count that have a place: of tubes the first."""
    mass = sum(piece.mass * piece.quantity for piece in pieces)
    placed = 0.0
    moment = np.zeros(3)
    unplaced: list[tuple[str, int]] = []
    for piece in pieces:
        centres = _centres(piece)
        placed += piece.mass * len(centres)
        for centre in centres:
            moment += piece.mass * centre
        if rest := piece.quantity - len(centres):
            unplaced.append((piece.mark, rest))
    if placed <= 0.0:
        return Whole(mass, 0.0, None, tuple(unplaced))
    x, y, z = (float(v) for v in moment / placed)
    return Whole(mass, placed, (x, y, z), tuple(unplaced))


def _centres(piece: Piece) -> list[NDArray[np.float64]]:
    """Centre of gravity (3,) of each that has a place."""
    if isinstance(piece.shape, LengthPart):
        centre = centre_of(piece.shape)
        return [] if centre is None else [centre]
    if not piece.shape.places:
        return []
    from fabgen.parts.sheet_body import sheet_body

    body = sheet_body(piece.shape)
    own = body.skin_centre if piece.shape.surface else body.centre
    return [place.frame.outside(own) for place in piece.shape.places]


def centre_of(part: LengthPart) -> NDArray[np.float64] | None:
    """Centre of gravity (3,) of a straight tube in the job's coordinates, its coped ends counted:
    strips of wall along the tube, each from cut line to cut line.  None without a place."""
    start, finish = part.ends
    if part.frame is None or float(finish.frame.x @ start.frame.x) > _STRAIGHT - 1.0:
        return None
    profile = section_profile(part.section, start.top)
    sides, share = side_lengths(part), section_share(part)
    if len(profile.phi) != len(sides):
        return None
    hit = ~np.isnan(sides) & (sides > 0.0)
    if not hit.any():
        return None
    mass = np.where(hit, np.nan_to_num(sides) * share, 0.0)
    # Half-way through the wall; in solid bar a sector's centre lies at two thirds of the radius.
    depth = profile.depth if part.section.is_solid else profile.depth / 2.0
    inward = depth / 3.0 if part.section.is_solid else depth
    across = profile.skin + profile.inward * inward[:, None]
    along = np.nan_to_num(start.line.x) + np.nan_to_num(sides) / 2.0
    points = np.column_stack((along, across))
    return np.asarray(start.frame.outside((mass[:, None] * points).sum(axis=0) / mass.sum()))
