"""A link rod as closed shells: its tube, the heads of its bungs, jam nuts, shanks, and eyes or, where the way of the
pin is not known, the balls in them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.contact.pins import Pins
from fabgen.contact.round_shells import PLACES, ball, bar
from fabgen.geometry.space.frame import unit
from fabgen.geometry.space.mesh import Mesh
from fabgen.parts.piece import EyeSetup, LinkPart, RodEndSetup, WorkedEnd
from fabgen.parts.shape.bodies.length_body import tube_body
from fabgen.parts.shape.bodies.rod_end_body import EYE, SHANK, round_bar
from fabgen.shop.threaded.fasteners import hexagon_head


def link_shells(part: LinkPart, pins: Pins | None) -> tuple[Mesh, ...]:
    """The shells of a link as it is set up, in space.

    Args:
        part: the link.
        pins: which way the bolts of the job run; None where its ends are wanted as balls.
    """
    found: list[Mesh] = [tube_body(part, as_sawn=True)]
    for end, side in zip(part.ends, part.sides, strict=True):
        if not isinstance(side, EyeSetup):
            found += _rod_end(part, end, side, pins)
    return tuple(found)


def _rod_end(part: LinkPart, end: WorkedEnd, rod: RodEndSetup, pins: Pins | None) -> Iterator[Mesh]:
    out = -end.frame.x
    face = end.frame.origin - float(np.nanmin(end.line.x)) * out
    pin = face + out * rod.reach
    up, d = end.frame.z, rod.thread.diameter
    if part.bungs and rod.head > 0.0:
        yield bar(face, face + out * rod.head, up, part.head_diameter)
    yield bar(face, pin - out * d * SHANK, up, d)
    if (head := hexagon_head(rod.thread.bolt)) is not None:
        seat = face + out * rod.head
        yield bar(seat, seat + out * rod.thread.jam_nut, up, head.across_flats)
    width = rod.eye_width or d
    way = pins.way(pin) if pins is not None else None
    if way is None:
        yield ball(pin, width / 2.0)
        return
    across = way - float(way @ out) * out
    if float(np.linalg.norm(across)) < 0.5:  # no bolt runs along the rod: the hole is another's
        yield ball(pin, width / 2.0)
        return
    across = unit(across) * width / 2.0
    yield round_bar(pin - across, pin + across, out, EYE * d, d, PLACES)
