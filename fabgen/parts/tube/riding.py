"""Parts that move against one another: what is cut to sit on the other would hold both still."""

from __future__ import annotations

from collections.abc import Mapping

from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.place_tables import Placeable


def moving_bodies(job: Definitions) -> Mapping[str, str]:
    """By the mark of each tube, plate or bracket that rides on a body which a joint lets move, the name of that body;
    of bodies that are fixed to one another, of one of them.

    Args:
        job: its [[body]] and [[joint]] tables.
    """
    moving = {name for joint in job.joint if joint.kind != "fixed" for name in joint.between}
    one = {body.name: body.name for body in job.body}
    for joint in job.joint if moving else ():
        if joint.kind == "fixed":
            first, second = (one.get(name, name) for name in joint.between)
            one = {name: first if own == second else own for name, own in one.items()}
    moves = {one.get(name, name) for name in moving}
    found = {mark: one[body.name] for body in job.body if one[body.name] in moves for mark in body.marks}
    for part in job.parts() if moving else ():
        for place in part.place if isinstance(part, Placeable) else ():
            on = one.get(place.on or "", "") or found.get(place.against or "", "")
            if part.mark not in found and on in moves:
                found[part.mark] = on
    return found
