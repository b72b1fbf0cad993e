"""Flat and folded parts a job file may define: [[plate]], [[bracket]], [[cover]], and their holes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, PlainValidator, Tag, model_validator

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.fields import Angle, Arc, BendAngle, Length, PlusLength, ShortText, Text, ZeroLength, figure, whole
from fabgen.job.part_tables import Finished, Part, text_or_table
from fabgen.job.tables import Table, at_most_one, exactly_one, given_of, goes_with

HoleFit = Literal["close", "medium", "coarse"]
Measured = Literal["outside", "inside"]
Pair = Annotated[list[Length], Field(min_length=2, max_length=2)]
PlusPair = Annotated[list[PlusLength], Field(min_length=2, max_length=2)]


# -- holes ------------------------------------------------------------------
class Row(Table):
    """holes in a row from the first; `turn` is the row's direction"""

    count: Annotated[int, whole(2, 1000)]
    pitch: PlusLength
    turn: Angle = 0.0


class Grid(Table):
    """rows and columns of holes from the first, at the lower left"""

    columns: Annotated[int, whole(1, 200)]
    rows: Annotated[int, whole(1, 200)]
    pitch: PlusPair


class BoltCircle(Table):
    """holes on a circle about `at`; `start` is where the first lies"""

    count: Annotated[int, whole(1, 500)]
    diameter: PlusLength
    start: Angle = 0.0


class HoleGiven(Table):
    """One hole, slot or pattern.  On a bracket `face` names the face."""

    at: Pair
    bolt: ShortText | None = Field(default=None, description="e.g. 'M10': clearance by ISO 273")
    fit: HoleFit | None = None
    diameter: PlusLength | None = Field(default=None, description="instead of `bolt`")
    length: PlusLength | None = Field(default=None, description="makes it a slot: length over all")
    turn: Angle = Field(default=0.0, description="direction of a slot")
    face: ShortText | None = None
    row: Row | None = None
    grid: Grid | None = None
    circle: BoltCircle | None = None

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("bolt", "diameter"), given, ', e.g. bolt = "M10"')
        yield from at_most_one(("row", "grid", "circle"), given)
        yield from goes_with("fit", given, given.get("bolt") is not None, "bolt")


def _hole_faces(given: Mapping[str, object]) -> Iterator[tuple[int, object]]:
    """Number and face of each hole that names a face."""
    holes = given.get("holes")
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


class Grained(Table):
    """Parts that are cut from sheet."""

    grain: Annotated[Literal["along", "across"] | None, PlainValidator(_grain)] = Field(
        default=None,
        description="how the sheet's rolling direction runs on the flat: true or 'along' its x, 'across' it "
        "(a bracket's folds run along x, and hold best 'across'); left out = either way",
    )


# -- plates and anything with a flat outline --------------------------------
class CornerGiven(Table):
    """A corner of an outline: [x, y] or {at = [x, y], radius = …}."""

    at: Pair
    radius: ZeroLength = 0.0
    chamfer: ZeroLength = 0.0

    @model_validator(mode="before")
    @classmethod
    def from_pair(cls, value: Any) -> Any:
        return {"at": value} if isinstance(value, list | tuple) else value

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from at_most_one(("radius", "chamfer"), given)


OUTLINES = ("rectangle", "disc", "stadium", "corners")


class OutlineKeys(Table):
    """Exactly one of these says what the outline is."""

    rectangle: PlusPair | None = Field(default=None, description="[width, height]; origin at the lower left corner")
    disc: PlusLength | None = Field(default=None, description="diameter; origin at the centre")
    stadium: PlusPair | None = Field(default=None, description="[length over all, width]; origin at the centre")
    corners: Annotated[list[CornerGiven], Field(min_length=3, max_length=2000)] | None = None
    corner_radius: ZeroLength = Field(default=0.0, description="fillet at every corner that gives none of its own")
    corner_chamfer: ZeroLength = Field(default=0.0, description="chamfer at every corner that gives none of its own")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        if cls.has_outline(given):
            yield from exactly_one(OUTLINES, given, " (its outline)")
        yield from at_most_one(("corner_radius", "corner_chamfer"), given)

    @classmethod
    def has_outline(cls, given: Mapping[str, object]) -> bool:
        """Whether the part takes an outline at all."""
        return True


class SheetOutline(OutlineKeys):
    """The outline of a remnant: as for a plate, or its corners alone, [[0, 0], [600, 0], [0, 400]]."""

    @model_validator(mode="before")
    @classmethod
    def from_corners(cls, value: Any) -> Any:
        return {"corners": value} if isinstance(value, list | tuple) else value


class Plate(Part, Finished, Grained, OutlineKeys):
    """[[plate]]"""

    thickness: PlusLength
    holes: list[HoleGiven] = Field(default=[])
    mark_text: Text | None = Field(default=None, description="etched on the part; left out = the mark; '' = nothing")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        for i, _ in _hole_faces(given):
            yield InputError("face has no meaning here", "face goes with brackets", key=("holes", i, "face"))


# -- folded brackets --------------------------------------------------------
BRACKET_SIZES = {
    "angle": ("legs",),
    "channel": ("web", "flanges"),
    "hat": ("crown", "sides", "brims"),
}
BRACKET_FACES = {
    "angle": ("a", "b"),
    "channel": ("web", "left", "right"),
    "hat": ("crown", "left side", "right side", "left brim", "right brim"),
}


