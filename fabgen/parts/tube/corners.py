"""What the trade makes of a point where only ends of tubes meet, where the job does not say.

One tube runs on and the others sit on it in the order of the job.  The widest runs on, of like ones the first; but
where two lie end to end in one straight line, as the chords of a truss drawn bay by bay, the post between them does, if
it is as wide.
Two like ends alone that meet at no right angle are mitred, where a saw swung to 45 degrees cuts that or they are mirror
images along the job's axes, as at a ridge or the nose of a drawbar; so are two like
ends of which one all but carries on the other, as a kinked leg, where none that meets them is wider; and the first two
like ends in one plane at every corner where the job asks for mitres, unless a wider one there carries both whole.  What
else ends there sits on both.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fabgen.geometry.space.frame import Array, cross, unit
from fabgen.geometry.space.lines import nearest_places, unit_or_none
from fabgen.job.errors import Problem, listed, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import ENDS, At
from fabgen.parts.shape.cuts import LEAST_ANGLE
from fabgen.parts.shape.sections import half_size
from fabgen.parts.tube.routed_tube import SAME_POINT, RoutedTube

Style = Literal["run on", "mitred", "hub", "disc", "as drawn"]
End = tuple[RoutedTube, At]

_SQUARE = math.radians(5.0)
"""Ends within this of a right angle to one another meet squarely."""

_MIRRORED = math.cos(math.radians(1.0))
"""Ends whose directions differ along an axis of the job as nearly as this are mirror images."""

_STEEP = math.radians(45.0)
"""A post at less to a chord does not part it."""

_LIKE = 0.05
"""Sizes that differ by less are the same, mm."""

_FLAT = math.radians(150.0)
"""Ends that leave a point by more than this are one line with a kink."""

_ALIGNED = math.sin(math.radians(1.0))
"""Rectangular tubes are mitred where a face of each lies in the corner's plane as nearly as this."""


@dataclass(frozen=True, eq=False)
class Node:
    """What the job says of the corner at a point, (3,) mm."""

    at: Array
    style: Style | None
    runs: str | None


class Corners:
    """How the ends of tubes that meet at a point are to be joined.

    Args:
        styles: by a tube's place in the job.
        nodes: what the job says of single points.
    """

    def __init__(self, styles: Sequence[Style], nodes: Sequence[Node] = ()) -> None:
        self.styles, self.nodes = styles, nodes

    @staticmethod
    def of(job: Definitions) -> Corners:
        """Those that a job gives."""
        nodes = [Node(np.array(node.at.xyz), node.corners, node.runs) for node in job.node]
        return Corners([tube.corners or job.job.corners for tube in job.tube], nodes)

    def style(self, end: End) -> Style:
        """How a corner at an end is made."""
        node = self._node(end)
        return self.styles[end[0].index] if node is None or node.style is None else node.style

    def order(self, end: End) -> tuple[bool, float, int]:
        """The place of an end among those that meet at its point: the least runs on."""
        routed, _ = end
        node = self._node(end)
        first = node is not None and node.runs == routed.mark
        return not first, -round(_wide(end), 3), routed.index

    def _node(self, end: End) -> Node | None:
        routed, at = end
        return next((node for node in self.nodes if routed.meets(at, node.at)), None)

    def mitred_pair(self, ends: Sequence[End]) -> tuple[End, End] | None:
        """The two of the open ends at one point, where no tube runs through, that are mitred; None where none are.

        Args:
            ends: in the order of the job.
        """
        style = self.style(ends[0])
        if style == "as drawn":
            return None
        for i, one in enumerate(ends):
            for other in ends[i + 1 :]:
                alone = len(ends) == 2 and not _is_square(one, other)
                alone = alone and (_between(one, other) >= math.pi / 2.0 or _is_mirrored(one, other))
                wider = [each for each in ends if _wide(each) > _wide(one) + _LIKE]
                goes_on = _goes_on(one, other) and not wider
                mitred = style == "mitred" and not any(_narrow(each) > _wide(one) - _LIKE for each in wider)
                if (mitred or alone or goes_on) and _is_like(one, other):
                    return one, other
        return None


