"""Folded brackets a job file may define: [[bracket]], by a shape with its sizes, or by a base and its flanges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, Discriminator, Field, PlainValidator, StrictBool, Tag

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.tables.bend_tables import Pressed
from fabgen.job.tables.etch_tables import Etched, SeatRef
from fabgen.job.tables.fields import (
    Angle,
    BendAngle,
    BoltText,
    Length,
    Pair,
    PartMark,
    PlusLength,
    PlusPair,
    ShortText,
    Tilt,
    ZeroLength,
    number_between,
)
from fabgen.job.tables.flat_tables import CornerGiven, Grained, HoleFit, HoleGiven, Measured, hole_faces, round_hole
from fabgen.job.tables.part_tables import Family, Finished, Part
from fabgen.job.tables.place_tables import OfTwoHands
from fabgen.job.tables.table import Case, ShortTable, Table, at_most_one, exactly_one, goes_with, optional
from fabgen.job.values.written_forms import any_of, from_to, read_by, word_of

ReliefName = Literal["round", "rectangular", "none"]
Kfactor = Annotated[float, number_between(0.0, 1.0, "a bare number from 0 to 1, e.g. 0.42")]


def _no_joggle(value: object) -> None:
    raise InputError(
        "a joggle is pressed, not folded: the sheet its two bends take depends on the tool alone, so "
        "fabgen cannot give its flat length",
        'leave joggle out and fold the step as shape = "zed", or press a test strip and add the length it takes',
    )


NoJoggle = Annotated[None, PlainValidator(_no_joggle)]


# -- what an edge sits on -----------------------------------------------------
class SeatGiven(ShortTable):
    """What an edge sits on: a tube in any position, or a flat.  Short form: its section or mark alone."""

    short = "onto"

    onto: SeatRef = Field(description='a section, the mark of a tube of the job, or "flat"')
    turn: Angle | None = optional(
        "how the edge is cut: between the tube's axis and the edge, seen from above, 0 = the sheet stands along the "
        "tube, 90 = across it; left out = 90, on a gusset 0. It turns no part that stands: that is `turn` of its place"
    )
    slope: Tilt = optional("how far the tube's axis rises toward the part", 0.0)
    offset: Length = optional("of the tube's axis from the middle of the sheet", 0.0)
    roll: Angle = optional("turns a rectangular section about its axis", 0.0)


def _as_list(value: object) -> object:
    return value if isinstance(value, list) else [value]


Seats = Annotated[list[SeatGiven], BeforeValidator(_as_list), Field(min_length=1, max_length=2)]


# -- base and flanges ---------------------------------------------------------
def _corners_or_size(value: object) -> str:
    is_list = isinstance(value, list) and bool(value) and isinstance(value[0], list | dict | CornerGiven)
    return "corners" if is_list else "size"


def _tables_or_lengths(value: object) -> str:
    is_list = isinstance(value, list) and bool(value) and all(isinstance(each, dict | Table) for each in value)
    return "tables" if is_list else "lengths"


Base = Annotated[
    Annotated[PlusPair, Tag("size")]
    | Annotated[list[CornerGiven], Field(min_length=3, max_length=200), Tag("corners")],
    Discriminator(_corners_or_size),
]


def _edge(value: object) -> int | str:
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 200:
        return value
    if isinstance(value, str) and value in EDGES:
        return value
    accepted = 'the number of an edge of the base, e.g. 1; on another flange "far", "left" or "right"'
    raise InputError(f"cannot read {shown(value)} as an edge", accepted, nearest(str(value), EDGES))


EDGES = ("far", "left", "right")
EdgeName = Annotated[int | str, read_by(_edge, any_of(word_of(EDGES), from_to("integer", 1, 200)))]


class FlangeGiven(Table):
    """A flange of a base, or of another flange.  Along its edge all is measured from the edge's left
    end (of an upright edge: its lower end)."""

    edge: EdgeName | None = optional(
        "of a base: the number of its edge, the first from corner 1 to corner 2 (of [width, height]: 1 below, 2 "
        'right, 3 above, 4 left); of a flange: "far" (left out), "left" or "right"'
    )
    height: PlusLength | None = optional("over its bend, measured as the part is")
    hem: PlusLength | None = optional("instead of height: folded right back, this long")
    gap: ZeroLength | None = optional("room inside a hem; left out = 0, a closed hem")
    angle: BendAngle | None = optional("how far it turns from flat; left out = bend_angle")
    radius: ZeroLength | None = optional("inside radius; left out = the part's")
    fold: Literal["up", "down"] = optional("toward the upper side, or away from it", "up")
    from_: ZeroLength | None = Field(default=None, alias="from", description="left out = from the edge's end")
    to: PlusLength | None = optional("left out = to the edge's end")
    relief: ReliefName | None = optional("left out = the part's")
    name: ShortText = optional('for its holes; left out = "flange 1", below that "flange 1.1"', "")
    corner_radius: ZeroLength | None = optional("at its free corners; left out = the part's")
    corner_chamfer: ZeroLength | None = optional("instead of `corner_radius`: cut off there")
    flanges: Annotated[list[FlangeGiven], Field(max_length=40)] = optional("further flanges on this one", [])
    joggle: NoJoggle = Field(default=None, exclude=True)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        yield from exactly_one(("height", "hem"), given)
        yield from at_most_one(("corner_radius", "corner_chamfer"), given)
        yield from goes_with("gap", given, given.get("hem") is not None, "hem")
        for key in ("angle", "radius", "flanges"):
            yield from goes_with(key, given, given.get("hem") is None or not given.get(key), "height, not with a hem")


Flanges = Annotated[
    Annotated[PlusPair, Tag("lengths")]
    | Annotated[list[FlangeGiven], Field(min_length=1, max_length=40), Tag("tables")],
    Discriminator(_tables_or_lengths),
]


# -- shapes -------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class ShapeKeys:
    """Keys that a shape needs, keys that it may have beside those of every bracket, and its faces."""

    needed: tuple[str, ...]
    may: tuple[str, ...] = ()
    faces: tuple[str, ...] = ()

    @property
    def barred(self) -> tuple[str, ...]:
        """Keys of other shapes alone."""
        return tuple(key for key in _SIZE_KEYS if key not in self.needed and key not in self.may)


_FOLD = ("radius", "k", "die", "fold_marks")
_RUN = ("bend_angle", "measured", "hem", "hem_gap", "hem_fold", "corner_radius", "corner_chamfer", *_FOLD)
_RELIEF = ("relief", "relief_width", "relief_depth")
_CORNERS = ("corner", "corner_gap")
_PIN = ("bolt", "fit", "diameter", "bush", "end_radius", "drilled")

BASE_AND_FLANGES = ""
"""The name of what has no shape of its own."""

SHAPES = {
    "angle": ShapeKeys(("length", "legs"), _RUN, ("a", "b")),
    "channel": ShapeKeys(("length", "web", "flanges"), _RUN, ("web", "left", "right")),
    "zed": ShapeKeys(("length", "web", "legs"), _RUN, ("web", "a", "b")),
    "hat": ShapeKeys(
        ("length", "crown", "sides", "brims"), _RUN, ("crown", "left side", "right side", "left brim", "right brim")
    ),
    "box": ShapeKeys(
        ("base", "height"), (*_RUN, *_RELIEF, *_CORNERS), ("base", "front", "right", "back", "left")
    ),
    "clevis": ShapeKeys(("gap", "length", "height"), (*_PIN, *_FOLD), ("base", "left", "right")),
    "ear": ShapeKeys(("width", "height"), (*_PIN, "sits"), ("ear",)),
    "tabbed": ShapeKeys(
        ("base", "bolt"),
        ("bolt_at", "fit", "drilled", "across_flats", "clearance", "tab_height", "tab_length", "corner_radius",
         "corner_chamfer", *_RELIEF, *_FOLD),
        ("base", "left tab", "right tab"),
    ),
    "saddle": ShapeKeys(
        ("length", "web", "height", "sits"),
        ("depth", "bend_angle", "measured", *_FOLD),
        ("web", "left", "right"),
    ),
    "gusset": ShapeKeys(
        ("legs",),
        ("angle", "nose", "snipe", "sits", "lip", "bend_angle", "measured", "corner_radius", "corner_chamfer", *_FOLD),
        ("gusset", "lip"),
    ),
    BASE_AND_FLANGES: ShapeKeys(
        ("base", "flanges"), ("bend_angle", "measured", "corner_radius", "corner_chamfer", *_FOLD, *_RELIEF, *_CORNERS)
    ),
}  # fmt: skip
_SIZE_KEYS = tuple(dict.fromkeys(key for keys in SHAPES.values() for key in (*keys.needed, *keys.may)))
_PAIRS = {"box": "base", "tabbed": "base", "channel": "flanges"}
"""Keys that are a pair of lengths in these shapes, and something longer elsewhere."""


class Bracket(Part, Finished, Grained, Pressed, Etched, OfTwoHands):
    """[[bracket]]: a folded part; every size is outside unless `measured = "inside"`.  Whatever the shape, at a bend
    an outside size ends at that bend's outer skin, an inside size at its inner skin, the hollow one; at a free edge
    both end there, at a hem over its fold:

      |<---- outside --->|                     |<---- outside --->|
         |<- inside ->|                           |<- inside ->|
      |  |            |  |                      __________________
      |  |            |  |                     |   ____________   |  --- outside
      |  |            |  |                     |  |            |  |  --- inside          side
      |  |____________|  |            _________|  |            |  |_________  --- inside
      |__________________|           |____________|            |____________| --- outside

    Measured inside, a right-angled bend adds the thickness t to the size over all:

    angle    legs + t
    channel  web + 2 t, flanges + t
    zed      web + 2 t, legs + t
    hat      crown + 2 t, sides + 2 t, brims + t
    box      base + 2 t both ways, height + t
    saddle   web + 2 t; its height is from the web's outside in any case
    gusset   lip + t
    free     base + t for each edge with a flange, flanges + t, or + 2 t with another flange on them

    The shapes and their faces:

    angle:   legs = [a, b]; faces "a", "b"
    channel: web, flanges = [left, right]; faces "web", "left", "right"
    zed:     web, legs = [a, b], turned opposite ways; faces "web", "a", "b"
    hat:     crown, sides = [left, right], brims = [left, right];
             faces "crown", "left side", "right side", "left brim", "right brim"
    box:     base = [width, depth], height of its four sides; faces "base", "front", "right", "back", "left"
    clevis:  two ears of one piece, gap clear between them, length of the base along the folds, height of the
             bolt over the base's outside; faces "base", "left", "right"
    ear:     a flat lug, width of its foot, height of the bolt over what it sits on (a tube: over its axis)
    tabbed:  base = [width, height] with a bolt whose head two tabs keep from turning;
             faces "base", "left tab", "right tab"
    saddle:  web on two flanges cut to sit on a tube, height from the web's outside to the tube's axis;
             faces "web", "left", "right"
    gusset:  legs = [a, b] along two members at an angle, with or without a folded lip; faces "gusset", "lip"
    without a shape: base = [width, height] or corners, flanges = [{ edge = 1, height = … }, …]

    `at = [u, v]` of a hole: u along the fold from the left end, v from the outside corner of the
    fold that the face hangs on, also where `measured = "inside"` (web and crown: from the outside of
    the left flange; an ear, a gusset: in its own coordinates; a base: in the coordinates of its corners,
    so from where its sizes begin, the inside corners where `measured = "inside"`).
    """

    family = Family("folded bracket", "folded brackets", "bracket.bracket", cautioned=True)

    shape: Literal["angle", "channel", "zed", "hat", "box", "clevis", "ear", "tabbed", "saddle", "gusset"] | None = (
        optional("left out = base and flanges")
    )
    thickness: PlusLength = Field(description="of the sheet")
    length: PlusLength | None = optional("along the folds")
    radius: ZeroLength | None = optional(
        "inside radius; left out = what the lower tool makes, but no less than the material's least (tabbed: less, if "
        "need be)"
    )
    bend_angle: BendAngle | None = optional("how far each flange turns from flat; left out = 90 deg")
    k: Kfactor | None = optional("own K-factor; wins over any rule")
    measured: Measured = Field(default="outside", description="which skins sizes run between, above")
    legs: PlusPair | None = optional("[a, b]: the two legs of an angle, a zed or a gusset")
    web: PlusLength | None = optional("width of the web of a channel, a zed or a saddle")
    flanges: Flanges | None = optional("of a channel [left, right]; without a shape a list of tables, below")
    crown: PlusLength | None = optional("width of the crown of a hat")
    sides: PlusPair | None = optional("[left, right]: the upright sides of a hat")
    brims: PlusPair | None = optional("[left, right]: the brims of a hat")
    base: Base | None = optional("[width, height], or without a shape also its corners; sizes to the outside of bends")
    height: PlusLength | None = optional(
        "of a box: its sides; of a clevis and an ear: the bolt, of a saddle: the web, over what they sit on"
    )
    gap: PlusLength | None = optional("clear between the ears of a clevis")
    width: PlusLength | None = optional("of an ear's foot")
    bolt: BoltText | None = optional("e.g. 'M12': clearance by ISO 273")
    fit: HoleFit | None = optional("of the clearance for `bolt`: a series of ISO 273; left out = the job's")
    diameter: PlusLength | None = optional("of the hole, instead of `bolt`")
    bush: PartMark | None = optional("instead: the mark of the [[bush]] that sits in it, whose size the hole takes")
    drilled: StrictBool | None = optional(
        "that hole is not cut: its centre is marked on the flat, to be drilled when the part is folded; left out = "
        "only where the shape is 'tabbed', whose tabs would draw it out of round"
    )
    end_radius: PlusLength | None = optional("about the hole; left out = twice the bolt")
    sits: Seats | None = optional("what its edge sits on; of a gusset two, one a leg")
    depth: PlusLength | None = optional("how far a saddle's flanges come down; left out = to the tube's axis")
    angle: BendAngle | None = optional(
        "between the members of a gusset; left out = as the tubes it names stand, else 90 deg"
    )
    nose: ZeroLength | None = optional(
        "blunt end of a gusset's legs; left out = 3 thicknesses, more where a lip needs it"
    )
    snipe: ZeroLength = optional("cut off the gusset's inner corner, to clear a weld there", 0.0)
    lip: PlusLength | None = optional("folded along the gusset's free edge")
    bolt_at: Pair | None = optional("of the boxed-in bolt on the base; left out = its middle")
    across_flats: PlusLength | None = optional("of the bolt's head; left out = ISO 272")
    clearance: ZeroLength = optional("between head and tabs, both sides together", 0.4)
    tab_height: PlusLength | None = optional("over the base's upper side; left out = the head's")
    tab_length: PlusLength | None = optional("left out = the width across flats")
    corner: Literal["open", "butt", "gap"] | None = optional(
        "where two flanges meet: 'open' = each ends where the other's bend begins (left out); 'gap' = inner edges "
        "together, corner_gap apart; 'butt' = one runs over the other's end"
    )
    corner_gap: ZeroLength | None = optional("left out = 0.5 mm for 'gap', 0 for 'butt'")
    relief: ReliefName | None = optional("notch where a bend ends inside an edge or meets another: left out = round")
    relief_width: PlusLength | None = optional(
        "left out = the thickness, 1.5 mm at least, and more than the job's kerf_offset"
    )
    relief_depth: ZeroLength | None = optional("past the bend's tangent line; left out = half the notch's width")
    hem: PlusLength | None = optional("folded right back along the free edges")
    hem_gap: ZeroLength | None = optional("room inside the hem; left out = 0, a closed hem")
    hem_fold: Literal["in", "out"] | None = optional("toward the part's inside (left out) or out")
    corner_radius: ZeroLength = optional("fillet at the free corners", 0.0)
    corner_chamfer: ZeroLength = optional("instead of `corner_radius`: cut off at the free corners", 0.0)
    holes: list[HoleGiven] = optional("holes, slots and patterns of them: a list of tables, below", [])
    fold_marks: StrictBool = optional("etch which way each bend folds", True)
    joggle: NoJoggle = Field(default=None, exclude=True)

    @classmethod
    def cases(cls) -> Iterator[Case]:
        for shape, keys in SHAPES.items():
            yield Case("shape", shape, keys.needed, keys.barred)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        yield from at_most_one(("corner_radius", "corner_chamfer"), given)
        shape = given.get("shape", BASE_AND_FLANGES)
        if not isinstance(shape, str) or shape not in SHAPES:
            return
        yield from _keys_of_shape(shape, given)
        yield from goes_with(("hem_gap", "hem_fold"), given, given.get("hem") is not None, "hem")
        closed = given.get("corner") in ("butt", "gap")
        yield from goes_with("corner_gap", given, closed, 'corner = "butt" or corner = "gap"')
        yield from goes_with("fit", given, given.get("bolt") is not None, "bolt")
        if shape in ("clevis", "ear"):
            yield from round_hole(given, ', e.g. bolt = "M12"')
        if shape == "gusset":
            yield from goes_with((*_FOLD, "bend_angle", "measured"), given, given.get("lip") is not None, "lip")
        if shape == BASE_AND_FLANGES:
            yield from _unused(given)
        yield from _faces_of_shape(shape, given)


def _keys_of_shape(shape: str, given: Mapping[str, object]) -> Iterator[InputError]:
    """Faults where a key that the shape needs is missing, or one of another shape is given."""
    keys = SHAPES[shape]
    missing = [key for key in keys.needed if given.get(key) is None]
    if shape == BASE_AND_FLANGES and len(missing) == len(keys.needed):
        yield InputError("this bracket has no shape", _or_shapes([*SHAPES][:-1]) + ", or base and flanges")
        return
    if missing:
        name = f"shape = {shown(shape)}" if shape else "a bracket without a shape"
        yield InputError(f"{name} has no {' and no '.join(missing)}", ", ".join(keys.needed))
    for key in keys.barred:
        others = [name for name, other in SHAPES.items() if key in other.needed or key in other.may]
        yield from goes_with(key, given, False, _or_shapes(others))
    value = given.get(_PAIRS.get(shape, ""))
    if isinstance(value, list) and value and isinstance(value[0], list | dict):
        key = _PAIRS[shape]
        yield InputError(f"{key} of shape = {shown(shape)} is a pair of lengths", f"e.g. {key} = [60, 40]", key=(key,))


def _unused(given: Mapping[str, object]) -> Iterator[InputError]:
    """Faults of a radius or an angle of the part that no flange takes, as each has its own or is a hem."""
    flanges = list(_all_flanges(given.get("flanges")))
    for key, own in (("radius", "radius"), ("bend_angle", "angle")):
        folded = [each for each in flanges if each.get("hem") is None]
        if given.get(key) is not None and flanges and all(each.get(own) is not None for each in folded):
            what = f"{key} is used by no flange: each gives its own {own}" if folded else f"{key} is used by no hem"
            yield InputError(what, f"leave {key} out, or {own} of the flanges that are to take it", key=(key,))


def _all_flanges(flanges: object) -> Iterator[Mapping[str, object]]:
    for each in flanges if isinstance(flanges, list) else []:
        flange = each.model_dump() if isinstance(each, Table) else each
        if isinstance(flange, Mapping):
            yield flange
            yield from _all_flanges(flange.get("flanges"))


def _or_shapes(names: Sequence[str]) -> str:
    named = [f"shape = {shown(name)}" for name in names if name]
    return " or ".join([*named, *(["a bracket of base and flanges"] if BASE_AND_FLANGES in names else [])])


def _faces_of_shape(shape: str, given: Mapping[str, object]) -> Iterator[InputError]:
    faces = SHAPES[shape].faces
    if shape == "gusset" and given.get("lip") is None:
        faces = faces[:1]
    for table in ("holes", "tubes"):
        for i, face in hole_faces(given, table):
            if faces and face not in faces:
                what = f"shape = {shown(shape)} has no face {shown(face)}"
                yield InputError(what, ", ".join(faces), nearest(str(face), faces), (table, i, "face"))
