"""Ends of springs and dampers that nothing holds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.round_shells import ball
from fabgen.contact.solids import Shape, Solid
from fabgen.geometry.mechanics.constraints import FRAME
from fabgen.job.tables.movement_tables import Damper
from fabgen.job.values.point import Point
from fabgen.motion.dampers import body_begins
from fabgen.motion.riders import Riders
from fabgen.parts.piece import LinkPart, Piece
from fabgen.parts.shape.directions import array
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

DOT = 0.5
"""Radius of the ball that stands for the middle of an eye, mm."""


@rule("damper-in-air", Level.WARN, source=PRACTICE)
def damper_in_air(job: Checked) -> Iterator[Found]:
    """Each end of a spring or damper has something to hang on: a body that names its point, a tube that it stands in,
    or metal no farther off than its eye is wide, 25 mm where the job does not say that.  Where no part of the frame has
    a place that is not asked."""
    cases = list(_in_air(job))
    if not cases:
        return
    each = [sentence(f"{damper.name}'s {at} end, ", mm(gap), f" from the nearest, {other.mark}")
            for damper, at, gap, other in cases]  # fmt: skip
    one = len(cases) == 1
    hang, do = ("hangs", "the bracket that holds it") if one else ("hang", "the brackets that hold them")
    points = "point" if one else "points"
    yield found(
        named(each, "; ", FEW), f": {hang} in the air: place {do}, or move the {points}",
        about=[damper.name for damper, *_ in cases],
    )  # fmt: skip


def _in_air(job: Checked) -> Iterator[tuple[Damper, str, float, Solid]]:
    """The ends that nothing holds, each with what is nearest, mm off."""
    if job.movement is None or not job.job.damper:
        return
    linkage = job.movement.linkage
    riders = Riders(linkage, job.pieces)
    metal = [(each, riders.body(each.source, each.number)) for each in job.contacts.solids
             if isinstance(each.source, Piece) and not isinstance(each.part, LinkPart)]  # fmt: skip
    if not any(body == FRAME for _, body in metal):
        return
    for damper in job.job.damper:
        for point, at in zip(damper.between, ("first", "second"), strict=True):
            if f"point {point.name}" in linkage.riding:
                continue
            begins, solids = body_begins(damper), [solid for solid, _ in metal]
            nearest = job.contacts.nearest(_dot(damper, point, DOT), solids)
            if nearest is None or (away := nearest[0] + DOT) <= begins:
                continue
            if not _is_in_a_tube(_dot(damper, point, begins), solids):
                yield damper, at, away, nearest[1]


def _is_in_a_tube(eye: Solid, solids: Sequence[Solid]) -> bool:
    """Whether it comes into the hollow of one, as a coil spring stands in its turret."""
    low, high = eye.box
    near = (solid for solid in solids if (solid.box[0] < high).all() and (solid.box[1] > low).all())
    return any(not (eye.metal ^ solid.filled).is_empty() for solid in near if solid.is_hollow)


def _dot(damper: Damper, point: Point, radius: float) -> Solid:
    return Solid(damper, 0, Shape((ball(array(point), radius),), (), radius))
