"""Tubes with real copes for the tests of documents: built by hand, with no job file."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.parts.piece import Joint, LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.cuts import plain_line
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.single_cope import simple_cope
from fabgen.shop.section import Section


def round_tube(diameter: float, wall: float = 2.0) -> Section:
    return Section("round", diameter, diameter, wall)


def box_tube(width: float, depth: float, corner: float = 6.0, wall: float = 3.0) -> Section:
    return Section("rectangular", width, depth, wall, corner)


def coped_tube(
    section: Section,
    onto: Section,
    angle: float = 60.0,
    offset: float = 0.0,
    top: float = 90.0,
    mark: str = "T1",
    both: bool = False,
    quantity: int = 1,
    length: float = 812.0,
) -> Piece:
    """A tube along x with a cope at its start, and the same at its finish if `both`; degrees, mm."""
    x, y, z = np.eye(3)
    cope = simple_cope(section, onto, math.radians(angle), offset)
    joints = (Joint("T9", math.radians(angle), offset),)
    near, far = Frame(np.zeros(3), x, y, z), Frame(np.array([length, 0.0, 0.0]), -x, y, -z)
    start = WorkedEnd("start", "cope", cope.line, near, math.radians(top), joints)
    if both:
        finish = WorkedEnd("finish", "cope", cope.line, far, math.radians(-top), joints)
    else:
        finish = WorkedEnd("finish", "plain", plain_line(section_profile(section)), far, math.radians(-top))
    part = LengthPart(section, length, length, (start, finish))
    return Piece(mark, "tube", quantity, "S355", 2.0, part, title="brace")


CASES = {
    "small": coped_tube(round_tube(20.0), round_tube(25.0), 90.0, both=True),
    "tiny with a long mark": coped_tube(round_tube(16.0), round_tube(25.0), 70.0, mark="CROSS-MEMBER-LONG_12.345"),
    "common": coped_tube(round_tube(48.3), round_tube(60.3), 60.0, both=True, quantity=3),
    "offset, partly missing": coped_tube(round_tube(20.0), round_tube(60.3), 60.0, offset=25.0, top=0.0),
    "larger than its main": coped_tube(round_tube(60.3), round_tube(48.3), 60.0),
    "large": coped_tube(round_tube(139.7, 5.0), round_tube(168.3, 5.0), 60.0),
    "large and shallow": coped_tube(round_tube(139.7, 5.0), round_tube(139.7, 5.0), 30.0, top=271.0),
    "rectangular onto round": coped_tube(box_tube(60.0, 40.0), round_tube(76.1), 60.0, top=0.0, both=True),
    "square onto square": coped_tube(box_tube(40.0, 40.0), box_tube(60.0, 60.0), 45.0, top=0.0),
    "sharp corners": coped_tube(box_tube(20.0, 20.0, 0.0, 2.0), round_tube(48.3), 70.0, top=0.0),
    "top beside the toe": coped_tube(round_tube(42.4), round_tube(48.3), 75.0, top=178.0),
    "shorter than its paper": coped_tube(round_tube(42.4), round_tube(48.3), 90.0, offset=5.0, length=40.0),
}