class Bracket(Part, Finished, Grained):
    """[[bracket]]: a folded part; every size is outside unless `measured = "inside"`.

    angle:   legs = [a, b]; faces "a", "b"
    channel: web, flanges = [left, right]; faces "web", "left", "right"
    hat:     crown, sides = [left, right], brims = [left, right];
             faces "crown", "left side", "right side", "left brim", "right brim"

    `at = [u, v]` of a hole: u along the folds from the left end, v from the outside corner of
    the fold that the face hangs on (web and crown: from the outside of the left flange).
    """

    shape: Literal["angle", "channel", "hat"]
    thickness: PlusLength
    length: PlusLength = Field(description="along the folds")
    radius: ZeroLength | None = Field(default=None, description="inside radius; left out = the thickness")
    bend_angle: BendAngle | None = Field(
        default=None, description="how far each flange turns from flat; left out = 90 deg"
    )
    k: Annotated[float, figure(0.0, 1.0, "a bare number from 0 to 1, e.g. 0.42")] | None = Field(
        default=None, description="own K-factor; wins over any rule"
    )
    measured: Measured = "outside"
    legs: PlusPair | None = None
    web: PlusLength | None = None
    flanges: PlusPair | None = None
    crown: PlusLength | None = None
    sides: PlusPair | None = None
    brims: PlusPair | None = None
    corner_radius: ZeroLength = Field(default=0.0, description="fillet at the free corners")
    corner_chamfer: ZeroLength = 0.0
    holes: list[HoleGiven] = Field(default=[])
    mark_text: Text | None = None

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        yield from at_most_one(("corner_radius", "corner_chamfer"), given)
        shape = given.get("shape")
        if isinstance(shape, str) and shape in BRACKET_SIZES:
            yield from sizes_of_shape(shape, BRACKET_SIZES, given)
            faces = BRACKET_FACES[shape]
            for i, face in _hole_faces(given):
                if face not in faces:
                    what = f"shape = {shown(shape)} has no face {shown(face)}"
                    yield InputError(what, ", ".join(faces), nearest(str(face), faces), ("holes", i, "face"))


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


# -- covers -----------------------------------------------------------------
class Drain(Table):
    """a drain hole; left out on a cap = 8 mm near the lowest edge"""

    at: Pair | None = None
    diameter: PlusLength = 8.0


class WheelCut(Table):
    """A curved cut-out of a skirt, made by a second cylinder square to the skirt's axis."""

    diameter: PlusLength
    height: Length = Field(default=0.0, description="its axis above the skirt's lower edge")
    around: Angle = Field(default=0.0, description="where round the skirt it is centred, from the seam's opposite side")
    offset: Length = Field(default=0.0, description="its axis to the side of the skirt's axis")


COVER_SIZES = {"cap": (), "skirt": ("diameter", "height"), "cone": ("bottom", "top", "height")}
ONLY_CAP = (*OUTLINES, "corner_radius", "corner_chamfer", "weld_gap", "overlap", "drain")
ONLY_ROLLED = ("arc", "seam", "measured")


class Cover(Part, Finished, Grained, OutlineKeys):
    """[[cover]]

    cap:   closes an opening: an outline as for a plate (the opening's), less `weld_gap` all
           round (or plus `overlap`), with a drain hole
    skirt: a strip rolled to a cylinder: diameter, height, arc, cut_out
    cone:  a frustum: bottom, top (diameters), height, arc
    """

    shape: Literal["cap", "skirt", "cone"]
    thickness: PlusLength
    weld_gap: ZeroLength | None = None
    overlap: ZeroLength = Field(default=0.0, description="cap: the sheet laps over the opening's edge by this")
    drain: (
        Annotated[
            Annotated[Drain, Tag("table")] | Annotated[Literal["none"], Tag("text")], Discriminator(text_or_table)
        ]
        | None
    ) = None
    diameter: PlusLength | None = None
    bottom: PlusLength | None = None
    top: PlusLength | None = None
    height: PlusLength | None = None
    arc: Arc | None = Field(default=None, description="how much of the round it covers; left out = 360 deg")
    measured: Literal["outside", "inside", "middle"] = Field(default="outside", description="what the diameters are")
    seam: ZeroLength = Field(default=0.0, description="extra length to lap over at the seam")
    cut_out: WheelCut | None = None
    holes: list[HoleGiven] = Field(default=[])
    mark_text: Text | None = None

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        for i, _ in _hole_faces(given):
            yield InputError("face has no meaning here", "face goes with brackets", key=("holes", i, "face"))
        shape = given.get("shape")
        if not isinstance(shape, str) or shape not in COVER_SIZES:
            return
        yield from sizes_of_shape(shape, COVER_SIZES, given)
        for key in ONLY_CAP:
            yield from goes_with(key, given, shape == "cap", 'shape = "cap"')
        for key in ONLY_ROLLED:
            yield from goes_with(key, given, shape != "cap", 'shape = "skirt" or shape = "cone"')
        yield from goes_with("cut_out", given, shape == "skirt", 'shape = "skirt"')
        if given_of(("weld_gap",), given):
            yield from at_most_one(("weld_gap", "overlap"), given)

    @classmethod
    def has_outline(cls, given: Mapping[str, object]) -> bool:
        return given.get("shape") == "cap"
