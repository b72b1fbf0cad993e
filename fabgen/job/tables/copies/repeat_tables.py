"""[[repeat]]: parts made again, in a row, a grid or a circle."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import Field

from fabgen.job.errors import InputError
from fabgen.job.tables.fields import Angle, Length, MarkName, PointRef, one_as_list, whole_number
from fabgen.job.tables.frame_tables import Changes
from fabgen.job.tables.table import Table, exactly_one, goes_with, optional


class RepeatGiven(Table):
    """[[repeat]]: parts made again, in a row, a grid or a circle.

    The copies of "T1" are called "T1-2", "T1-3", …, and sit on copies where T1 sits on a part of the list.
    A plate, bracket or cover keeps its mark: its quantity grows, and every one has its place. One that is against a
    straight tube or profile outside the list goes along that, where `step` does. Bolts and welds follow, where all that
    they name is repeated or stands nowhere: through parts that keep their mark a bolt's quantity is that of one copy
    and grows, else each copy has a bolt of its own, unless the job has it already.
    """

    parts: Annotated[list[MarkName], one_as_list, Field(min_length=1, max_length=500)] = Field(
        description='marks, e.g. ["T1", "P1"], or that of a [[frame]]'
    )
    count: Annotated[int, whole_number(2, 1000)] = Field(description="how many there are with the first")
    step: Annotated[list[Length], Field(min_length=3, max_length=3)] | None = optional(
        "from each to the next, [x, y, z]"
    )
    rows: Annotated[int, whole_number(2, 1000)] | None = optional("of a grid: rows in all")
    row_step: Annotated[list[Length], Field(min_length=3, max_length=3)] | None = optional(
        "from each row to the next, [x, y, z]"
    )
    about: Annotated[list[PointRef], Field(min_length=2, max_length=2)] | None = optional(
        "of a circle: two points of its axis; turns as a right-hand screw from first to second"
    )
    angle: Angle | None = optional("from each to the next; left out = a full circle shared out")
    change: Changes = optional(
        'other keys of single copies, by the copy\'s mark, e.g. { T1-3 = { finish = { cut = "plain" } } }', {}
    )

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("step", "about"), given)
        yield from goes_with("angle", given, given.get("about") is not None, "about")
        yield from goes_with(("rows", "row_step"), given, given.get("step") is not None, "step")
        if (given.get("rows") is None) != (given.get("row_step") is None):
            yield InputError("a grid takes both rows and row_step", "both, or neither")
