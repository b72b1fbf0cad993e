"""The tables of measuring: [measuring], the ways a point can be measured, and [as_built]."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Annotated, Literal, TypeVar

from pydantic import Field, ValidationInfo

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.tables.fields import Context, Length, PlusLength, Text, one_as_list
from fabgen.job.tables.table import Case, Table, exactly_one, goes_with, optional
from fabgen.job.values.point import names_accepted
from fabgen.job.values.written_forms import LENGTH, PLACE, PLUS_LENGTH, TEXT, read_by, row_of, table_of
from fabgen.wording.sentence import mm, sentence

T = TypeVar("T")
Side = Literal["above", "below", "left", "right", "ahead", "behind"]
COVER = 1.959964
"""Standard deviations to either side that hold 95 of 100 normal readings."""
TAPE_ERROR = 2.0
"""Within this of the truth lie 95 of 100 readings of a tape held by one person (common practice, no source), mm."""
ALLOWED = 2.0
"""A frame is not said to be out by less (common practice, no source), mm."""


def _point_name(value: object, info: ValidationInfo) -> str:
    known = Context.of(info).points
    if not isinstance(value, str):
        raise InputError(f"cannot read {shown(value)} as a point's name", names_accepted(known))
    if value not in known:
        raise InputError(f"there is no point {shown(value)}", names_accepted(known), nearest(value, known))
    return value


PointName = Annotated[str, read_by(_point_name, TEXT)]


def _by_point(
    value: object, info: ValidationInfo, what: str, accepted: str, read: Callable[[object], T]
) -> dict[str, T]:
    """A table of values by the names of points, each read by `read`; what it holds, and what is accepted, in words."""
    if not isinstance(value, Mapping):
        raise InputError(f"cannot read {shown(value)} as {what}", accepted)
    found = {}
    for name, written in value.items():
        try:
            _point_name(name, info)
            found[name] = read(written)
        except InputError as fault:
            raise fault.below(name) from None
    return found


def _length_read(written: object, info: ValidationInfo) -> float:
    length = Context.of(info).length(written)
    if length <= 0.0:
        raise InputError(sentence(f"{shown(written)} comes to ", mm(length, 3)), "a length above zero")
    return length


def _taped(value: object, info: ValidationInfo) -> dict[str, float]:
    """Readings by the name of the point they were taken from."""
    what, accepted = "tape readings", 'e.g. { FL = "812 mm", FR = "1190 mm" }'
    if not value:
        raise InputError(f"cannot read {shown(value)} as {what}", accepted)
    return _by_point(value, info, what, accepted, lambda written: _length_read(written, info))


Taped = Annotated[dict[str, float], read_by(_taped, table_of(PLUS_LENGTH, 1))]
OPPOSITES = (("left", "right"), ("up", "down"))


class Measuring(Table):
    """[measuring]: how far readings may be off, which gives measured points and lengths their tolerances"""

    tape_error: PlusLength = optional(
        "95 of 100 tape readings lie within this of the truth; left out = 2 mm", TAPE_ERROR
    )
    offset_error: PlusLength | None = optional(
        "the same for plumb and level offsets and known coordinates; left out = tape_error"
    )
    datum: Length | None = optional(
        "z of the level floor or jig that heights are measured from; left out = the check table counts from the "
        "lowest point, and of four heights no corner can be named that is out"
    )


class PointGiven(Table):
    """[points]: NAME = a place, for each name.

    Three lengths [x, y, z] (x forward, y left, z up); the name of another point; or a table:

    { from = "A", by = [x, y, z] }                        so far from another point, exactly
    { from = "A", ahead = …, left = …, up = … }            plumb and level offsets as measured; with toward = "B",
                                                          along = … instead of ahead
    { tape = { A = …, B = …, C = … }, side = "above" }     tape distances to known points
    { mirror = "A" }                                      the mirror image of another point
    { middle = ["A", "B"] }                               halfway between two points
    { foot = "A", plane = ["B", "C", "D"] }               where a line square to a plane meets it
    { axis = ["A", "B"], along = … }                       on the line through two points
    { on = "T1", along = … }                               on a tube's centre line, so far along it from its start; or
                                                          near = "A", or cross = "T2"

    In the sizes of parts "A_to_B" is the distance between two points, e.g. length = "A_to_B - 40 mm".
    """

    from_: PointName | None = Field(default=None, alias="from", description="the known point that is measured from")
    by: object = optional("exactly so far from it, [x, y, z]")
    toward: PointName | None = optional(
        "`along` is measured level from the known point toward this one, `left` square to it"
    )
    ahead: Length | None = optional("forward offset as measured; minus = rearward")
    along: Length | None = optional(
        "level offset toward the point `toward`; or the place on an axis, from its first point, or on a tube, from "
        "its start"
    )
    left: Length | None = optional("level offset to the left, as measured")
    right: Length | None = optional("level offset to the right, as measured")
    up: Length | None = optional("plumb offset upward, as measured")
    down: Length | None = optional("plumb offset downward, as measured")
    tape: Taped | None = optional(
        "tape distances to known points by name: three, or less with x, y or z known; of more the misfits are shown"
    )
    side: Side | None = optional("which of the two points that fit the readings is meant")
    x: Length | None = optional("known as well as the tape readings, e.g. from a chalk line")
    y: Length | None = optional("likewise, e.g. 0 for a point on the middle line")
    z: Length | None = optional("likewise, e.g. from a level")
    error: PlusLength | None = optional("of this point's readings; left out = that of [measuring]")
    mirror: PointName | None = optional(
        "the point it is the mirror image of; left out `plane` = the middle plane, y = 0"
    )
    foot: PointName | None = optional("the point that is dropped square onto the plane or the axis")
    plane: Annotated[list[PointName], one_as_list, Field(min_length=3, max_length=60)] | None = optional(
        "three points or more; of more than three the plane that fits best"
    )
    axis: Annotated[list[PointName], one_as_list, Field(min_length=2, max_length=60)] | None = optional(
        "two points or more, as of a bolt; of more than two the axis that fits best"
    )
    middle: Annotated[list[PointName], one_as_list, Field(min_length=2, max_length=60)] | None = optional(
        "the points that it is the middle of"
    )
    on: Text | None = optional("the mark of the tube whose centre line it lies on")
    near: PointName | None = optional("on a tube: where it is nearest to this point")
    cross: Text | None = optional("on a tube: where it crosses the tube of this mark, or comes nearest to it")

    @classmethod
    def cases(cls) -> Iterator[Case]:
        names = [field.alias or key for key, field in cls.model_fields.items()]
        for way in _MAIN:
            yield Case(way, None, (), tuple(key for key in names if key != way and key not in _GOES_WITH[way]))

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        main = [key for key in _MAIN if given.get(key) is not None]
        kind = main[0] if main else "axis" if given.get("axis") is not None else ""
        if len(main) > 1:
            yield InputError(f"{' and '.join(main)}: only one of them may be given", "one of them")
            return
        if not kind:
            yield InputError("this table does not say where the point is", f"one of {', '.join(_MAIN)} or axis")
            return
        for key in (key for key in given if key in cls.model_fields and key not in _GOES_WITH[kind] and key != kind):
            homes = [name for name, keys in _GOES_WITH.items() if key in keys]
            yield from goes_with(key, given, False, " or ".join(homes))
        for one, other in OPPOSITES:
            if given.get(one) is not None and given.get(other) is not None:
                yield InputError(f"{one} and {other}: only one of them may be given", "one of the two", key=(other,))
        yield from _MORE[kind](given)


_MAIN = ("from", "tape", "mirror", "foot", "middle", "on")
_GOES_WITH: dict[str, tuple[str, ...]] = {
    "from": ("by", "toward", "ahead", "along", "left", "right", "up", "down", "error"),
    "tape": ("side", "x", "y", "z", "error"),
    "mirror": ("plane",),
    "foot": ("plane", "axis"),
    "middle": (),
    "on": ("along", "near", "cross"),
    "axis": ("along", "error"),
}


def _from(given: Mapping[str, object]) -> Iterator[InputError]:
    offsets = [key for key in ("ahead", "along", "left", "right", "up", "down") if given.get(key) is not None]
    if given.get("by") is not None and offsets:
        yield InputError(f"by and {offsets[0]}: only one of them may be given", "exact `by`, or offsets as measured")
    if given.get("by") is None and not offsets:
        yield InputError("the key by is missing", "by = [x, y, z], or ahead, left, up … as measured")
    toward = given.get("toward") is not None
    yield from goes_with("along", given, toward, "toward, the point it is measured toward")
    yield from goes_with("ahead", given, not toward, "no toward; along is measured toward a point")


def _tape(given: Mapping[str, object]) -> Iterator[InputError]:
    tape = given.get("tape")
    known = [axis for axis in "xyz" if given.get(axis) is not None]
    if len(known) == 3:
        yield InputError("x, y and z say where the point is; tape readings have no meaning here", "[x, y, z]")
    elif isinstance(tape, Mapping) and len(tape) + len(known) < 3:
        lacking = 3 - len(tape) - len(known)
        what = f"{len(tape) + len(known)} readings leave the point free: {lacking} too few"
        yield InputError(what, "three tape readings, or x, y or z known besides")


def _onto(given: Mapping[str, object]) -> Iterator[InputError]:
    if (given.get("plane") is None) == (given.get("axis") is None):
        yield InputError("the point is dropped onto a plane or onto an axis", "one of plane, axis")


def _axis(given: Mapping[str, object]) -> Iterator[InputError]:
    if given.get("along") is None:
        yield InputError("the key along is missing", 'the place on the axis from its first point, e.g. along = "60 mm"')


def _on(given: Mapping[str, object]) -> Iterator[InputError]:
    yield from exactly_one(("along", "near", "cross"), given)


def _nothing(given: Mapping[str, object]) -> Iterator[InputError]:
    return iter(())


_MORE = {"from": _from, "tape": _tape, "mirror": _nothing, "foot": _onto, "middle": _nothing, "axis": _axis, "on": _on}


def _distance(value: object, info: ValidationInfo) -> tuple[str, str, float]:
    """["FL", "RR", "2101 mm"]"""
    if not isinstance(value, list) or len(value) != 3:
        raise InputError(f"cannot read {shown(value)} as a measured distance", '["FL", "RR", "2101 mm"]')
    one, other = (_point_name(name, info) for name in value[:2])
    if one == other:
        raise InputError(f"the distance runs from {shown(one)} to itself", "two points")
    return one, other, _length_read(value[2], info)


def _heights(value: object, info: ValidationInfo) -> dict[str, float]:
    return _by_point(value, info, "heights", 'e.g. { FL = "402 mm", FR = "398 mm" }', Context.of(info).length)


def _places(value: object, info: ValidationInfo) -> dict[str, tuple[float, float, float]]:
    reading = replace(Context.of(info), points={}).point_reading

    def place(written: object) -> tuple[float, float, float]:
        if isinstance(written, str | dict):
            raise InputError(f"cannot read {shown(written)} as a measured place", "three lengths [x, y, z]")
        point, faults = reading.read(written)
        if point is None:
            raise faults[0]
        return point.xyz

    return _by_point(value, info, "points", "e.g. { FL = [2001, 549, 2] }", place)


class AsBuilt(Table):
    """[as_built]: what was measured on the tacked frame; link rods and later tubes follow it"""

    distances: list[Annotated[tuple[str, str, float], read_by(_distance, row_of(TEXT, TEXT, PLUS_LENGTH))]] = optional(
        'measured distances, e.g. [["FL", "RR", "2101 mm"], ["FR", "RL", "2096 mm"]]', []
    )
    heights: Annotated[dict[str, float], read_by(_heights, table_of(LENGTH))] = optional(
        'measured heights above the datum, e.g. { FL = "402 mm" }', {}
    )
    points: Annotated[dict[str, tuple[float, float, float]], read_by(_places, table_of(PLACE))] = optional(
        "measured places [x, y, z], in any directions", {}
    )
    made: Annotated[list[Text], one_as_list] | None = optional(
        "marks of parts that are made already, which are left out of the papers to cut by; [] = none; left out = "
        "tubes all of whose points were measured"
    )
    error: PlusLength | None = optional("of these readings; left out = that of [measuring]")
    allowed: PlusLength = optional("the frame is not said to be out by less than this; left out = 2 mm", ALLOWED)

    @property
    def is_given(self) -> bool:
        return bool(self.distances or self.heights or self.points)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        if given and not any(given.get(key) for key in ("distances", "heights", "points")):
            beside = 'e.g. distances = [["A", "B", "812 mm"]], heights or points'
            if given.get("made") is not None:
                what = "parts are made, but nothing that was measured on them is given"
                yield InputError(what, f"what was measured on the tacked frame, {beside}; or leave `made` out")
            else:
                yield InputError("nothing measured is given", f"what was measured, {beside}")
