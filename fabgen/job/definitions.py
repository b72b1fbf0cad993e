"""What a job file may say, as pydantic models: one table a model, one key a field.

Lengths arrive in mm and angles in radians, whatever the file wrote: `fields.py` turns text
with units, fractions and formulas into numbers before a model sees them.  The descriptions
here are the manual: they say what each key means and what it is when left out.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from fabgen.job.fields import (
    Angle,
    Length,
    MarkName,
    MaterialName,
    PlusLength,
    PointRef,
    SectionText,
    Text,
    ZeroLength,
)
from fabgen.shop.section import Section

Fit = Literal["clear", "outside"]
HoleFit = Literal["close", "medium", "coarse"]
Measured = Literal["outside", "inside"]
Count = Annotated[int, Field(ge=1, le=10_000)]
Pair = Annotated[list[Length], Field(min_length=2, max_length=2)]
PlusPair = Annotated[list[PlusLength], Field(min_length=2, max_length=2)]


class Strict(BaseModel):
    """A table that knows all its keys."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


class Header(Strict):
    """[job]"""

    title: Text
    number: Text
    units: Literal["mm", "in"]
    date: date | None = None
    owner: Text = Field("", description="who the drawings belong to (title block)")
    drawn_by: Text = Field("", description="who drew it (title block)")
    checked_by: Text = Field("", description="who checked it (title block)")
    revision: Text = Field("A", description="revision letter (title block)")
    material: MaterialName = Field("S235", description="material of parts that name none")
    tolerance: Text = Field("ISO 2768-m", description="general tolerance printed on the drawings")
    fit: Fit = Field("clear", description="how coped tube ends sit, where a tube does not say")
    hole_fit: HoleFit = Field("medium", description="ISO 273 series of bolt holes, where a hole does not say")
    bend_rule: Literal["table", "din6935"] = Field("table", description="where K comes from when a part gives none")
    weld_gap: ZeroLength = Field(1.0, description="gap all round a cap cover, where a cover does not say")


class Part(Strict):
    """Keys that every part takes."""

    mark: MarkName
    quantity: Count = 1
    material: MaterialName | None = None
    title: Text = ""
    finish: Text = ""
    note: Text = ""


# -- tubes ------------------------------------------------------------------
class TubeEnd(Strict):
    """start / finish of a tube; left out = automatic."""

    cut: Literal["auto", "plain", "cope", "mitre"] = "auto"
    onto: Annotated[list[MarkName], Field(min_length=1)] | None = Field(
        None, description="the marks it is coped to; left out = every earlier tube it meets there"
    )
    fit: Fit | None = None
    extend: Length = Field(0.0, description="a plain end goes on past its point by this (minus: stops short)")


class Tube(Part):
    """[[tube]]"""

    section: SectionText
    route: Annotated[list[PointRef], Field(min_length=2)]
    start: TubeEnd = TubeEnd()
    finish: TubeEnd = TubeEnd()
    bend_radius: PlusLength | None = Field(None, description="centreline radius at the inner points of the route")
    turn: Angle = Field(0.0, description="turns a rectangular section about the tube's axis")


# -- link rods --------------------------------------------------------------
class RodEndGiven(Strict):
    """A rod end with figures of your own; what is left out comes from the table."""

    thread: Text = Field(description="e.g. 'M12' or '1/2-20 UNF'")
    hand: Literal["right", "left"] = "right"
    shank: PlusLength | None = Field(None, description="ball centre to the end of the shank")
    thread_length: PlusLength | None = Field(None, description="length of thread on the shank")
    eye_width: PlusLength | None = None
    bore: PlusLength | None = None


class Link(Part):
    """[[link]]"""

    section: SectionText
    between: Annotated[list[PointRef], Field(min_length=2, max_length=2)] | None = None
    length: PlusLength | None = Field(None, description="pin to pin, instead of `between`")
    rod_ends: Annotated[list[Annotated[str, Field(max_length=40)] | RodEndGiven], Field(min_length=2, max_length=2)]
    bung: Literal["auto", "none"] = Field(
        "auto", description="weld-in threaded bungs; 'none' when the tube itself is tapped"
    )
    bung_length: PlusLength | None = Field(None, description="thread length of the bung; left out = table")
    bung_head: ZeroLength | None = Field(None, description="how far the bung stands out of the tube; left out = table")
    adjust: ZeroLength | None = Field(None, description="adjustment wanted, each way, pin to pin")

    @model_validator(mode="after")
    def one_length(self) -> Self:
        if (self.between is None) == (self.length is None):
            raise ValueError("give either `between` (two points) or `length` (pin to pin), and not both")
        return self


