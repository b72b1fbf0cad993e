"""Holes that a job gives a tube: bolt holes, slots, rows, vents that find their own place; and slits in its ends."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Annotated, Literal, get_args

from pydantic import BeforeValidator, Field, StrictBool, ValidationInfo

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.tables.fields import (
    Angle,
    BoltText,
    Context,
    Length,
    MarkName,
    PlusLength,
    PointRef,
    SectionText,
    ShortText,
    ZeroLength,
    whole_number,
)
from fabgen.job.tables.table import Table, at_most_one, exactly_one, given_of, goes_with, optional
from fabgen.job.values.written_forms import angle_form, any_of, read_by, word_of

SideName = Literal["top", "bottom", "left", "right", "front", "back"]
SIDES: tuple[str, ...] = get_args(SideName)
JOB_SIDES = {
    "top": (0.0, 0.0, 1.0),
    "bottom": (0.0, 0.0, -1.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
    "front": (1.0, 0.0, 0.0),
    "back": (-1.0, 0.0, 0.0),
}
"""Which way the sides of a job look: x forward, y left, z up."""


def _side(value: object, info: ValidationInfo) -> SideName | float:
    """A side by its name, or rad from TOP, clockwise seen from the start."""
    accepted = f"{', '.join(SIDES)}, or degrees from TOP, clockwise seen from the start"
    name = value.strip().lower() if isinstance(value, str) else ""
    for side in get_args(SideName):
        if name == side:
            return side  # type: ignore[no-any-return]
    try:
        angle = Context.of(info).angle(value)
    except InputError:
        raise InputError(f"cannot read {shown(value)} as a side", accepted, nearest(name, SIDES)) from None
    if not -2.0 * math.pi <= angle <= 2.0 * math.pi:
        raise InputError(f"{shown(value)} comes to {math.degrees(angle):g} degrees, out of range", accepted)
    return angle


Side = Annotated[SideName | float, read_by(_side, any_of(word_of(SIDES), angle_form(-360.0, 360.0)))]


_PLACED = ("from", "at", "near", "side", "toward", "bolt", "diameter", "length", "both_walls", "sleeve", "row")
"""Keys of a hole that a vent finds by itself."""


HOLE_STATE = (
    "there already: the part, which is bought or there already itself, has this hole; left out = it is drilled here"
)


class TubeRowGiven(Table):
    """holes in a row along the part, from the first away from the end that it is measured from"""

    count: Annotated[int, whole_number(2, 500)] = Field(description="how many")
    pitch: PlusLength = Field(description="from middle to middle, along it")


class TubeHoleGiven(Table):
    """A hole or slot in a tube's wall, or a row of them; `{ vent = true }` is drilled where water would gather."""

    vent: StrictBool = optional(
        "a vent and drain at the tube's low end, on its underside, as wide as the checks of closed members ask; of a "
        "job that is galvanized after, at both ends",
        False,
    )
    from_: Literal["start", "finish"] = Field(
        default="start", alias="from", description="the end whose saw cut `at` is measured from"
    )
    at: Length | None = optional(
        "middle of the hole from that end's saw cut, the longest point, as a tape measures it; along the centreline of "
        "a bent tube"
    )
    near: PointRef | None = optional("instead of `at`: the place of the tube nearest to this point")
    side: Side | None = optional(
        "the side of the tube as it lies in the job: top, bottom, left, right, front, back; or degrees from TOP, "
        "clockwise seen from the start"
    )
    toward: PointRef | None = optional("instead of `side`: it looks toward this point")
    offset: Length = optional(
        "the drill runs so far beside the tube's middle, clockwise seen from the start; on a flat face, the hole's "
        "middle from the middle of the face",
        0.0,
    )
    bolt: BoltText | None = optional("e.g. 'M10': clearance by ISO 273, as `hole_fit` of the job")
    diameter: PlusLength | None = optional("instead of `bolt`")
    length: PlusLength | None = optional("makes it a slot: length over all")
    turn: Angle = optional("of a slot, from along the tube, clockwise seen from outside", 0.0)
    both_walls: StrictBool = optional("true: the drill goes on through the opposite wall", False)
    sleeve: SectionText | None = optional(
        'a crush sleeve welded in, e.g. "16 x 2": a round tube from wall to wall that the bolt passes; the holes in '
        "the walls are drilled to its outside, and it is a piece of its own"
    )
    plug: StrictBool = optional("true: welded shut on what lies inside, as on the sleeve of a splice", False)
    row: TubeRowGiven | None = optional("a row of them along it, below")
    state: Literal["there already"] | None = optional(HOLE_STATE)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        if given.get("vent") is True:
            for key in given_of(
                ("from", "at", "near", "side", "toward", "bolt", "diameter", "length", "sleeve", "row"), given
            ):
                yield InputError(f"{key} has no meaning beside vent", "vent = true alone, or no vent", key=(key,))
            return
        yield from exactly_one(("bolt", "diameter"), given, ", e.g. diameter = 11")
        yield from exactly_one(("at", "near"), given, ', e.g. at = "120 mm"')
        yield from exactly_one(("side", "toward"), given, ', e.g. side = "top"')
        yield from goes_with("turn", given, given.get("length") is not None, "a slot: length")
        yield from goes_with("from", given, given.get("at") is not None, "at")
        yield from at_most_one(("length", "bolt"), given)
        yield from goes_with("sleeve", given, given.get("both_walls") is True, "both_walls = true: it reaches across")
        yield from goes_with("sleeve", given, given.get("length") is None, "a round hole, not a slot")
        if given.get("plug") is True:
            for key in ("bolt", "sleeve"):
                yield from goes_with(key, given, False, "a hole that stays open, not with plug = true")


