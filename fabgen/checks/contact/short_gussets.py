"""Gussets that are welded to one of two members that meet, and stand short of the other."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.contacts import Contacts
from fabgen.contact.meant import ends_meet
from fabgen.contact.near import Boxes
from fabgen.contact.pair import gap
from fabgen.contact.solids import Solid
from fabgen.contact.weld_lines import faces_of
from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.plane.regions import region
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.plane_cut import plane_cut
from fabgen.parts.piece import FlatPart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

if TYPE_CHECKING:
    from shapely import Geometry

REACH = 15.0
"""What stands farther off is not meant to be welded to, mm (common practice, no source)."""
SHORTEST = 20.0
"""An edge faces something with no less than this, mm."""
PARALLEL = np.deg2rad(3.0)
"""And leans from it by no more, rad."""
FILLS = 0.8
"""A gusset fills no more of what its two legs span: half, as a triangle, and its noses.  An ear or a web fills all of
it (common practice, no source)."""
_DEEP = 1.0
"""Rays start so far inside an edge, mm: what touches may lie in it a little."""
_STEP = 1.0
_AT_ANGLE = 0.3
"""Sine of what legs are at least from one another."""


@dataclass(frozen=True, eq=False)
class _Leg:
    """A straight edge of a face from `start` to `finish`, (2,) mm, and what faces it: how far off, mm, the nearest
    first."""

    start: Array
    finish: Array
    facing: tuple[tuple[float, Solid], ...]

    @property
    def run(self) -> Array:
        return self.finish - self.start

    @property
    def length(self) -> float:
        return float(np.hypot(*self.run))


@rule("gusset-short", Level.WARN, source=PRACTICE)
def gusset_short(job: Checked) -> Iterator[Found]:
    """A gusset between two members that meet reaches both: where one leg is welded, the other does not stand short of
    its member by more than a weld bridges."""
    cases = {
        sentence(f"{solid.mark} ", mm(away), f" from {other.mark}, ", mm(leg.length), " of edge facing it"): solid.mark
        for solid in job.contacts.solids
        if _may_be_gusset(solid)
        for leg, away, other in _short(job.contacts, solid)
    }
    if cases:
        yield found(
            "welded with one leg, it stands short of its other member (", named(list(cases), "; "),
            "); a weld bridges ", mm(job.contacts.weld_gap),
            ": move it up to it, or, if it was cut for another section, name this one in `sits`",
            about=list(dict.fromkeys(cases.values())),
        )  # fmt: skip


def _may_be_gusset(solid: Solid) -> bool:
    return isinstance(solid.part, FlatPart) and solid.part.band is None and not solid.as_it_is


def _short(contacts: Contacts, solid: Solid) -> Iterator[tuple[_Leg, float, Solid]]:
    """The legs of one that stand short of a member which meets what its other leg is welded to, how far, mm, and that
    member."""
    low, high = solid.box
    near = [each for each in Boxes(contacts.solids).meeting((low - REACH, high + REACH))
            if each is not solid and not contacts.move_apart(solid, each)]  # fmt: skip
    if len(near) < 2:
        return
    welded = {line.other if line.one is solid else line.one
              for line in contacts.weld_lines if solid in (line.one, line.other)}  # fmt: skip
    for frame, face in faces_of(solid) if welded else ():
        legs = list(_legs(frame, face.outline, solid.shape.thickness, near))
        for foot, leg in itertools.permutations(legs, 2):
            away, member = leg.facing[0]
            held_by = [each for off, each in foot.facing if off <= contacts.weld_gap and each in welded]
            if away <= contacts.weld_gap or member in held_by or not _spans(foot, leg, face.outline):
                continue
            if any(_meet(contacts, each, member) for each in held_by):
                yield leg, away, member


def _meet(contacts: Contacts, one: Solid, other: Solid) -> bool:
    return ends_meet(one, other) or gap(one, other)[0] <= contacts.weld_gap


def _legs(frame: Frame, outline: Outline, thickness: float, near: Sequence[Solid]) -> Iterator[_Leg]:
    """The straight edges of a face that something near faces."""
    cuts = [(each, plane_cut(each.filled, frame, thickness / 2.0)) for each in near]
    for edge in outline.edges():
        start, finish = np.array(edge.start), np.array(edge.end)
        if edge.is_arc or edge.chord < SHORTEST:
            continue
        off = [(away, each) for each, cut in cuts if (away := _away(start, finish, cut)) is not None]
        if off:
            yield _Leg(start, finish, tuple(sorted(off, key=lambda each: each[0])))


def _away(start: Array, finish: Array, cut: Geometry) -> float | None:
    """How far what is cut is from a straight edge that runs along it, its metal on its left, mm; None of what does not
    face it so."""
    import shapely

    if cut.is_empty:
        return None
    length = float(np.hypot(*(finish - start)))
    along = (finish - start) / length
    out = np.array([along[1], -along[0]])
    points = start + np.outer(np.arange(_STEP / 2.0, length, _STEP), along) - _DEEP * out
    rays = shapely.linestrings(np.stack([points, points + (_DEEP + REACH) * out], axis=1))
    off = shapely.distance(shapely.points(points), shapely.intersection(rays, cut)) - _DEEP
    met = off[~np.isnan(off)]
    if len(met) * _STEP < SHORTEST or np.ptp(met) > np.tan(PARALLEL) * len(met) * _STEP:
        return None
    return float(met.min())


def _spans(foot: _Leg, leg: _Leg, outline: Outline) -> bool:
    """Whether two edges are the legs of a gusset: they lie at an angle, and its face fills little more than half of
    what they span."""
    a, b = foot.run / foot.length, leg.run / leg.length
    square = abs(float(a[0] * b[1] - a[1] * b[0]))
    if square < _AT_ANGLE:
        return False
    along, _ = np.linalg.solve(np.column_stack((a, -b)), leg.start - foot.start)
    corner = foot.start + along * a
    reach = [max(abs(float((end - corner) @ way)) for end in (edge.start, edge.finish))
             for edge, way in ((foot, a), (leg, b))]  # fmt: skip
    return bool(region(outline).area < FILLS * reach[0] * reach[1] * square)
