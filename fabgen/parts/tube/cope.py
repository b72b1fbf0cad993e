"""Copes: a tube end shaped to sit on other tubes.

The branch runs along +x, from the work point to its free end.  The main's axis lies in a plane
parallel to xy at z = offset and makes the acute angle with +x on the +y side, which is the heel.
phi is measured about +x from +y toward +z; x(phi) is where the branch is cut, the metal on the
greater-x side.  With fit "outside" the outer skin meets the main; with "clear" it is the greatest x
over the wall's thickness, so that a cut square to the axis leaves no part of the wall inside the
main.  DEVELOPERS.md, "Conventions", has the whole of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.contact import Array, Bar, RoundedPrism, Solid, greatest, union
from fabgen.geometry.tube.profile import Profile, rectangular_profile, round_profile
from fabgen.job.errors import InputError
from fabgen.parts.piece import CutLine, SawSetup
from fabgen.parts.tube.saw_setup import EndCut, by_saw, rounded
from fabgen.shop.section import Section

if TYPE_CHECKING:
    from fabgen.job.tables.definitions import Fit

LEAST_ANGLE = math.radians(5.0)
"""Two tubes nearer to parallel than this are not coped: the cut would run along the tube for
more than eleven diameters."""

_AXES = np.eye(3)


# -- sections as solids and as walls --------------------------------------------
def section_profile(section: Section, turn: float = 0.0, tangents: bool = True, per_degree: int = 1) -> Profile:
    """Places round a section's outside, `per_degree` to each degree; a rectangular one has its first
    figure along +y, turned by `turn` rad toward +z, and gets its corners' tangent points too."""
    if section.is_round:
        return round_profile(section.width, section.wall, per_degree)
    return rectangular_profile(section.width, section.depth, section.wall, section.corner, turn, tangents, per_degree)


def section_solid(section: Section, axis: Frame) -> Solid:
    """The tube filled up and without ends, along axis.x, its first figure along axis.z."""
    if section.is_round:
        return Bar(axis.origin, axis.x, section.width / 2.0)
    sides = Frame(axis.origin, axis.x, axis.z, -axis.y)
    return RoundedPrism(sides, section.width, section.depth, section.corner)


def cut_line(profile: Profile, frame: Frame, mains: Sequence[Solid], fit: Fit) -> CutLine:
    """Where a tube that runs along frame.x from frame.origin is cut to sit on all of `mains`.

    At each place it is the greatest x over the mains; nan where the tube misses them all.
    """
    return CutLine(profile.phi, profile.station, union(lines_onto(profile, frame, mains, fit)))


def lines_onto(profile: Profile, frame: Frame, mains: Sequence[Solid], fit: Fit) -> list[Array]:
    """The same for each main alone, (n,) mm each."""
    walls = profile.walls(frame)
    if fit == "outside":
        walls = walls.outer()
    return [greatest(main, walls) for main in mains]


def plain_line(profile: Profile, x: float = 0.0) -> CutLine:
    """A square cut at x mm."""
    return CutLine(profile.phi, profile.station, np.full(len(profile.phi), x))


def saw_cut(
    branch: Section, top: float, frame: Frame, line: CutLine, onto: Section, main: Solid, angle: float, offset: float
) -> tuple[SawSetup, Array]:
    """How to saw an end that sits on one main, and where its outer skin meets that, (n,) mm.

    `line` in `frame`, the tube's top line at `top` rad; `angle` rad and `offset` mm of the axes.
    """
    profile = section_profile(branch, top)

    def outer(solid: Solid) -> Array:
        return cut_line(profile, frame, [solid], "outside").x

    def on_bar(diameter: float) -> Array:
        along = math.cos(angle) * frame.x + math.sin(angle) * frame.y
        return outer(Bar(frame.origin + offset * frame.z, along, diameter / 2.0))

    outside = outer(main)
    return by_saw(EndCut(branch, profile.skin, line.x, outside, angle, offset, top), onto, on_bar), outside


# -- one cope without a job -------------------------------------------------------
@dataclass(frozen=True, eq=False)
class SimpleCope:
    """One branch on one main in the coordinates of this module; angle rad, offset mm."""

    branch: Section
    onto: Section
    angle: float
    offset: float
    fit: Fit
    line: CutLine
    saw: SawSetup


def simple_cope(branch: Section, onto: Section, angle: float, offset: float = 0.0, fit: Fit = "clear") -> SimpleCope:
    """The cope of `branch` onto `onto` at `angle` rad, their axes `offset` mm apart.

    Raises InputError where the angle is no acute angle a cope can have.
    """
    if not LEAST_ANGLE <= angle <= math.pi / 2.0 + 1e-9:
        degrees = math.degrees(angle)
        hint = f"; for {degrees:g} give {180.0 - degrees:g}" if 90.0 < degrees < 175.0 else ""
        raise InputError(
            f"a cope at {degrees:g} degrees cannot be made",
            f"the acute angle between the two tubes, {math.degrees(LEAST_ANGLE):g} to 90 degrees{hint}",
        )
    main = _main(onto, angle, offset)
    line = cut_line(section_profile(branch), _ORIGIN, [main], fit)
    saw, _ = saw_cut(branch, 0.0, _ORIGIN, line, onto, main, angle, offset)
    return SimpleCope(branch, onto, angle, offset, fit, line, saw)


def cope_json(cope: SimpleCope) -> dict[str, Any]:
    """The cope as `fabgen cope --json` prints it, without the path of its template."""
    degrees = section_profile(cope.branch, tangents=False)
    line = cut_line(degrees, _ORIGIN, [_main(cope.onto, cope.angle, cope.offset)], cope.fit)
    return {
        "branch": str(cope.branch),
        "onto": str(cope.onto),
        "angle_deg": rounded(math.degrees(cope.angle)),
        "offset_mm": rounded(cope.offset),
        "fit": cope.fit,
        "line": [[i, None if np.isnan(x) else rounded(x)] for i, x in enumerate(line.x)],
        "wrap_mm": rounded(cope.branch.perimeter),
        "saw": asdict(cope.saw),
    }


_ORIGIN = Frame(np.zeros(3), *_AXES)


def _main(onto: Section, angle: float, offset: float) -> Solid:
    """The main filled up, for a branch along +x from the origin."""
    return section_solid(onto, main_axis(angle, offset))


def main_axis(angle: float, offset: float) -> Frame:
    """Its axis: in a plane parallel to xy, the first figure in that plane, along z of the frame."""
    along = np.array([math.cos(angle), math.sin(angle), 0.0])
    across = np.array([-math.sin(angle), math.cos(angle), 0.0])
    origin = np.array([0.0, 0.0, offset])
    return Frame(origin, along, -_AXES[2], across)
