"""Copes: a tube end shaped to sit on other tubes (the signs are those of DESIGN 6)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from fabgen.geometry.contact import Array, Bar, RoundedPrism, Solid, greatest, union
from fabgen.geometry.frame import Frame
from fabgen.geometry.profile import Profile, rectangular_profile, round_profile
from fabgen.job.errors import InputError
from fabgen.parts.piece import CutLine
from fabgen.shop.section import Section

if TYPE_CHECKING:
    from fabgen.job.definitions import Fit

LEAST_ANGLE = math.radians(5.0)
"""Two tubes nearer to parallel than this are not coped: the cut would run along the tube for
more than eleven diameters."""

_HOLE_SAW_ANGLE = math.radians(30.0)
"""Below this angle a hole saw wanders along the tube (common practice, no source)."""

_FLAT = 0.01
"""A cut is straight when it departs from a plane by less than this, mm."""

_AXES = np.eye(3)


# -- sections as solids and as walls --------------------------------------------
def section_profile(section: Section, turn: float = 0.0, tangents: bool = True) -> Profile:
    """Places round a section's outside; a rectangular one has its first figure along +y,
    turned by `turn` rad toward +z, and gets its corners' tangent points too."""
    if section.is_round:
        return round_profile(section.width, section.wall)
    return rectangular_profile(section.width, section.depth, section.wall, section.corner, turn, tangents)


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


# -- one cope without a job -------------------------------------------------------
@dataclass(frozen=True, slots=True)
class SawSetup:
    """How to cut one cope with a saw.  Positions are mm from the work point along the branch.

    `method`: 'straight saw cut' where the branch sits on a flat face, 'hole saw' where one
    pass of a cutter of the main's outside diameter makes it, else 'template'; `advice` says
    why, and what to set.  `from_square_deg` is how far the saw or fixture is turned from a
    square cut.  `hole_saw_depth_mm` is the cutter's travel across the branch.
    """

    method: str
    angle_deg: float
    from_square_deg: float
    offset_mm: float
    long_point_mm: float | None
    short_point_mm: float | None
    hole_saw_mm: float | None
    hole_saw_depth_mm: float | None
    advice: str


@dataclass(frozen=True, eq=False)
class SimpleCope:
    """One branch on one main in DESIGN 6's coordinates; angle rad, offset mm."""

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
    return SimpleCope(branch, onto, angle, offset, fit, line, _saw(branch, onto, angle, offset, line, main))


def cope_json(cope: SimpleCope) -> dict[str, Any]:
    """The cope in the form of DESIGN 6, without the path of its template."""
    degrees = section_profile(cope.branch, tangents=False)
    line = cut_line(degrees, _ORIGIN, [_main(cope.onto, cope.angle, cope.offset)], cope.fit)
    return {
        "branch": str(cope.branch),
        "onto": str(cope.onto),
        "angle_deg": _rounded(math.degrees(cope.angle)),
        "offset_mm": _rounded(cope.offset),
        "fit": cope.fit,
        "line": [[i, None if np.isnan(x) else _rounded(x)] for i, x in enumerate(line.x)],
        "wrap_mm": _rounded(cope.branch.perimeter),
        "saw": asdict(cope.saw),
    }


_ORIGIN = Frame(np.zeros(3), *_AXES)


def _main(onto: Section, angle: float, offset: float) -> Solid:
    """The main of DESIGN 6: in a plane parallel to xy, the first figure in that plane."""
    along = np.array([math.cos(angle), math.sin(angle), 0.0])
    across = np.array([-math.sin(angle), math.cos(angle), 0.0])
    origin = np.array([0.0, 0.0, offset])
    return section_solid(onto, Frame(origin, along, -_AXES[2], across))


def _rounded(value: float) -> float:
    """To a tenth of a micrometre; never -0."""
    return round(float(value), 4) + 0.0


# -- sawing it ----------------------------------------------------------------------
def _saw(branch: Section, onto: Section, angle: float, offset: float, line: CutLine, main: Solid) -> SawSetup:
    hits = line.x[~np.isnan(line.x)]
    profile = section_profile(branch)
    outside = cut_line(profile, _ORIGIN, [main], "outside").x
    y = profile.skin[:, 0]
    # Along the main's axis: what a cutter has to travel to pass through the branch.
    travel = outside * math.cos(angle) + y * math.sin(angle)
    turned = 90.0 - math.degrees(angle)
    whole = bool(len(hits)) and not np.isnan(outside).any() and not line.misses
    level = outside - y / math.tan(angle)
    gap = float(np.ptp(level)) if whole else math.nan
    method, advice = _method(onto, angle, offset, turned, gap)
    by_hole_saw = method == "hole saw"
    return SawSetup(
        method=method,
        angle_deg=_rounded(math.degrees(angle)),
        from_square_deg=_rounded(turned),
        offset_mm=_rounded(offset),
        long_point_mm=_rounded(hits.min()) if len(hits) else None,
        short_point_mm=_rounded(hits.max()) if len(hits) else None,
        hole_saw_mm=_rounded(onto.width) if by_hole_saw else None,
        hole_saw_depth_mm=_rounded(float(np.ptp(travel))) if by_hole_saw else None,
        advice=advice,
    )


def _method(onto: Section, angle: float, offset: float, turned: float, gap: float) -> tuple[str, str]:
    """`gap`: what a straight cut along the main would leave open, mm; nan where the branch misses."""
    if math.isnan(gap):
        return "template", "the branch runs past the main in part: look at the template before cutting"
    if gap < _FLAT:
        return "straight saw cut", f"the branch sits on a flat face: saw straight, {turned:.1f}° from square"
    if not onto.is_round:
        return (
            "template",
            f"the branch runs onto the main's corners: a straight cut {turned:.1f}° from square leaves up to "
            f"{gap:.1f} mm open there, the template closes it",
        )
    if angle < _HOLE_SAW_ANGLE:
        return "template", "below 30° a hole saw wanders along the tube: cut by the template and dress to fit"
    side = f", its axis {abs(offset):.1f} mm off the branch's" if abs(offset) >= 0.05 else ""
    return (
        "hole saw",
        f"hole saw of {onto.width:g} mm (the main's outside diameter, or the next size up), "
        f"{turned:.1f}° from square{side}; the cutter's axis meets the branch at the work point",
    )
