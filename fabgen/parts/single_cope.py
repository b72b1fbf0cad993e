"""One cope without a job: a tube end shaped to sit on another tube.

The branch runs along +x, from the work point to its free end.  The main's axis lies in a plane
parallel to xy at z = offset and makes the acute angle with +x on the +y side, which is the heel.
phi is measured about +x from +y toward +z; x(phi) is where the branch is cut, the metal on the
greater-x side.  With fit "outside" the outer skin meets the main; with "clear" it is the greatest x
over the wall's thickness, so that a cut square to the axis leaves no part of the wall inside the
main.  DEVELOPERS.md, "Conventions", has the whole of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.solids import Solid
from fabgen.job.errors import InputError
from fabgen.job.tables.part_tables import Fit
from fabgen.parts.piece import CutLine, Joint, SawSetup, WorkedEnd
from fabgen.parts.shape.cuts import LEAST_ANGLE, drawn_line
from fabgen.parts.shape.sections import section_solid
from fabgen.parts.tube.saw_cuts import saw_cut
from fabgen.shop.section import Section

_AXES = np.eye(3)


@dataclass(frozen=True, eq=False)
class SimpleCope:
    """One branch on one main in the coordinates of this module; angle rad, offset mm."""

    branch: Section
    onto: Section
    angle: float
    offset: float
    end: WorkedEnd

    @property
    def line(self) -> CutLine:
        return self.end.line

    @property
    def saw(self) -> SawSetup:
        """How to saw it."""
        assert self.end.saw is not None
        return self.end.saw

    @property
    def axis(self) -> Frame:
        """The main's axis: in a plane parallel to xy, the first figure in that plane, along z of the frame."""
        return _axis(self.angle, self.offset)

    @property
    def main(self) -> Solid:
        """The main filled up, for a branch along +x from the origin."""
        return section_solid(self.onto, self.axis)


def simple_cope(branch: Section, onto: Section, angle: float, offset: float = 0.0, fit: Fit = "clear") -> SimpleCope:
    """The cope of `branch` onto `onto`.

    Args:
        angle: acute, between the two tubes, rad.
        offset: how far the axes pass one another, mm.
    Raises:
        InputError: the angle is no acute angle a cope can have.
    """
    if not LEAST_ANGLE <= angle <= math.pi / 2.0 + 1e-9:
        degrees = math.degrees(angle)
        hint = f"; for {degrees:g} give {180.0 - degrees:g}" if 90.0 < degrees < 175.0 else ""
        what = f"a cope at {degrees:g} degrees cannot be made"
        accepted = f"the acute angle between the two tubes, {math.degrees(LEAST_ANGLE):g} to 90 degrees{hint}"
        raise InputError(what, accepted)
    main = section_solid(onto, _axis(angle, offset))
    line = drawn_line(branch, 0.0, FRAME, [main], fit)
    end = WorkedEnd("start", "cope", line, FRAME, 0.0, (Joint(str(onto), angle, offset),), fit)
    saw, _ = saw_cut(branch, end, onto, main)
    return SimpleCope(branch, onto, angle, offset, replace(end, saw=saw))


FRAME = Frame(np.zeros(3), *_AXES)
"""Of the branch's end."""


def _axis(angle: float, offset: float) -> Frame:
    along = np.array([math.cos(angle), math.sin(angle), 0.0])
    across = np.array([-math.sin(angle), math.cos(angle), 0.0])
    origin = np.array([0.0, 0.0, offset])
    return Frame(origin, along, -_AXES[2], across)
