"""Flat parts a job file may define: [[plate]]; holes, outlines and what else all sheet parts share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import Field, StrictBool

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.etch_tables import Etched
from fabgen.job.tables.fields import (
    Angle,
    BoltText,
    Pair,
    PartMark,
    PlusLength,
    PlusPair,
    ShortText,
    ZeroLength,
    whole_number,
)
from fabgen.job.tables.part_tables import Family, Finished, Part
from fabgen.job.tables.place_tables import OfTwoHands
from fabgen.job.tables.table import ShortTable, Table, at_most_one, exactly_one, goes_with, optional
from fabgen.job.values.written_forms import read_by, word_of
from fabgen.shop.sheet_cutting import Process

HoleFit = Literal["close", "medium", "coarse"]
Measured = Literal["outside", "inside"]


# -- holes ------------------------------------------------------------------
class RowGiven(Table):
    """holes in a row from the first; `turn` is the row's direction"""

    count: Annotated[int, whole_number(2, 1000)] = Field(description="how many")
    pitch: PlusLength = Field(description="from middle to middle")
    turn: Angle = optional("the row's direction, counter-clockwise from u (x of a plate)", 0.0)


class GridGiven(Table):
    """rows and columns of holes from the first, at the lower left"""

    columns: Annotated[int, whole_number(1, 200)] = Field(description="how many along u (x of a plate)")
    rows: Annotated[int, whole_number(1, 200)] = Field(description="how many along v (y of a plate)")
    pitch: PlusPair = Field(description="[between columns, between rows], from middle to middle")


class BoltCircleGiven(Table):
    """holes on a circle about `at`; `start` is where the first lies"""

    count: Annotated[int, whole_number(1, 500)] = Field(description="how many, evenly")
    diameter: PlusLength = Field(description="of the circle that their middles lie on")
    start: Angle = optional("where the first lies, counter-clockwise from u (x of a plate)", 0.0)


class HoleGiven(Table):
    """One hole, slot or pattern.  On a bracket `face` names the face."""

    at: Pair = Field(description="[x, y] of its middle, on a bracket [u, v] of the face")
    bolt: BoltText | None = optional("e.g. 'M10': clearance by ISO 273")
    fit: HoleFit | None = optional("of the clearance for `bolt`: a series of ISO 273; left out = the job's")
    diameter: PlusLength | None = optional("instead of `bolt`")
    bush: PartMark | None = optional(
        "instead: the mark of the [[bush]] that sits in it, whose size the hole takes; with `diameter` too, the hole "
        "is held against the bush"
    )
    length: PlusLength | None = optional("makes it a slot: length over all")
    turn: Angle = optional("direction of a slot", 0.0)
    drilled: StrictBool = optional(
        "not cut: its centre is marked on the flat, to be drilled when the part is folded", False
    )
    face: ShortText | None = optional("of a bracket: the face that it is in; left out = its first")
    row: RowGiven | None = optional("a row of such holes, below")
    grid: GridGiven | None = optional("rows and columns of them, below")
    circle: BoltCircleGiven | None = optional("a circle of them about `at`, below")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from round_hole(given, ', e.g. bolt = "M10"')
        yield from goes_with("length", given, given.get("bush") is None, "a hole without a bush")
        yield from at_most_one(("row", "grid", "circle"), given)
        yield from goes_with("fit", given, given.get("bolt") is not None, "bolt")
        if given.get("drilled") is True and given.get("length") is not None:
            yield InputError("a slot cannot be drilled", "drilled = true with a round hole", key=("drilled",))


def round_hole(given: Mapping[str, object], hint: str) -> Iterator[InputError]:
    """Faults unless a round hole is given one way: for a bolt, by its diameter, or for a bush; `hint` an example."""
    if given.get("bush") is None:
        yield from exactly_one(("bolt", "diameter"), given, hint)
    else:
        yield from goes_with("bolt", given, False, "a hole without a bush")


def hole_faces(given: Mapping[str, object], table: str = "holes") -> Iterator[tuple[int, object]]:
    """Number and face of each hole (or entry of another `table`) that names a face."""
    holes = given.get(table)
    for i, hole in enumerate(holes if isinstance(holes, list) else []):
        face = hole.get("face") if isinstance(hole, Mapping) else getattr(hole, "face", None)
        if face is not None:
            yield i, face