# -- holes ------------------------------------------------------------------
class Row(Strict):
    """holes in a row from the first; `turn` is the row's direction"""

    count: Annotated[int, Field(ge=2, le=1000)]
    pitch: PlusLength
    turn: Angle = 0.0


class Grid(Strict):
    """rows and columns of holes from the first, at the lower left"""

    columns: Annotated[int, Field(ge=1, le=200)]
    rows: Annotated[int, Field(ge=1, le=200)]
    pitch: PlusPair


class BoltCircle(Strict):
    """holes on a circle about `at`; `start` is where the first lies"""

    count: Annotated[int, Field(ge=1, le=500)]
    diameter: PlusLength
    start: Angle = 0.0


class HoleGiven(Strict):
    """One hole, slot or pattern.  On a bracket `face` names the face."""

    at: Pair
    bolt: Annotated[str, Field(max_length=20)] | None = Field(None, description="e.g. 'M10': clearance by ISO 273")
    fit: HoleFit | None = None
    diameter: PlusLength | None = Field(None, description="instead of `bolt`")
    length: PlusLength | None = Field(None, description="makes it a slot: length over all")
    turn: Angle = Field(0.0, description="direction of a slot")
    face: Annotated[str, Field(max_length=20)] | None = None
    row: Row | None = None
    grid: Grid | None = None
    circle: BoltCircle | None = None

    @model_validator(mode="after")
    def one_of_each(self) -> Self:
        if (self.bolt is None) == (self.diameter is None):
            raise ValueError("give either `bolt` (e.g. \"M10\") or `diameter`, and not both")
        if sum(pattern is not None for pattern in (self.row, self.grid, self.circle)) > 1:
            raise ValueError("give one pattern only: `row`, `grid` or `circle`")
        if self.fit is not None and self.bolt is None:
            raise ValueError("`fit` goes with `bolt`")
        return self


# -- plates and anything with a flat outline --------------------------------
class CornerGiven(Strict):
    """A corner of an outline; on the file's side [x, y] or {at = [x, y], radius = …}."""

    at: Pair
    radius: ZeroLength = 0.0
    chamfer: ZeroLength = 0.0

    @model_validator(mode="before")
    @classmethod
    def from_pair(cls, value: object) -> object:
        return {"at": value} if isinstance(value, list) else value


class OutlineKeys(Strict):
    """Exactly one of these says what the outline is."""

    rectangle: PlusPair | None = Field(None, description="[width, height]; origin at the lower left corner")
    disc: PlusLength | None = Field(None, description="diameter; origin at the centre")
    stadium: PlusPair | None = Field(None, description="[length over all, width]; origin at the centre")
    corners: Annotated[list[CornerGiven], Field(min_length=3, max_length=2000)] | None = None
    corner_radius: ZeroLength = Field(0.0, description="fillet at every corner that gives none of its own")
    corner_chamfer: ZeroLength = Field(0.0, description="chamfer at every corner that gives none of its own")

    @model_validator(mode="after")
    def one_outline(self) -> Self:
        given = [k for k in ("rectangle", "disc", "stadium", "corners") if getattr(self, k) is not None]
        if len(given) != 1 and type(self).outline_wanted(self):
            raise ValueError(
                "give exactly one outline: `rectangle`, `disc`, `stadium` or `corners`"
                + (f" (this has {' and '.join(given)})" if given else "")
            )
        if self.corner_radius and self.corner_chamfer:
            raise ValueError("give `corner_radius` or `corner_chamfer`, not both")
        return self

    def outline_wanted(self) -> bool:
        return True


class Plate(Part, OutlineKeys):
    """[[plate]]"""

    thickness: PlusLength
    holes: list[HoleGiven] = []
    mark_text: Text | None = Field(None, description="etched on the part; left out = the mark; '' = nothing")


# -- folded brackets --------------------------------------------------------
class Bracket(Part):
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
    radius: ZeroLength | None = Field(None, description="inside radius; left out = the thickness")
    bend_angle: Angle | None = Field(None, description="how far each flange turns from flat; left out = 90 deg")
    k: Annotated[float, Field(ge=0.0, le=1.0)] | None = Field(None, description="own K-factor; wins over any rule")
    measured: Measured = "outside"
    legs: PlusPair | None = None
    web: PlusLength | None = None
    flanges: PlusPair | None = None
    crown: PlusLength | None = None
    sides: PlusPair | None = None
    brims: PlusPair | None = None
    corner_radius: ZeroLength = Field(0.0, description="fillet at the free corners")
    corner_chamfer: ZeroLength = 0.0
    holes: list[HoleGiven] = []
    mark_text: Text | None = None

    @model_validator(mode="after")
    def sizes_of_shape(self) -> Self:
        wanted = {"angle": ("legs",), "channel": ("web", "flanges"), "hat": ("crown", "sides", "brims")}
        needed = wanted[self.shape]
        for key in ("legs", "web", "flanges", "crown", "sides", "brims"):
            given = getattr(self, key) is not None
            if key in needed and not given:
                raise ValueError(f"shape = \"{self.shape}\" needs `{'` and `'.join(needed)}`")
            if given and key not in needed:
                raise ValueError(f"`{key}` does not belong to shape = \"{self.shape}\"")
        return self


