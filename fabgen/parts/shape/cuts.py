"""Lines that tube ends are cut along, and what they leave of a tube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.contact import greatest, union
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import Solid
from fabgen.parts.piece import CutLine, LengthPart
from fabgen.parts.shape.sections import profile_at, section_profile
from fabgen.shop.section import Section

if TYPE_CHECKING:
    from fabgen.job.tables.part_tables import Fit

LEAST_ANGLE = math.radians(5.0)
"""Two tubes nearer to parallel than this are not coped: the cut would run along the tube for
more than eleven diameters."""

TRUE = 0.008
"""A line drawn straight from place to place departs from the true one by less than this, mm."""
SHORTEST = 0.02
"""Places nearer to one another than this have none put between them, mm: there the line is a step."""


def cut_line(profile: Profile, frame: Frame, mains: Sequence[Solid], fit: Fit) -> CutLine:
    """Where a tube is cut to sit on all of its mains: at each place the greatest x over them.

    Args:
        profile: places round the tube.
        frame: the tube runs along frame.x from frame.origin.
        mains: as solids, with the root gap on them.
        fit: 'outside': the outer skin meets the main; 'clear': no part of the wall is inside it.
    Returns: nan where the tube misses them all.
    """
    return CutLine(profile.phi, profile.station, union(lines_onto(profile, frame, mains, fit)))


def drawn_line(
    section: Section, top: float, frame: Frame, mains: Sequence[Solid], fit: Fit, rough: Array | None = None
) -> CutLine:
    """The same, with places close enough that it may be drawn straight from each to the next.

    It is taken at whole degrees first.  Where its slope changes so much that it could depart from the straight
    between two places, at a kink where two mains meet or round a corner of the section, one is put half-way,
    and so on from there.

    Args:
        section: of the tube.
        top: phi of its top line, rad.
        frame, mains, fit: as those of `cut_line`.
        rough: (n,) mm, the line at the places of the section's profile, where it is known already.
    """
    profile = section_profile(section, top)
    phi, station = profile.phi, profile.station
    x = union(lines_onto(profile, frame, mains, fit)) if rough is None else rough
    doubtful = _doubtful(station, x, profile.perimeter)
    while doubtful.any():
        left = np.flatnonzero(doubtful)
        right, turns = (left + 1) % len(phi), left == len(phi) - 1
        between = profile_at(section, top, (phi[left] + phi[right] + 2.0 * math.pi * turns) / 2.0)
        found = union(lines_onto(between, frame, mains, fit))
        begin, end = station[left], station[right] + profile.perimeter * turns
        straight = x[left] + (x[right] - x[left]) * (between.station - begin) / (end - begin)
        # Half the limit: a kink nearer to one of the two departs by up to twice what the middle shows.
        off = ~(np.abs(found - straight) <= TRUE / 2.0) & ~(np.isnan(found) & np.isnan(x[left]) & np.isnan(x[right]))
        at = left[off] + 1
        phi, station = np.insert(phi, at, between.phi[off]), np.insert(station, at, between.station[off])
        x = np.insert(x, at, found[off])
        # Each new place is between two stretches to look at next.
        new = at + np.arange(len(at))
        doubtful = np.zeros(len(phi), dtype=bool)
        doubtful[new - 1] = doubtful[new] = True
        doubtful &= np.diff(station, append=profile.perimeter) > SHORTEST
    return CutLine(phi, station, x)


def _doubtful(station: Array, x: Array, perimeter: float) -> NDArray[np.bool_]:
    """From which places, (n,), the line may depart from the straight to the next.

    A kink that changes the slope by m departs by at most m / 4 of the distance of the places on either side of
    it, and slopes before and after show m; a curve departs by less.
    """
    steps = np.diff(station, append=perimeter)
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.diff(x, append=x[:1]) / steps
        change = np.abs(slope - np.roll(slope, 1))
        most = (change + np.roll(change, -1)) * steps / 4.0
    nowhere = np.isnan(x) & np.isnan(np.roll(x, -1))
    return np.asarray(~(most <= TRUE) & ~nowhere & (steps > SHORTEST))


def lines_onto(profile: Profile, frame: Frame, mains: Sequence[Solid], fit: Fit) -> list[Array]:
    """Where a tube is cut to sit on each of its mains alone.

    Args: as those of `cut_line`.
    Returns: (n,) mm for each main, nan where the tube misses it.
    """
    walls = profile.walls(frame)
    if fit == "outside":
        walls = walls.outer()
    return [greatest(main, walls) for main in mains]


def plain_line(profile: Profile, x: float = 0.0) -> CutLine:
    """A square cut at x mm."""
    return CutLine(profile.phi, profile.station, np.full(len(profile.phi), x))


def parting(d: Array, e: Array, h: float, k: float) -> Array:
    """Square on the plane that parts two tubes from edge to edge.

    Args:
        d: (3,), unit direction of the first, away from where they meet.
        e: (3,), of the second.
        h: half the first's size in the plane of both, mm.
        k: half the second's.
    Returns: (3,), into the first, of no set length.
    Source: the head of `parts/tube/mitre.py`.
    """
    c = float(d @ e)
    return np.asarray((h + k * c) * d - (k + h * c) * e)


def side_lengths(part: LengthPart) -> Array:
    """Length of the tube along its outside at each place of the start's line, (n,) mm, before it
    is bent; nan where an end misses its main.

    The finish's phi runs the other way round, and the top line is common to both ends.
    """
    start, finish = part.ends
    between = part.length + start.line.longest + finish.line.longest
    phi = finish.top - (start.line.phi - start.top)
    return np.asarray(between - start.line.x - np.interp(phi, finish.line.phi, finish.line.x, period=2.0 * math.pi))


def side_range(part: LengthPart) -> tuple[float, float]:
    """The shortest and the longest of those lengths, mm, at the places of both ends' lines; nan where an end misses
    its main altogether."""
    start, finish = part.ends
    between = part.length + start.line.longest + finish.line.longest
    phi = start.top - (finish.line.phi - finish.top)
    sides = np.concatenate((side_lengths(part), between - finish.line.x - start.line.at(phi)))
    return (math.nan, math.nan) if np.isnan(sides).all() else (float(np.nanmin(sides)), float(np.nanmax(sides)))


def section_share(part: LengthPart, end: int = 0) -> Array:
    """Share of the perimeter at each place of an end's line.

    Args:
        end: 0 for the start, 1 for the finish.
    Returns: (n,), adding up to 1.
    """
    line, perimeter = part.ends[end].line, part.section.perimeter
    after = np.append(line.station[1:], perimeter)
    before = np.append(line.station[-1] - perimeter, line.station[:-1])
    return np.asarray((after - before) / (2.0 * perimeter))