def runs_faults(job: Definitions, tubes: Sequence[RoutedTube]) -> Iterator[Problem]:
    """Faults of nodes that name a tube to run on which has no end there.

    Args:
        job: its nodes.
        tubes: those that could be built.
    """
    for i, node in enumerate(job.node):
        point = np.array(node.at.xyz)
        there = [tube.mark for tube in tubes if any(tube.meets(at, point) for at in ENDS)]
        if node.runs is not None and node.runs not in there and there:
            is_tube = any(tube.mark == node.runs for tube in job.tube)
            what = f"{node.runs} has no end at this point" if is_tube else f'there is no tube "{node.runs}" to run on'
            yield Problem(("node", i, "runs"), what, f"tubes that end here: {listed(there)}", nearest(node.runs, there))
        kept = [tube.mark for tube in tubes if tube.as_it_is and tube.mark in there and tube.mark != node.runs]
        if node.runs in there and kept and not any(tube.as_it_is for tube in tubes if tube.mark == node.runs):
            what = f"{kept[0]} ends here too and is not made here, so nothing cuts it to sit on {node.runs}"
            yield Problem(("node", i, "runs"), what, f'no `runs`: {kept[0]} runs on, or runs = "{kept[0]}"')


def _wide(end: End) -> float:
    return max(end[0].section.width, end[0].section.depth)


def _narrow(end: End) -> float:
    return min(end[0].section.width, end[0].section.depth)


def goes_on_in(end: End, other: End) -> bool:
    """Whether another tube's end goes on from an end in one straight line, as at a splice."""
    (one, at), (following, there) = end, other
    if _between(end, other) < math.pi - LEAST_ANGLE:
        return False
    return one.meets_end(at, following, there)


def overhangs(end: End, branch: End) -> bool:
    """Whether a tube goes on past the place where another's end meets it, however little, and that end does not go past
    its axis: then it carries that end, though it ends near by."""
    (one, at), (other, there) = end, branch
    if one.meets_end(at, other, there):
        return False
    places = nearest_places(one.point(at), one.inward(at), other.point(there), other.inward(there))
    if places is None:
        return False
    return SAME_POINT < places[0] <= one.straight(at) and places[1] <= SAME_POINT


def parts_chord(post: End, chord: End) -> bool:
    """Whether a tube can run through between two like ones in one straight line, of which `chord` is an end: it is
    as wide as they are, and stands steep on them."""
    if not _STEEP <= _between(post, chord) <= math.pi - _STEEP:
        return False
    normal = unit(cross(post[0].inward(post[1]), chord[0].inward(chord[1])))
    wide, least = (half_size(one.section, one.frame_at(at).x, one.frame_at(at).z, normal) for one, at in (post, chord))
    return wide >= least - _LIKE


def _between(one: End, other: End) -> float:
    """The angle between two ends' axes, rad in [0, pi]."""
    cosine = float(one[0].inward(one[1]) @ other[0].inward(other[1]))
    return math.acos(max(-1.0, min(1.0, cosine)))


def _is_square(one: End, other: End) -> bool:
    return abs(_between(one, other) - math.pi / 2.0) <= _SQUARE


def _is_mirrored(one: End, other: End) -> bool:
    """Whether two ends are mirror images of one another in a plane square to one of the job's axes."""
    apart = unit_or_none(one[0].inward(one[1]) - other[0].inward(other[1]))
    return apart is not None and float(np.abs(apart).max()) >= _MIRRORED


def _goes_on(one: End, other: End) -> bool:
    """Whether one end all but carries on the other: too flat to be coped onto it."""
    return _between(one, other) >= _FLAT


def _is_like(one: End, other: End) -> bool:
    """Whether two ends of one section lie so that a mitre fits them face to face."""
    if one[0] is other[0] or one[0].section != other[0].section:
        return False
    if not 2.0 * LEAST_ANGLE <= _between(one, other) <= math.pi - LEAST_ANGLE:
        return False
    if one[0].section.is_round:
        return True
    normal = cross(one[0].inward(one[1]), other[0].inward(other[1]))
    normal = normal / np.linalg.norm(normal)
    sides = [_face_along(end, normal) for end in (one, other)]
    return sides[0] is not None and sides[0] == sides[1]


def _face_along(end: End, normal: Array) -> int | None:
    """Which pair of a tube's faces lies square to a direction: 0 or 1; None where neither does."""
    frame = end[0].frame_at(end[1])
    for i, side in enumerate((frame.y, frame.z)):
        if np.linalg.norm(cross(side, normal)) <= _ALIGNED:
            # Of a square tube both pairs are alike.
            return 0 if end[0].section.width == end[0].section.depth else i
    return None
