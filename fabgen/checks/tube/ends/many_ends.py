"""Points at which more ends of tubes meet than can be welded one onto the other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.units import format_length
from fabgen.parts.shape.tubes import route_point
from fabgen.wording.levels import Level

MANY = 6
"""So many ends and more are not coped each onto the last (common practice, no source)."""
FLAT = math.sin(math.radians(0.5))
"""Ends that lean no more than this out of a plane fit a disc in it."""
MEET = 1.0
"""Ends this near meet, mm."""


@rule("many-ends", Level.WARN, source=PRACTICE)
def many_ends(job: Checked) -> Iterator[Found]:
    """Where six and more ends meet, and no tube runs through, they land on a hub, or the job says how they are
    joined."""
    groups: list[tuple[Array, list[str], list[str], list[Array]]] = []
    drawn = {tube.mark: tube.given_route for tube in job.job.tube}
    for mark, part in job.tubes.items():
        for end in part.ends if part.frame is not None else ():
            given = drawn.get(mark)
            point = np.array(given[0 if end.at == "start" else -1].xyz) if given else route_point(part, end.at)
            group = next((g for g in groups if float(abs(g[0] - point).max()) <= MEET), None)
            if group is None:
                groups.append(group := (point, [], [], []))
            group[1].append(mark)
            group[2].extend(joint.onto for joint in end.joints)
            group[3].append(end.frame.x)
    crowded = [
        (point, marks, ways)
        for point, marks, onto, ways in groups
        if len(marks) >= MANY and set(onto) & set(marks) and not _is_settled(job.job, point)
    ]
    if crowded:
        point, marks, ways = crowded[0]
        at = ", ".join(format_length(float(each), job.job.job.units, unit=False) for each in point)
        where = f"{len(marks)} ends meet at [{at}]" + (
            f", and six or more at {len(crowded) - 1} other points" * (len(crowded) > 1)
        )
        cure = '`corners = "hub"` in [job] puts a hub there, or `[[node]]` with '
        disc = ', or "disc", as they lie in one plane' * _in_one_plane(ways)
        yield found(
            f'{where}, each coped onto the last: {cure}`at = [{at}]` and `corners = "hub"`{disc}', about=marks[0]
        )


@rule("node-nowhere", Level.WARN, source=FROM_JOB)
def node_nowhere(job: Checked) -> Iterator[Found]:
    """A [[node]] lies at a point where tubes end, or it changes nothing."""
    ends = [route_point(part, end.at) for part in job.tubes.values() if part.frame is not None for end in part.ends]
    alone = [node for node in job.job.node if not any(float(abs(end - node.at.xyz).max()) <= MEET for end in ends)]
    if alone and ends:
        places = [", ".join(format_length(each, job.job.job.units, unit=False) for each in node.at.xyz)
                  for node in alone]  # fmt: skip
        yield found(f"no tube ends at {' or '.join(f'[{place}]' for place in places)}, where a [[node]] says how the "
                    "ends are joined: give it the point where they end, or leave it out")  # fmt: skip


def _in_one_plane(ways: Sequence[Array]) -> bool:
    """Whether directions (3,) of unit length lie in one plane as nearly as a disc takes them."""
    _, _, axes = np.linalg.svd(np.array(ways))
    return float(abs(np.array(ways) @ axes[2]).max()) <= FLAT


def _is_settled(job: Definitions, point: Array) -> bool:
    """Whether the job itself says how the ends at a point are joined."""
    return any(node.corners and float(abs(point - node.at.xyz).max()) <= MEET for node in job.node)
