"""The rack file: bars, sheets, remnants and hardware on hand, and the jobs booked on them.

    [rack]
    units = "mm"

    [[bar]]
    mark = "R1"
    section = "48.3 x 3.2"
    material = "S355"
    length = "2.4 m"
    count = 2

It is read with a job file's own units, sections, materials and errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Annotated, Literal, Self

from pydantic import Field, PlainValidator, model_validator

from fabgen.job.document import Document, mark_problems, material_problems, own_materials, units_of
from fabgen.job.errors import InputError, shown
from fabgen.job.tables.definitions import OwnMaterial
from fabgen.job.tables.fields import (
    Context,
    FilledText,
    JobDate,
    MaterialName,
    PlusLength,
    PlusPair,
    StockText,
    Text,
    whole_number,
)
from fabgen.job.tables.flat_tables import SheetOutline
from fabgen.job.tables.table import Table, optional
from fabgen.job.text.text_file import text_of
from fabgen.shop.trade_sizes import LEAST_OFFCUT

Count = Annotated[int, whole_number(0, 10_000)]
MARKED = ("bar", "sheet", "remnant")
"""The tables whose entries may have marks."""

LEAST_REMNANT = 100.0


def _rack_mark(value: object) -> str:
    """What is chalked on a piece: any short word, so that 'CUR-01/3' is one."""
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    if not isinstance(value, str) or not value.strip() or len(value) > 60 or not value.strip().isprintable():
        raise InputError(f"{shown(value)} is not a valid mark", "a word of at most 60 characters, e.g. 'CUR-01/3'")
    return value.strip()


RackMark = Annotated[str, PlainValidator(_rack_mark)]


class RackHeader(Table):
    """[rack]"""

    units: Literal["mm", "in"] = Field(description="of bare numbers: 'mm' or 'in'")
    title: Text = ""
    note: Text = ""
    least_offcut: PlusLength = optional("shorter offcuts of bars are not kept", LEAST_OFFCUT)
    least_remnant: PlusLength = optional("narrower remnants of sheets are not kept", LEAST_REMNANT)


class OnHand(Table):
    """Keys of everything that lies on the rack."""

    mark: RackMark | None = optional("what is chalked on it")
    count: Count = optional("how many there are", 1)
    note: Text = ""


class RackBar(OnHand):
    """[[bar]]"""

    section: StockText
    material: MaterialName = Field(description="e.g. 'S355': a bar of unknown metal is no stock for a vehicle")
    length: PlusLength


class RackSheet(OnHand):
    """[[sheet]]"""

    thickness: PlusLength
    material: MaterialName = Field(description="e.g. 'S235'")
    size: PlusPair


class RackRemnant(OnHand):
    """[[remnant]]: what is left of a sheet"""

    thickness: PlusLength
    material: MaterialName = Field(description="e.g. 'S235'")
    outline: SheetOutline = Field(description="its corners in order, e.g. [[0, 0], [600, 0], [600, 250], [0, 400]]")

    @model_validator(mode="after")
    def _is_a_shape(self) -> Self:
        from shapely.geometry import Polygon

        corners = [corner.at for corner in self.outline.corners or []]
        shape = Polygon(corners) if corners else None
        if shape is not None and (not shape.is_valid or shape.area < 1.0):
            what = "these corners enclose no area, or the outline crosses itself"
            raise InputError(what, "the corners in order round the sheet", key=("outline",))
        return self


class RackHardware(Table):
    """[[hardware]]"""

    item: FilledText = Field(description="as the shopping list names it, e.g. 'rod end'")
    spec: FilledText = Field(description="as the shopping list has it, e.g. 'M12 right'")
    count: Count = optional("how many there are", 1)
    note: Text = ""


class Booked(Table):
    """[[booked]]: a job whose use has been taken off the rack"""

    job: FilledText
    date: JobDate | None = None
    offcuts: Annotated[int, whole_number(0, 1_000_000)] = optional("the last number of its offcuts' marks", 0)


class RackFile(Table):
    """The rack file, checked key by key."""

    rack: RackHeader
    material: list[OwnMaterial] = Field(default=[])
    bar: list[RackBar] = Field(default=[])
    sheet: list[RackSheet] = Field(default=[])
    remnant: list[RackRemnant] = Field(default=[])
    hardware: list[RackHardware] = Field(default=[])
    booked: list[Booked] = Field(default=[])


@dataclass(frozen=True, eq=False)
class Rack(Document):
    """A rack file that reads well: its `contents`."""

    contents: RackFile

    def booking_of(self, number: str) -> int | None:
        """Which [[booked]] entry is of that job, the latest; None when it has not been booked."""
        found = [i for i, entry in enumerate(self.contents.booked) if same_name(entry.job, number)]
        return found[-1] if found else None


def same_name(one: str, other: str) -> bool:
    """Whether two names are one, capitals and spaces apart."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def read_rack(path: FilePath | str) -> Rack:
    """The rack in a file.

    Raises:
        JobError: with every fault found in it.
    """
    path = FilePath(path)
    return read_rack_text(text_of(path, "rack file", "rack.toml"), path)


def read_rack_text(text: str, path: FilePath | str = "rack.toml") -> Rack:
    """The rack in a text.

    Args:
        text: the TOML.
        path: the name that errors give it.
    Raises:
        JobError: with every fault found in it.
    """
    document = Document.parsed(text, path, '[rack] with units = "mm", then [[bar]], [[sheet]] …')
    raw = document.raw
    problems = mark_problems(raw, MARKED, "a mark of its own, or count for pieces alike") + material_problems(raw)
    context = Context(units_of(document.table("rack")), materials=own_materials(raw))
    return Rack(**vars(document), contents=document.checked(RackFile, context, problems))
