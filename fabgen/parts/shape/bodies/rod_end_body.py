"""Rod ends of a link as bodies: shank and eye, simplified.

Everything is in mm.
"""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import EdgedMesh, round_edges
from fabgen.parts.piece import EyeSetup, LinkPart
from fabgen.parts.shape.bodies.length_body import hollow_strip, ring, top_frame

SHANK = 0.8
"""The shank ends so many of its diameters before the pin's middle (from memory, check against your part)."""
EYE = 2.2
"""An eye is so many times as wide outside as its thread (from memory, check against your part)."""


def rod_end_bodies(part: LinkPart) -> list[EdgedMesh]:
    """Shanks and eyes of a link's rod ends, simplified, so that the pins can be seen."""
    found = []
    for end, rod in zip(part.ends, part.sides, strict=True):
        if isinstance(rod, EyeSetup):
            continue  # its sleeve is a part of its own
        frame = top_frame(end)
        out = frame.x if end.at == "finish" else -frame.x
        face = end.frame.origin + float(np.nanmin(end.line.x)) * end.frame.x
        pin = face + out * rod.reach
        d = rod.thread.diameter
        found.append(round_bar(face, pin - out * d * SHANK, frame.z, d, 0.0))
        width = rod.eye_width or d
        found.append(round_bar(pin - frame.y * width / 2.0, pin + frame.y * width / 2.0, frame.z, EYE * d, d))
    return found


def round_bar(a: Array, b: Array, up: Array, diameter: float, bore: float, places: int = 32) -> EdgedMesh:
    """A round bar, or a ring where it has a bore.

    Args:
        a, b: middles of its ends, (3,) mm.
        up: any direction that is not along it, (3,).
        diameter, bore: mm; no bore = 0.
        places: round it.
    """
    x = (b - a) / np.linalg.norm(b - a)
    frame = Frame.along(a, x, np.cross(up, x))
    turn = np.linspace(0.0, 2.0 * math.pi, places, endpoint=False)
    circle = np.column_stack((np.cos(turn), np.sin(turn)))
    none, length, count = np.zeros(places), np.full(places, float(np.linalg.norm(b - a))), places
    rings = [ring(frame, at, circle * d / 2.0) for d in (diameter, bore) for at in (none, length)]
    edges = round_edges(0, count) + round_edges(count, count)
    edges += (round_edges(2 * count, count) + round_edges(3 * count, count)) if bore else []
    return EdgedMesh(np.vstack(rings), np.array(hollow_strip(2, count)), np.array(edges))
