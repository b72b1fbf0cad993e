"""Sheet covers a job file may define: [[cover]], its cut-outs, drains, beads, and the ways to give its outline."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Literal

from pydantic import Discriminator, Field, Tag

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.bend_tables import Pressed
from fabgen.job.tables.fields import (
    Angle,
    Arc,
    Length,
    Pair,
    PlusLength,
    PointRef,
    Text,
    Tilt,
    ZeroLength,
    number_between,
    one_as_list,
    whole_number,
)
from fabgen.job.tables.flat_tables import OUTLINES, Grained, HoleGiven, OutlineKeys, hole_faces, sizes_of_shape
from fabgen.job.tables.part_tables import Family, Finished, Part, text_or_table
from fabgen.job.tables.place_tables import OfTwoHands
from fabgen.job.tables.table import Case, Table, at_most_one, given_of, goes_with, optional

MOST_CORNERS = 40
CORNERS_ADVICE = 'two corners by their numbers, e.g. "1-3"'


# -- holes and beads ----------------------------------------------------------
class Drain(Table):
    """a drain hole; left out on a cap = 8 mm, 15 mm inside the lowest edge of the opening if there is room"""

    at: Pair | None = optional("[x, y] of its middle; left out = where it drains the opening")
    diameter: PlusLength = optional("of the hole", 8.0)


class Vent(Table):
    """a vent hole; left out = none; without `at` 15 mm inside the highest edge"""

    at: Pair | None = optional("[x, y] of its middle; left out = 15 mm inside the highest edge")
    diameter: PlusLength = optional("of the hole", 6.0)


class Bead(Table):
    """A stiffening bead, rolled or pressed after cutting: the middle line is etched."""

    line: Annotated[list[Pair], Field(min_length=2, max_length=200)] = Field(
        description="[x, y] of the points that its middle line runs through"
    )
    width: PlusLength = optional("of the bead, so that holes and edges stay clear of it", 10.0)


class WheelCut(Table):
    """A curved cut-out of a skirt or cone, made by a second cylinder, e.g. a wheel."""

    diameter: PlusLength = Field(description="of the cylinder that cuts it out")
    clearance: ZeroLength = optional("kept clear all round it, on top of the diameter", 0.0)
    height: Length = optional(
        "where its axis meets the skirt's axis, above the lower edge; of a cone, whose edge is cut square to the "
        "sheet, above the middle of the thickness there",
        0.0,
    )
    around: Angle = optional("where round the skirt it is centred, from the seam's opposite side", 0.0)
    offset: Length = optional("its axis to the side of the skirt's axis", 0.0)
    tilt: Tilt = optional("how much its axis rises outward; 0 = square to the skirt's axis", 0.0)


def table_or_list(value: object) -> str:
    """Which of the two a value is, where a key takes one table or several."""
    return "list" if isinstance(value, list) else "table"


WheelCuts = Annotated[
    Annotated[WheelCut, Tag("table")] | Annotated[list[WheelCut], Tag("list"), Field(min_length=1, max_length=20)],
    Discriminator(table_or_list),
]


# -- ways to give an outline ----------------------------------------------------
class EndOutline(OutlineKeys):
    """One end of a transition, an outline as for a plate; rectangles lie about the origin here."""


Chain = Annotated[list[Pair], Field(min_length=2, max_length=500)]
Between = Literal["straight", "spline", "arc"]


class Baseline(Table):
    """Stations along a straight baseline and offsets square to it, the way a panel is measured in place.

    `stations` are [along, offset], offsets to the left of the baseline (up as drawn); `right`
    the same to its right.  Without `right` the baseline itself is the other edge.  Between the
    stations an edge runs "straight", as a "spline" (a thin batten through all of them), or in an
    "arc" through each three (1-2-3, 3-4-5, ...).
    """

    length: PlusLength = Field(description="of the baseline")
    stations: Chain = Field(description="[along, offset] one after another")
    right: Chain | None = optional("likewise to its right; left out = the baseline is that edge")
    between: Between = optional("how an edge runs between its stations", "straight")
    right_between: Between | None = optional("left out = as `between`")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        yield from goes_with("right_between", given, given.get("right") is not None, "right")
        ways = {"stations": given.get("between", "straight")}
        ways["right"] = given.get("right_between") or ways["stations"]
        for key, between in ways.items():
            chain = given.get(key)
            if between == "arc" and isinstance(chain, list) and len(chain) >= 2 and len(chain) % 2 == 0:
                what = f'between = "arc" takes three points an arc, the next beginning where one ends; {key} has '
                yield InputError(f"{what}{len(chain)}", "3, 5, 7 … stations", key=(key,))


def corner_pair(name: str, count: int) -> tuple[int, int]:
    """The corners that a key such as '1-3' names, counted from 0, the lesser first.  Raises InputError."""
    found = re.fullmatch(r"\s*(\d{1,3})\s*-\s*(\d{1,3})\s*", name)
    if not found:
        raise InputError(f"{shown(name)} does not name two corners", CORNERS_ADVICE)
    one, other = (int(number) - 1 for number in found.groups())
    if one == other:
        raise InputError(f"{shown(name)} names one corner twice", CORNERS_ADVICE)
    if not (0 <= one < count and 0 <= other < count):
        raise InputError(f"{shown(name)} names a corner that is not there", f"corners 1 to {count}")
    return min(one, other), max(one, other)


def are_neighbours(pair: tuple[int, int], count: int) -> bool:
    """Whether a side lies between the two corners."""
    return (pair[1] - pair[0]) % count in (1, count - 1)


class Taped(Table):
    """An outline given by its sides and diagonals, taped from corner to corner.

    `sides` run 1-2, 2-3, … and the last back to corner 1; corner 1 is the origin and side 1-2
    runs along x.  More measures than needed are fitted to one another and the misfit is shown.
    """

    sides: Annotated[list[PlusLength], Field(min_length=3, max_length=MOST_CORNERS)] | None = optional(
        "from corner to corner all the way round, in the order one walks"
    )
    diagonals: dict[str, PlusLength] = optional('between other corners: { "1-3" = …, "2-4" = … }', {})
    bows: dict[str, Length] = optional(
        'sides that are arcs: how far the middle stands out (minus: in), { "2-3" = … }', {}
    )
    inward: list[Annotated[int, whole_number(1, MOST_CORNERS)]] = optional(
        "numbers of the corners that point inward, as in an L", []
    )
    tape: PlusLength = optional("error of the tape readings; left out = 1 mm", 1.0)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        sides = given.get("sides")
        yield from goes_with(("diagonals", "bows", "inward", "tape"), given, sides is not None, "sides")
        if not isinstance(sides, list) or len(sides) < 3:
            return
        count = len(sides)
        for key, beside in (("diagonals", False), ("bows", True)):
            yield from _pair_faults(key, given.get(key), count, beside)
        for i, corner in enumerate(_list(given.get("inward"))):
            if isinstance(corner, int) and corner > count:
                yield InputError(f"there is no corner {corner}", f"corners 1 to {count}", key=("inward", i))


def _pair_faults(key: str, given: object, count: int, beside: bool) -> Iterator[InputError]:
    seen: dict[tuple[int, int], str] = {}
    for name in given if isinstance(given, Mapping) else ():
        try:
            pair = corner_pair(str(name), count)
        except InputError as fault:
            yield InputError(fault.said, fault.takes, key=(key, str(name)))
            continue
        if are_neighbours(pair, count) != beside:
            what = f"{shown(name)} is {'no side' if beside else 'a side'}"
            accepted = "the two corners of a side" if beside else "corners with no side between; sides go in `sides`"
            yield InputError(what, accepted, key=(key, str(name)))
        elif pair in seen:
            yield InputError(
                f"{shown(name)} is given already as {shown(seen[pair])}", "each once", key=(key, str(name))
            )
        seen.setdefault(pair, str(name))


def _list(value: object) -> Sequence[object]:
    return value if isinstance(value, list) else ()


# -- covers -----------------------------------------------------------------
WAYS = (*OUTLINES, "sides", "baseline", "points")
COVER_SIZES = {
    "cap": (),
    "panel": (),
    "skirt": ("diameter", "height"),
    "cone": ("bottom", "top", "height"),
    "transition": ("bottom", "top", "height"),
}
OPENING_KEYS = (*WAYS, "corner_radius", "corner_chamfer", "weld_gap", "overlap", "drain", "vent")
"""Keys of covers that close an opening."""
ROLLED_KEYS = ("seam", "seam_gap", "measured")
TRANSITION_KEYS = ("shift", "turn", "tilt", "seam_at", "bends")
FOLDED_KEYS = ("radius", "k", "die")

KEYS_OF_SHAPES: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (OPENING_KEYS, ("cap", "panel")),
    (("arc", "cut_out"), ("skirt", "cone")),
    (ROLLED_KEYS, ("skirt", "cone", "transition")),
    (TRANSITION_KEYS, ("transition",)),
    (("creases",), ("panel",)),
    (FOLDED_KEYS, ("panel", "transition")),
)
"""Keys that only some shapes have a use for, and these."""

End = Annotated[Annotated[PlusLength, Tag("text")] | Annotated[EndOutline, Tag("table")], Discriminator(text_or_table)]


class Cover(Part, Finished, Grained, Pressed, OfTwoHands, Taped, OutlineKeys):
    """[[cover]]: a part of thin sheet that closes, lines or leads round something.

    cap:        closes an opening: an outline as for a plate, taped (sides, diagonals), by stations
                along a baseline, or by points in space; less `weld_gap` all round (or plus
                `overlap`), with a drain hole
    panel:      the same without a drain hole, as large as it is given; points that do not lie in
                one plane are listed, and may be folded along `creases`
    skirt:      a strip rolled to a cylinder: diameter, height, arc, cut_out
    cone:       a frustum: bottom, top (diameters), height, arc, cut_out
    transition: from one outline to another: bottom, top (diameters, or outlines as for a plate),
                height, shift, turn, tilt
    """

    family = Family("cover", "covers", "cover.cover")

    shape: Literal["cap", "panel", "skirt", "cone", "transition"] = Field(description="what it is, above")
    thickness: PlusLength = Field(description="of the sheet")
    baseline: Baseline | None = optional("measured in place, square to a straight line")
    points: Annotated[list[PointRef], Field(min_length=3, max_length=MOST_CORNERS)] | None = optional(
        "corners in space, in the order one walks round the panel"
    )
    creases: Annotated[list[Text], one_as_list] = optional(
        'panel by points: folds between corners, e.g. ["1-3"], so that every part is flat', []
    )
    weld_gap: ZeroLength | None = optional(
        "smaller than the opening by this all round; left out = on a cap the job's, on a panel 0"
    )
    overlap: ZeroLength = optional("the sheet laps over the opening's edge by this", 0.0)
    drain: (
        Annotated[
            Annotated[Drain, Tag("table")] | Annotated[Literal["none"], Tag("text")], Discriminator(text_or_table)
        ]
        | None
    ) = optional("or a table, below; left out = one on a cap, none on a panel")
    vent: Vent | None = optional("vent = {} makes the usual one; left out = none")
    beads: list[Bead] = optional("stiffening beads, etched for the bead roller", [])
    diameter: PlusLength | None = optional("of a skirt")
    bottom: End | None = optional("a diameter; of a transition also an outline as for a plate")
    top: End | None = optional("a diameter; of a transition also an outline as for a plate")
    height: PlusLength | None = optional("of a skirt, cone or transition, square to its bottom")
    arc: Arc | None = optional("how much of the round it covers; left out = 360 deg")
    measured: Literal["outside", "inside", "middle"] = optional(
        "where on the sheet its diameters and outlines are", "outside"
    )
    seam: ZeroLength = optional("extra length to lap over at the seam", 0.0)
    seam_gap: ZeroLength = optional("gap between the two ends at the seam, to weld", 0.0)
    cut_out: WheelCuts | None = optional("room for a wheel or a pipe, or a list of several")
    shift: Pair | None = optional("the top's origin from the bottom's, [x, y]")
    turn: Angle = optional("turns the top about its upright axis", 0.0)
    tilt: Tilt = optional("raises the top's +x side by this angle", 0.0)
    seam_at: Pair | None = optional("the seam begins where the bottom is nearest to [x, y]; left out = its lowest side")
    bends: Annotated[int, whole_number(1, 60)] | None = optional(
        "bends to a quarter turn of rounded parts; left out = 6"
    )
    radius: ZeroLength | None = optional(
        "inside radius of folds; left out = what the lower tool makes, but no less than the material's least"
    )
    k: Annotated[float, number_between(0.0, 1.0, "a bare number from 0 to 1, e.g. 0.42")] | None = optional(
        "own K-factor; wins over any rule"
    )
    holes: list[HoleGiven] = optional(
        "in the outline's own coordinates; of a rolled cover or a transition, from the lower left corner of the flat",
        [],
    )
    mark_text: Text | None = optional("etched; left out = the mark; '' = nothing")

    @property
    def cut_outs(self) -> list[WheelCut]:
        """The cut-outs, one or several."""
        if self.cut_out is None:
            return []
        return self.cut_out if isinstance(self.cut_out, list) else [self.cut_out]

    @property
    def is_placed(self) -> bool:
        return bool(self.place) or self.points is not None

    @classmethod
    def cases(cls) -> Iterator[Case]:
        sizes = {size for needed in COVER_SIZES.values() for size in needed}
        for shape, needed in COVER_SIZES.items():
            others = [key for keys, shapes in KEYS_OF_SHAPES if shape not in shapes for key in keys]
            yield Case("shape", shape, needed, (*sorted(sizes.difference(needed)), *others))

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        for i, _ in hole_faces(given):
            yield InputError("face has no meaning here", "face goes with brackets", key=("holes", i, "face"))
        shape = given.get("shape")
        if not isinstance(shape, str) or shape not in COVER_SIZES:
            return
        yield from sizes_of_shape(shape, COVER_SIZES, given)
        yield from _keys_of_other_shapes(shape, given)
        if given_of(("weld_gap",), given):
            yield from at_most_one(("weld_gap", "overlap"), given)
        yield from at_most_one(("seam", "seam_gap"), given)
        if shape == "cone":
            for key in ("bottom", "top"):
                if isinstance(given.get(key), dict):
                    yield InputError(
                        "a cone has diameters", 'a length; outlines go with shape = "transition"', key=(key,)
                    )
        worked, no_baseline = ("corner_radius", "corner_chamfer"), given.get("baseline") is None
        yield from goes_with(worked, given, no_baseline, "outlines other than a baseline's")
        if given.get("creases"):
            yield from goes_with("creases", given, given.get("points") is not None, "points")

    @classmethod
    def has_outline(cls, given: Mapping[str, object]) -> bool:
        return given.get("shape") in ("cap", "panel")

    @classmethod
    def ways(cls) -> tuple[str, ...]:
        return WAYS


def _keys_of_other_shapes(shape: str, given: Mapping[str, object]) -> Iterator[InputError]:
    """Faults where a key has a value that this shape has no use for."""
    for keys, shapes in KEYS_OF_SHAPES:
        where = " or ".join(f'shape = "{name}"' for name in shapes)
        yield from goes_with(keys, given, shape in shapes, where)
