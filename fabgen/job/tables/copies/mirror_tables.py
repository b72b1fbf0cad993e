"""[[mirror]]: parts made again as their mirror image; and what says that a part is the opposite hand of another."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import one_as_list
from fabgen.job.tables.frame_tables import Changes
from fabgen.job.tables.measuring_tables import PointName
from fabgen.job.tables.table import Table, optional
from fabgen.job.values.written_forms import NAMED, read_by


def _listed(value: object) -> str:
    """A mark or a name, as a list of parts has it."""
    if type(value) is int:
        value = str(value)
    if not isinstance(value, str) or not value.strip():
        raise InputError(f"cannot read {shown(value)} as a part", "the mark of a part, or the name of a frame or body")
    return value.strip()


ListedName = Annotated[str, read_by(_listed, NAMED)]


def _names(value: object) -> object:
    if not isinstance(value, dict):
        raise InputError(f"cannot read {shown(value)} as new names", 'e.g. { T1 = "T9" }')
    return value


class MirrorGiven(Table):
    """[[mirror]]: parts made again as their mirror image, e.g. the right side of what is drawn on the left.

    What is its own mirror image keeps its mark: a plate, bracket, cover or strap gets further places and its quantity
    grows; a flat one without bends is turned over for it, unless more than its mark is etched on it. What is not
    becomes an opposite hand with a mark of its own. Mirrored at two planes it is itself again, turned round: such an
    image is a further place of the mark that it is, two marks made twice in the four corners of a table, unless the
    file names it, changes it or gives it a name. Tubes, profiles, links, and what stands round a tube always get
    marks of their own, and lists say which are one piece of metal; so do bodies, joints, dampers, wheels, envelopes
    and sweeps, by their names. Left-hand threads stay left-handed.

    New marks and points end in -R where the image stands on the right of the middle plane, -L on the left (these
    change places: ARM-L becomes ARM-R), -M at any other plane. A point that lies on the plane, or has its mirror image
    among the points of the job, needs no new one. What sits on, rides on or goes through a listed part does so with
    its image. Pins and nodes at the points follow by themselves; so do bolts and welds, where all that they name is
    mirrored or lies alike on both sides, as a tube across the plane or a plate that is its own image where it stands
    (drill it on both sides): through parts that keep their mark a bolt's quantity doubles, else the image has a bolt
    of its own, unless the job has it already. Frames and repeats are worked out before.
    """

    parts: Annotated[list[ListedName], one_as_list, Field(min_length=1, max_length=500)] = Field(
        description="marks, those of frames, and names of bodies, joints, dampers, wheels, envelopes and sweeps"
    )
    one_sided: Annotated[list[ListedName], one_as_list, Field(max_length=500)] = optional(
        "marks of parts on mirrored ones that stand on one side alone, and are meant so", []
    )
    plane: Annotated[list[PointName], one_as_list, Field(min_length=3, max_length=60)] | None = optional(
        "three points or more by name, of more than three the plane that fits best; left out = the middle plane, y = 0"
    )
    marks: Annotated[dict[str, ListedName], BeforeValidator(_names)] = optional(
        'other names for images of parts and points, e.g. { T1 = "T9" }', {}
    )
    change: Changes = optional(
        'other keys of single images, by their marks, e.g. { T1-R = { finish = { cut = "plain" } } }', {}
    )