# -- the sheet's rolling direction ------------------------------------------
def _grain(value: object) -> Literal["along", "across"] | None:
    if value is True or value == "along":
        return "along"
    if value == "across":
        return "across"
    if value is False:
        return None
    raise InputError(f"cannot read {shown(value)} as a grain", "true or 'along' (along the part's x), or 'across'")


GrainGiven = Annotated[Literal["along", "across"] | None, read_by(_grain, word_of((True, False, "along", "across")))]


class Grained(Table):
    """Parts that are cut from sheet."""

    grain: Annotated[Literal["along", "across"] | None, read_by(_grain, word_of((True, False, "along", "across")))] = (
        optional(
            "how the sheet's rolling direction runs on the flat: true or 'along' its x, 'across' it (a bracket's folds "
            "run along x, and hold best 'across'); left out = either way"
        )
    )
    process: Process | None = optional("how it is cut, for the checks: left out = the job's process")


# -- plates and anything with a flat outline --------------------------------
class CornerGiven(ShortTable):
    """A corner of an outline: [x, y] or {at = [x, y], radius = …}."""

    short = "at"

    at: Pair = Field(description="[x, y] of the sharp corner")
    radius: ZeroLength = optional("of its fillet", 0.0)
    chamfer: ZeroLength = optional("how much is cut off along either side", 0.0)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from at_most_one(("radius", "chamfer"), given)


OUTLINES = ("rectangle", "disc", "stadium", "corners")


class OutlineKeys(Table):
    """Exactly one of these says what the outline is."""

    rectangle: PlusPair | None = optional("[width, height]; origin at the lower left corner")
    disc: PlusLength | None = optional("diameter; origin at the centre")
    stadium: PlusPair | None = optional(
        "[length over all, width], a slot's shape with round ends; origin at the centre"
    )
    corners: Annotated[list[CornerGiven], Field(min_length=3, max_length=2000)] | None = optional(
        "the corners one after another round the outline, each [x, y] or a table, below"
    )
    corner_radius: ZeroLength = optional("fillet at every corner that gives none of its own", 0.0)
    corner_chamfer: ZeroLength = optional("chamfer at every corner that gives none of its own", 0.0)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        if cls.has_outline(given):
            yield from exactly_one(cls.ways(), given, " (its outline)")
        yield from at_most_one(("corner_radius", "corner_chamfer"), given)

    @classmethod
    def has_outline(cls, given: Mapping[str, object]) -> bool:
        """Whether the part takes an outline at all."""
        return True

    @classmethod
    def ways(cls) -> tuple[str, ...]:
        """The keys of which one gives the outline."""
        return OUTLINES


class SheetOutline(ShortTable, OutlineKeys):
    """The outline of a remnant: as for a plate, or its corners alone, [[0, 0], [600, 0], [0, 400]]."""

    short = "corners"


class Plate(Part, Finished, Grained, Etched, OfTwoHands, OutlineKeys):
    """[[plate]]: a flat part cut from sheet, by its outline and its holes."""

    family = Family("plate", "plates", "sheet.plate")

    thickness: PlusLength = Field(description="of the sheet")
    holes: list[HoleGiven] = optional("holes, slots and patterns of them: a list of tables, below", [])

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        for table in ("holes", "tubes"):
            for i, _ in hole_faces(given, table):
                yield InputError("face has no meaning here", "face goes with brackets", key=(table, i, "face"))


def sizes_of_shape(
    shape: str, sizes: Mapping[str, tuple[str, ...]], given: Mapping[str, object]
) -> Iterator[InputError]:
    """Faults where a size that `shape` needs is missing, or one of another shape is given."""
    needed = sizes[shape]
    missing = [key for key in needed if given.get(key) is None]
    if missing:
        yield InputError(f"shape = {shown(shape)} has no {' and no '.join(missing)}", ", ".join(needed))
    for key in dict.fromkeys(key for keys in sizes.values() for key in keys if key not in needed):
        shapes = " or ".join(shown(other) for other, keys in sizes.items() if key in keys)
        yield from goes_with(key, given, False, f"shape = {shapes}")
