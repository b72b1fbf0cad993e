"""Where many tubes end at one point: a hub on which all of them land, a short round tube or a disc of plate.

A job's own choice of hubs makes one where six and more ends meet, and one of discs a disc where these lie in a plane.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from pydantic import ValidationError

from fabgen.job.document import entries, table_in
from fabgen.job.errors import InputError, Path, listed
from fabgen.job.expansion.discs import disc_of, leaning, straddling
from fabgen.job.expansion.hub_tubes import hub_tube
from fabgen.job.expansion.node_ends import Entry, OpenEnd, ends_as_it_is, is_read, is_run_through, meeting, open_ends
from fabgen.job.tables.fields import Context
from fabgen.job.tables.part_tables import NodeGiven

MANY = 6
"""Where so many ends meet a job-wide choice of hubs makes one; fewer are coped onto one another."""
HUBS = ("hub", "disc")
"""What the ends land on: a short tube, or a disc."""


@dataclass(frozen=True, eq=False)
class Hubs:
    """The tubes, hubs before them and the ends that meet there on these, and the discs."""

    tubes: list[Entry]
    discs: list[Entry] = field(default_factory=list)


def asks_for_hubs(raw: Mapping[str, Any]) -> bool:
    """Whether the job asks for hubs.

    Args:
        raw: its tables.
    """
    given = any(entry.get("corners") in HUBS for _, entry in entries(raw, "node"))
    return given or table_in(raw, "job").get("corners") in HUBS


def with_hubs(tubes: Sequence[Entry], raw: Mapping[str, Any], context: Context, marks: Set[str]) -> Hubs:
    """The tubes with hubs and discs; the very same where there are none.

    Args:
        tubes: the tables of tubes, each with its place in the file.
        raw: the job's other tables.
        context: what the values are read with.
        marks: those that parts have.
    Raises:
        InputError: the ends at a point cannot all land on a hub, or on none that is sold.
    """
    if not asks_for_hubs(raw):
        return Hubs(list(tubes))
    nodes = list(_nodes(raw, context))
    usual = table_in(raw, "job").get("corners")
    ends = [end for number, (_, entry) in enumerate(tubes) for end in open_ends(number, entry, context)]
    made, discs = list[Entry](), list[Entry]()
    landed: dict[tuple[int, str], dict[str, Any]] = {}
    taken = set(marks)
    made_at: set[Path] = set()
    for group in meeting(ends):
        place, node = next(((place, node) for place, node in nodes if group[0].meets(node.at.xyz)), ((), None))
        style = _style(group, node, usual)
        if style not in HUBS or len(group) < 2 or is_run_through(group[0].point, tubes, context):
            continue
        if ends_as_it_is(group[0].point, tubes, context):
            continue
        made_at.add(place)
        where = place or tubes[group[0].number][0]
        metals = {str(m) for end in group if (m := tubes[end.number][1].get("material")) is not None}
        metal = {"material": min(metals)} if metals else {}
        mark = _free("DISC" if style == "disc" else "HUB", taken)
        taken.add(mark)
        try:
            if style == "disc":
                disc = disc_of(group, node, context)
                discs.append((where, {"mark": mark} | disc.plate | metal))
                landed |= {
                    (end.number, end.at): straddling(disc, end, landing, mark)
                    for end, landing in zip(group, disc.landings, strict=True)
                }
            else:
                made.append((where, {"mark": mark} | hub_tube(group, node, context) | metal))
                landed |= {(end.number, end.at): {"onto": [mark]} for end in group}
        except InputError as fault:
            raise fault.below(*place) if place else fault from None
    for place, node in nodes if all(is_read(entry, context) for _, entry in tubes) else ():
        if node.corners in HUBS and place not in made_at:
            raise _no_hub(node, ends, tubes, context).below(*place)
    return Hubs(
        [*made, *((place, _landed(number, entry, landed)) for number, (place, entry) in enumerate(tubes))], discs
    )


def _style(group: Sequence[OpenEnd], node: NodeGiven | None, usual: object) -> object:
    """How the ends at a point are joined, as far as by a hub: as its node says, else as the job where many meet."""
    if node is not None and node.corners is not None:
        return node.corners
    if len(group) < MANY:
        return None
    return "hub" if usual == "disc" and leaning(group, node) else usual


def _free(name: str, taken: Set[str]) -> str:
    return next(each for i in range(1, len(taken) + 2) if (each := f"{name}{i}" if i > 1 else name) not in taken)


def _no_hub(node: NodeGiven, ends: Sequence[OpenEnd], tubes: Sequence[Entry], context: Context) -> InputError:
    """Why a hub that the job asks for is not made."""
    point = np.array(node.at.xyz)
    here = [end.mark for end in ends if end.meets(point)]
    name = node.corners
    if mark := ends_as_it_is(point, tubes, context):
        what = f"{mark} ends here and is not made here, so nothing fits it to a {name}"
        return InputError(what, f"this node left out: the others are coped onto {mark}", key=("at",))
    if len(here) > 1 and is_run_through(point, tubes, context):
        what = f"a tube runs on through the point where {listed(here)} end, so there is no {name}"
        return InputError(what, "a tube that ends here as well, or this node left out", key=("at",))
    what = (
        f"only the end of {here[0]} lies here to land on a {name}" if here else f"no tube's end lies here for a {name}"
    )
    accepted = "a point where two tubes or more end, none of them cut by a `start` or `finish` of its own"
    return InputError(what, accepted, key=("at",))


def _nodes(raw: Mapping[str, Any], context: Context) -> Iterator[tuple[Path, NodeGiven]]:
    """The nodes that can be read; the faults of others are reported with the other tables."""
    for i, entry in entries(raw, "node"):
        try:
            yield ("node", i), NodeGiven.model_validate(entry, context=context)
        except ValidationError:
            continue


def _landed(number: int, entry: Any, landed: Mapping[tuple[int, str], Mapping[str, Any]]) -> Any:
    ends = {at: {**entry.get(at, {}), **landed[number, at]} for at in ("start", "finish") if (number, at) in landed}
    return dict(entry) | ends if ends else entry
