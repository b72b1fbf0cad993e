"""Link rods of which neither end has anything to hang on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from fabgen.checks.bolt.off_balls import REACH
from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.motion.shared_balls import SAME, Ball, link_ends
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.solids import Solid
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.flat_tables import Plate
from fabgen.parts.piece import LinkPart
from fabgen.parts.shape.bored.hole_ways import hole_ways
from fabgen.parts.shape.bored.passages import passages
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


@rule("rod-in-air", Level.WARN, source=PRACTICE)
def rod_in_air(job: Checked) -> Iterator[Found]:
    """A link has something to hang on, at one of its ends at least: a bolt that names it, a hole near it, a body, a
    joint, a pin or a damper, or metal no farther off than its eye is wide.  Of a job that places rods alone that is
    not asked."""
    cases = list(_in_air(job))
    if not cases:
        return
    if len(cases) == 1:
        ((_, gap, other),) = cases
        said = sentence("hangs in the air, ", mm(gap), f" from the nearest, {other.mark}: neither end has a hole near")
        do = " it, a bolt or a body: place what it is bolted to"
    else:
        each = [sentence(f"{mark} ", mm(gap), f" from {other.mark}") for mark, gap, other in cases]
        said = sentence(f"{len(cases)} rods hang in the air (", named(each, "; ", FEW), "): no end has a hole near")
        do = " it, a bolt or a body: place what they are bolted to"
    yield found(said, do, about=[mark for mark, *_ in cases])


def _in_air(job: Checked) -> Iterator[tuple[str, float, Solid]]:
    """The rods that hang in the air, each with what is nearest, mm off."""
    ends: dict[str, list[Ball]] = {}
    for ball in link_ends(job):
        ends.setdefault(ball.of, []).append(ball)
    asked = ends.keys() - _named(job) - job.as_it_is
    if not asked:
        return
    holes, points = _holes(job), _points(job)
    others = [solid for solid in job.contacts.solids if solid.owner not in ends]
    for solid in job.contacts.solids:
        if solid.mark not in asked or any(_is_held(end, holes, points) for end in ends[solid.mark]):
            continue
        nearest = job.contacts.nearest(solid, others)
        if nearest is not None and nearest[0] > max(end.width or 0.0 for end in ends[solid.mark]):
            yield solid.mark, *nearest


def _named(job: Checked) -> set[str]:
    """The marks that bolts or bodies name."""
    bolted = {layer.mark for stack in job.plan.bolts for layer in stack.layers}
    tapped = {stack.tapped.mark for stack in job.plan.bolts if stack.tapped is not None}
    return bolted | tapped | {mark for body in job.job.body for mark in body.marks}


def _is_held(end: Ball, holes: Array, points: Array) -> bool:
    at = np.array(end.at.xyz)
    if (np.linalg.norm(points - at, axis=1) <= SAME).any():
        return True
    # An end whose width the job does not say is not asked.
    return end.width is None or bool((np.linalg.norm(holes - at, axis=1) <= REACH * end.width).any())


def _holes(job: Checked) -> Array:
    """The middles of all holes that a bolt may be in, a bush's bore among them, (n, 3) mm."""
    holes = [way.centre for piece in job.pieces if not isinstance(piece.shape, LinkPart) for way in hole_ways(piece)]
    bores = [way.centre for piece in job.pieces if piece.kind == "bush" for way in passages(piece)]
    return _rows([*holes, *bores])


def _points(job: Checked) -> Array:
    """Where bodies, joints, pins and dampers are, and what parts are placed near, (n, 3) mm; a bracket that misses its
    point is told of that."""
    given = job.job
    points = [point for body in given.body for point in body.points]
    points += [joint.at for joint in given.joint] + [pin.at for pin in given.pin]
    points += [point for damper in given.damper for point in damper.between]
    sheet = (part for part in given.parts() if isinstance(part, Plate | Bracket))
    points += [place.near for part in sheet for place in part.place or () if place.near is not None]
    return _rows([np.array(point.xyz) for point in points])


def _rows(points: Sequence[Array]) -> Array:
    return np.array(points, dtype=float).reshape(-1, 3)


RULES = (rod_in_air,)