class LegHoleGiven(Table):
    """A hole or slot in a leg, the web or a flange of a profile, or a row of them."""

    from_: Literal["start", "finish"] = Field(
        default="start", alias="from", description="the end whose saw cut `at` is measured from"
    )
    at: Length | None = optional("middle of the hole from that end's saw cut, the longest point, as a tape measures it")
    near: PointRef | None = optional("instead of `at`: the place of the profile nearest to this point")
    leg: ShortText | None = optional(
        "the leg it goes through: a or b of an angle; web, flange a or flange b of a channel; flange a, flange b or "
        "stem of a T; of flat bar left out"
    )
    gauge: Length | None = optional(
        "its middle from an angle's heel, from the back of a channel's web, from the outside of a T's flange for its "
        "stem; from the middle of a web, of a T's flange or of flat bar, toward a; left out = the leg's usual gauge "
        "line, of webs and flat bar the middle"
    )
    bolt: BoltText | None = optional("e.g. 'M10': clearance by ISO 273, as `hole_fit` of the job")
    diameter: PlusLength | None = optional("instead of `bolt`")
    length: PlusLength | None = optional("makes it a slot: length over all")
    turn: Angle = optional("of a slot, from along the profile, clockwise seen from outside", 0.0)
    row: TubeRowGiven | None = optional("a row of them along it, below")
    state: Literal["there already"] | None = optional(HOLE_STATE)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("bolt", "diameter"), given, ", e.g. diameter = 11")
        yield from exactly_one(("at", "near"), given, ', e.g. at = "120 mm"')
        yield from goes_with("turn", given, given.get("length") is not None, "a slot: length")
        yield from goes_with("from", given, given.get("at") is not None, "at")
        yield from at_most_one(("length", "bolt"), given)


class SlitGiven(Table):
    """slit of a tube's end: a slit or notch open to its saw cut, for a tab or a clamp; several: a list of tables"""

    width: PlusLength = Field(description="between its straight sides, across the tube")
    depth: PlusLength = Field(description="along the tube from the saw cut to its bottom, the hole there counted in")
    side: Side | None = optional(
        "the side of the tube as it lies in the job: top, bottom, left, right, front, back; or degrees from TOP, "
        "clockwise seen from the start"
    )
    toward: PointRef | None = optional("instead of `side`: it looks toward this point")
    offset: Length = optional("its middle beside the tube's middle, clockwise seen from the start", 0.0)
    both_walls: StrictBool = optional("true: it goes on through the opposite wall", False)
    hole: ZeroLength | None = optional(
        "diameter of the hole drilled at its bottom before it is sawn; 0 = square corners, as of a notch; left out = "
        "the slit's width, 5 mm at least"
    )
    tab: MarkName | None = optional("the mark of the sheet part that stands in it: its thickness is checked")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("side", "toward"), given, ', e.g. side = "top"')


class CrushGiven(Table):
    """crush of a tube's end: a round tube squeezed flat and drilled, as of a light stay"""

    length: PlusLength = Field(
        description="of the flat, from the tube's end; it takes about a diameter more to be round"
    )
    hole: ZeroLength = optional("diameter of the hole in the flat; 0 = none", 0.0)
    hole_at: PlusLength | None = optional("middle of the hole from the tube's end; left out = the middle of the flat")
    turn: Angle = optional("0: the flat stands upright, in the plane of TOP; 90 lays it level", 0.0)


Slits = Annotated[
    list[SlitGiven],
    BeforeValidator(lambda value: [value] if isinstance(value, Mapping | SlitGiven) else value),
    Field(max_length=20),
]
"""Slits of an end; one table stands for a list of it."""
