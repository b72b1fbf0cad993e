"""[[link]] and [[rod_end]]: link rods, and rod ends of one's own.

The descriptions here are the manual: they say what each key means and what it is when left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Literal

from pydantic import Discriminator, Field, StrictBool, Tag

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import (
    Force,
    Length,
    MaterialName,
    PartMark,
    PlusLength,
    PointRef,
    SectionText,
    ShortText,
    Swing,
    ZeroLength,
    number_between,
)
from fabgen.job.tables.part_tables import Family, Finished, Part
from fabgen.job.tables.table import Table, exactly_one, goes_with, optional
from fabgen.job.values.point import Point
from fabgen.job.values.written_forms import NUMBER, TEXT, any_of, read_by
from fabgen.shop.threaded.engagement import class_strengths

SIGHT_HOLE = 3.0
"""Diameter of a sight hole (common practice, no source), mm."""


def _class(value: object) -> str:
    try:
        text = f"{value:g}" if isinstance(value, float) else str(value)
        class_strengths(text)
    except ValueError:
        raise InputError(f"cannot read {shown(value)} as a property class", 'e.g. "8.8" or "10.9"') from None
    return text.strip()


PropertyClass = Annotated[str, read_by(_class, any_of(TEXT, NUMBER))]
Kilograms = Annotated[float, number_between(0.0, 100.0, "kilograms as a bare number, e.g. 0.16")]


class RodEndFigures(Table):
    """What is measured on a rod end, or given by its maker."""

    shank: PlusLength | None = optional("ball centre to the end of the shank")
    thread_length: PlusLength | None = optional("length of thread on the shank")
    eye_width: PlusLength | None = optional("of the ball, along the bolt")
    bore: PlusLength | None = optional("for the bolt")
    swing: Swing | None = optional("how far the ball tilts each way, e.g. 15 for degrees; left out = from the table")
    rating: Force | None = optional('static load by its maker, e.g. "22 kN"')
    property_class: PropertyClass | None = optional(
        'of its shank, e.g. "8.8"; left out = 8.8 for the thread to be engaged, 4.6 for what it bears'
    )
    mass: Kilograms | None = optional("of one, kg")
    female: StrictBool = optional(
        "true or false; true = threaded inside, for solid bar whose end is turned and threaded: shank is then ball "
        "centre to open face, thread_length the depth of its thread",
        False,
    )


class RodEndKind(RodEndFigures):
    """[[rod_end]]: a rod end of your own, here or in the file that [job] rod_ends names"""

    name: ShortText = optional("what links call it; left out = it stands in place of the table's of that thread", "")
    thread: ShortText = Field(description="e.g. 'M12' or '1/2-20 UNF'; the hand is said by the link")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        for key in ("shank", "thread_length"):
            if given.get(key) is None:
                yield InputError(f"the key {key} is missing", f'measured on the part, e.g. {key} = "54 mm"')


class RodEndFile(Table):
    """A file of rod ends."""

    units: Literal["mm", "in"] = optional("of bare numbers", "mm")
    rod_end: list[RodEndKind]


class RodEndGiven(RodEndFigures):
    """A rod end with figures of your own; what is left out comes from the table."""

    thread: ShortText = Field(description="e.g. 'M12' or '1/2-20 UNF', or the name of a [[rod_end]]")
    hand: Literal["right", "left"] = optional("of its thread", "right")


class EyeGiven(Table):
    """A fixed end: a sleeve for a bush or bolt, across the link, that its tube is coped to and welded."""

    eye: SectionText = Field(description='section of the sleeve, e.g. "38.1 x 3.2"')
    width: PlusLength = Field(description="length of the sleeve")
    offset: Length = optional("how far the sleeve's axis stands off the tube's, toward its top (minus: below)", 0.0)
    bush: PartMark | None = optional(
        "mark of the [[bush]] that is pressed, slid or squeezed into it: held against its bore and width"
    )


def _end_kind(value: object) -> str:
    if isinstance(value, EyeGiven) or (isinstance(value, dict) and "eye" in value):
        return "fixed end"
    return "table" if isinstance(value, dict | Table) else "text"


RodEnd = Annotated[
    Annotated[ShortText, Tag("text")] | Annotated[RodEndGiven, Tag("table")] | Annotated[EyeGiven, Tag("fixed end")],
    Discriminator(_end_kind),
]


class Link(Part, Finished):
    """[[link]]: a rod from pin to pin, with rod ends or fixed ends."""

    family = Family("link rod", "link rods", "link.link_rod", set_up=True, cautioned=True)

    section: SectionText = Field(description="of its tube, or solid bar, as of a [[tube]]")
    between: Annotated[list[PointRef], Field(min_length=2, max_length=2)] | None = optional(
        "the two points that its pins lie on"
    )
    length: PlusLength | None = optional("pin to pin, instead of `between`")
    rod_ends: Annotated[list[RodEnd], Field(min_length=2, max_length=2)] = Field(
        description="of each end a thread with its hand, e.g. 'M12 left'; the name of a [[rod_end]]; a table of "
        "figures; or a fixed end: a table with `eye`"
    )
    bung: Literal["auto", "none"] = optional("weld-in threaded bungs; 'none' when the tube itself is tapped", "auto")
    bung_length: PlusLength | None = optional(
        "thread length of the bung; left out = twice the diameter, or what must be engaged if that is more"
    )
    bung_head: ZeroLength | None = optional("how far the bung stands out of the tube; left out = table")
    bung_diameter: PlusLength | None = optional(
        "of the part outside the tube, for a stepped end; left out = that of the tube"
    )
    bung_material: MaterialName | None = optional(
        "turned from bar, so its strength is that of bar; left out = like the tube, the thread engaged then by its "
        "diameter alone"
    )
    sight_hole: ZeroLength = optional(
        "diameter of the hole that shows whether the shank is in far enough; 0 = none", SIGHT_HOLE
    )
    adjust: ZeroLength | None = optional("adjustment needed, each way, pin to pin")
    load: Force | None = optional('greatest pull or push along it, e.g. "4 kN": buckling and threads are calculated')

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        yield from exactly_one(("between", "length"), given, " (two points, or pin to pin)")
        yield from goes_with(("bung_diameter", "bung_material"), given, given.get("bung") != "none", "weld-in bungs")

    @property
    def runs_between(self) -> Sequence[Point]:
        return self.between or ()
