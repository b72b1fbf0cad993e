"""Points at which more ends of tubes meet than can be welded one onto the other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.job.values.units import format_length
from fabgen.parts.piece import ENDS, WorkedEnd
from fabgen.parts.shape.tubes import route_point
from fabgen.wording.levels import Level

MANY = 6
"""So many ends and more are not coped each onto the last (common practice, no source)."""
FLAT = math.sin(math.radians(0.5))
"""Ends that lean no more than this out of a plane fit a disc in it."""
MEET = 1.0
"""Ends this near meet, mm."""


@dataclass(frozen=True, eq=False)
class _End:
    """An end of a tube: its point as the job gives it, which may lie on a face of the tube, and along its middle."""

    mark: str
    end: WorkedEnd
    drawn: Array
    middle: Array

    def is_at(self, place: tuple[float, float, float]) -> bool:
        return min(math.dist(self.drawn, place), math.dist(self.middle, place)) <= MEET


def _ends(job: Checked) -> Iterator[_End]:
    for mark, part in job.own_tubes.items():
        for end in part.ends if part.frame is not None else ():
            middle, tube = route_point(part, end.at), job.tube_tables.get(mark)
            point = np.array(tube.given_ends[ENDS.index(end.at)].xyz) if tube is not None else middle
            yield _End(mark, end, point, middle)


@rule("many-ends", Level.WARN, source=PRACTICE)
def many_ends(job: Checked) -> Iterator[Found]:
    """Where six and more ends meet, and no tube runs through, they land on a hub, or the job says how they are
    joined."""
    groups: list[list[_End]] = []
    for end in _ends(job):
        group = next((g for g in groups if math.dist(g[0].drawn, end.drawn) <= MEET), None)
        if group is None:
            groups.append(group := [])
        group.append(end)
    settled = [node.at.xyz for node in job.job.node if node.corners]
    crowded = [
        group
        for group in groups
        if len(group) >= MANY
        and {joint.onto for each in group for joint in each.end.joints} & {each.mark for each in group}
        and not any(group[0].is_at(place) for place in settled)
    ]
    if crowded:
        group = crowded[0]
        at = ", ".join(format_length(float(each), job.job.job.units, unit=False) for each in group[0].drawn)
        where = f"{len(group)} ends meet at [{at}]" + (
            f", and six or more at {len(crowded) - 1} other points" * (len(crowded) > 1)
        )
        cure = '`corners = "hub"` in [job] puts a hub there, or `[[node]]` with '
        disc = ', or "disc", as they lie in one plane' * _in_one_plane([each.end.frame.x for each in group])
        words = f'{where}, each coped onto the last: {cure}`at = [{at}]` and `corners = "hub"`{disc}'
        yield found(words, about=group[0].mark)


@rule("node-nowhere", Level.WARN, source=FROM_JOB)
def node_nowhere(job: Checked) -> Iterator[Found]:
    """A [[node]] lies at a point where tubes end, or it changes nothing."""
    ends = list(_ends(job))
    alone = [node for node in job.job.node if not any(end.is_at(node.at.xyz) for end in ends)]
    if alone and ends:
        places = [", ".join(format_length(each, job.job.job.units, unit=False) for each in node.at.xyz)
                  for node in alone]  # fmt: skip
        yield found(f"no tube ends at {' or '.join(f'[{place}]' for place in places)}, where a [[node]] says how the "
                    "ends are joined: give it the point where they end, or leave it out")  # fmt: skip


def _in_one_plane(ways: Sequence[Array]) -> bool:
    """Whether directions (3,) of unit length lie in one plane as nearly as a disc takes them."""
    _, _, axes = np.linalg.svd(np.array(ways))
    return float(abs(np.array(ways) @ axes[2]).max()) <= FLAT
