"""Lines that tube ends are cut along, and what they leave of a tube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.contact import greatest, union
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import Solid
from fabgen.parts.piece import CutLine, LengthPart

if TYPE_CHECKING:
    from fabgen.job.tables.definitions import Fit

LEAST_ANGLE = math.radians(5.0)
"""Two tubes nearer to parallel than this are not coped: the cut would run along the tube for
more than eleven diameters."""


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