# -- covers -----------------------------------------------------------------
class Drain(Strict):
    """a drain hole; left out on a cap = 8 mm near the lowest edge"""

    at: Pair | None = None
    diameter: PlusLength = 8.0


class WheelCut(Strict):
    """A curved cut-out of a skirt, made by a second cylinder square to the skirt's axis."""

    diameter: PlusLength
    height: Length = Field(0.0, description="its axis above the skirt's lower edge")
    around: Angle = Field(0.0, description="where round the skirt it is centred, from the seam's opposite side")
    offset: Length = Field(0.0, description="its axis to the side of the skirt's axis")


class Cover(Part, OutlineKeys):
    """[[cover]]

    cap:   closes an opening: an outline as for a plate (the opening's), less `weld_gap` all
           round (or plus `overlap`), with a drain hole
    skirt: a strip rolled to a cylinder: diameter, height, arc, cut_out
    cone:  a frustum: bottom, top (diameters), height, arc
    """

    shape: Literal["cap", "skirt", "cone"]
    thickness: PlusLength
    weld_gap: ZeroLength | None = None
    overlap: ZeroLength = Field(0.0, description="cap: the sheet laps over the opening's edge by this")
    drain: Drain | Literal["none"] | None = None
    diameter: PlusLength | None = None
    bottom: PlusLength | None = None
    top: PlusLength | None = None
    height: PlusLength | None = None
    arc: Angle | None = Field(None, description="how much of the round it covers; left out = 360 deg")
    measured: Literal["outside", "inside", "middle"] = Field("outside", description="what the diameters are")
    seam: ZeroLength = Field(0.0, description="extra length to lap over at the seam")
    cut_out: WheelCut | None = None
    holes: list[HoleGiven] = []
    mark_text: Text | None = None

    def outline_wanted(self) -> bool:
        return self.shape == "cap"

    @model_validator(mode="after")
    def sizes_of_shape(self) -> Self:
        needed = {"cap": (), "skirt": ("diameter", "height"), "cone": ("bottom", "top", "height")}[self.shape]
        for key in ("diameter", "bottom", "top", "height"):
            given = getattr(self, key) is not None
            if key in needed and not given:
                raise ValueError(f"shape = \"{self.shape}\" needs `{'`, `'.join(needed)}`")
            if given and key not in needed:
                raise ValueError(f"`{key}` does not belong to shape = \"{self.shape}\"")
        return self


# -- stock ------------------------------------------------------------------
class Stock(Strict):
    """[[stock]]: what can be bought, or lies on the rack already"""

    section: SectionText | None = None
    thickness: PlusLength | None = None
    material: MaterialName | None = Field(None, description="left out = any material")
    lengths: list[PlusLength] = Field([], description="bar lengths of this section")
    sheets: list[PlusPair] = Field([], description="sheet sizes of this thickness")
    price: Annotated[float, Field(ge=0)] | None = Field(None, description="of one bar (first length) or one sheet")
    kerf: ZeroLength | None = Field(None, description="saw or torch kerf; left out = the shop's usual")
    on_hand: Annotated[int, Field(ge=0)] | None = Field(None, description="how many lie on the rack; used first")

    @model_validator(mode="after")
    def bar_or_sheet(self) -> Self:
        if (self.section is None) == (self.thickness is None):
            raise ValueError("give either `section` (bars) or `thickness` (sheets), and not both")
        if self.section is not None and not self.lengths:
            raise ValueError("bars need `lengths`, e.g. lengths = [\"6 m\"]")
        if self.thickness is not None and not self.sheets:
            raise ValueError("sheets need `sheets`, e.g. sheets = [[2500, 1250]]")
        return self


class Definitions(Strict):
    """The whole job file, checked key by key."""

    job: Header
    dimensions: dict[str, Length] = {}
    points: dict[str, PointRef] = {}
    tube: list[Tube] = []
    link: list[Link] = []
    plate: list[Plate] = []
    bracket: list[Bracket] = []
    cover: list[Cover] = []
    stock: list[Stock] = []


__all__ = ["Definitions", "Section"]
