"""A spring or damper as closed shells: its body from eye to eye, and its eyes where the job gives their size."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.contact.pins import Pins
from fabgen.contact.round_shells import PLACES, ball, bar
from fabgen.geometry.space.frame import Array, any_across, unit
from fabgen.geometry.space.mesh import Mesh
from fabgen.job.tables.movement_tables import Damper
from fabgen.motion.dampers import body_span, thickness
from fabgen.parts.shape.bodies.rod_end_body import round_bar
from fabgen.parts.shape.directions import array

POINT = 1.0
"""Ends nearer to one another than this are one point, mm."""
BORE = 0.5
"""The bore of an eye is such a share of its diameter at most: the bush in it is softer (common practice, no
source)."""


def damper_shells(damper: Damper, pins: Pins) -> tuple[Mesh, ...]:
    """The shells of a damper as it is drawn; none of one whose ends are one point.

    Args:
        damper: its table.
        pins: which way the bolts of the job run.
    """
    a, b = (array(point) for point in damper.between)
    length = float(np.linalg.norm(b - a))
    if length < POINT:
        return ()
    along = (b - a) / length
    first, last = body_span(damper, length)
    body = bar(a + first * along, a + last * along, any_across(along), thickness(damper))
    return (body, *_eyes(damper, (a, b), along, pins))


def _eyes(damper: Damper, ends: tuple[Array, Array], along: Array, pins: Pins) -> Iterator[Mesh]:
    if damper.eye_diameter is None or damper.eye_width is None:
        return
    for middle in ends:
        way = pins.way(middle)
        across = None if way is None else way - float(way @ along) * along
        if across is None or float(np.linalg.norm(across)) < 0.5:
            yield ball(middle, min(damper.eye_width, damper.eye_diameter) / 2.0)
            continue
        half = unit(across) * damper.eye_width / 2.0
        bore = BORE * damper.eye_diameter
        yield round_bar(middle - half, middle + half, along, damper.eye_diameter, bore, PLACES)
