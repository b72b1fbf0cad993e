"""The tables of what moves: [[body]], [[joint]], [[pin]], [[damper]], [[wheel]], [[sweep]], [[envelope]].

A link rod of the job whose two points ride on different bodies holds them at its length by
itself.  A part that no body names rides on what carries it, or stands still, with the frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Literal, get_args

from pydantic import Field, ValidationInfo, model_validator

from fabgen.job.errors import FollowOnError, InputError, nearest, shown
from fabgen.job.tables.fields import (
    Context,
    Length,
    Pair,
    PlusLength,
    PointRef,
    Swing,
    Text,
    ZeroLength,
    one_as_list,
    raise_all,
    whole_number,
)
from fabgen.job.tables.state_tables import STATE, SUPPLIER, State, supplier_faults
from fabgen.job.tables.table import Case, Table, exactly_one, goes_with, optional
from fabgen.job.tables.tube_hole_tables import JOB_SIDES, SIDES
from fabgen.job.values.point import Point
from fabgen.job.values.units import number
from fabgen.job.values.written_forms import TEXT, axis_form, read_by

TOWARD_ITSELF = "the axis runs toward the point it starts from"
APART = "three numbers, or a point apart from it"
FRAME_NAME = "frame"
TABLES = ("body", "joint", "pin", "damper", "wheel", "sweep", "envelope")
AXIS_ADVICE = (
    f"three bare numbers, e.g. [0, 1, 0] for across, a side in quotes ({', '.join(SIDES)}), or the point it runs "
    'toward, e.g. "PIVOT2"'
)


@dataclass(frozen=True, slots=True)
class AxisDirection:
    """A direction (x, y, z), or the point it runs toward."""

    direction: tuple[float, float, float] | None = None
    toward: Point | None = None

    def runs_toward(self, at: Point) -> bool:
        """Whether it runs toward that very point, so nowhere."""
        return self.toward is not None and math.dist(self.toward.xyz, at.xyz) < 0.01


def read_axis(value: object, info: ValidationInfo) -> AxisDirection:
    """Three numbers, a side of the job as `lies` and `side` have it, or the point that an axis runs toward; a point
    that is called like a side is the point.

    Raises:
        InputError: it is neither.
    """
    if isinstance(value, AxisDirection):
        return value
    if isinstance(value, list | tuple):
        if len(value) != 3:
            raise InputError(f"cannot read {shown(value)} as an axis", AXIS_ADVICE)
        x, y, z = (number(part, AXIS_ADVICE).value for part in value)
        if x * x + y * y + z * z < 1e-12:
            raise InputError("an axis of no length has no direction", AXIS_ADVICE)
        return AxisDirection(direction=(x, y, z))
    context = Context.of(info)
    if isinstance(value, str) and value in JOB_SIDES and value not in context.points:
        return AxisDirection(direction=JOB_SIDES[value])
    point, faults = context.point_reading.read(value)
    raise_all("axis", value, [_or_a_side(value, fault) for fault in faults] if isinstance(value, str) else faults)
    return AxisDirection(toward=point)


def _or_a_side(value: str, fault: InputError) -> InputError:
    """The same fault of a point's name, with all that is accepted in its place."""
    if isinstance(fault, FollowOnError):
        return fault
    others = f"a side ({', '.join(SIDES)}), three bare numbers, e.g. [0, 1, 0], or {fault.accepted}"
    return InputError(fault.said, others, fault.nearest or nearest(value, SIDES), fault.key)


def _name(value: object) -> str:
    text = value.strip() if isinstance(value, str) else ""
    if not text or len(text) > 40 or not text.isprintable():
        raise InputError(f"{shown(value)} is not a valid name", "a text of 1 to 40 characters in quotes")
    return text


Name = Annotated[str, read_by(_name, TEXT)]
AxisGiven = Annotated[AxisDirection, read_by(read_axis, axis_form(SIDES))]
_ACROSS = AxisDirection(direction=(0.0, 1.0, 0.0))
Ends = Annotated[list[PointRef], Field(min_length=2, max_length=2)]
Clear = Annotated[list[Name], one_as_list, Field(max_length=200)]


class BodyGiven(Table):
    """[[body]]: something rigid that moves; its `state` is that of the parts on it that give none."""

    name: Name = Field(description="what joints and places call it by")
    title: Text = optional("what it is, in your words", "")
    note: Text = optional("printed with it", "")
    state: State | None = optional(STATE)
    supplier: Text = optional(SUPPLIER, "")
    points: Annotated[list[PointRef], one_as_list] = optional(
        "names of the points that ride on it: link ends and so on", []
    )
    marks: Annotated[list[Name], one_as_list] = optional(
        "marks of the tubes and profiles, and of placed plates, brackets and covers, that ride on it", []
    )

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from supplier_faults(given)
        if given.get("name") == FRAME_NAME:
            yield InputError("the frame stands still and needs no [[body]]", "another name", key=("name",))


JointKind = Literal["ball", "hinge", "slider", "sleeve", "bush", "fixed"]
_ALONG_AN_AXIS = ("hinge", "slider", "sleeve", "bush")


class JointGiven(Table):
    """[[joint]]: what holds two bodies together."""

    name: Name = Field(description="what papers call it")
    kind: JointKind = Field(
        description="ball turns all ways; hinge about its axis; slider slides along it; sleeve turns and slides; bush "
        "holds what `stiff` says; fixed holds everything"
    )
    between: Annotated[list[Name], Field(min_length=2, max_length=2)] = Field(
        description='two bodies by name; "frame" is what stands still'
    )
    at: PointRef = Field(description="the point in the middle of it")
    axis: AxisGiven | None = optional("of a hinge, slider, sleeve or bush: which way it runs")
    stiff: list[Literal["radial", "axial", "tilt", "turn"]] | None = optional(
        "of a bush, the ways it does not give: radial (square to its axis), axial (endwise), tilt, turn; left out = "
        "radial and tilt"
    )
    swing: Swing | None = optional("of a ball: how far its stud may tilt, from the drawing")

    @classmethod
    def cases(cls) -> Iterator[Case]:
        for kind in get_args(JointKind):
            own = {"stiff": "bush", "swing": "ball"}
            barred = [key for key, other in own.items() if kind != other] + ["axis"] * (kind == "fixed")
            yield Case("kind", kind, ("axis",) if kind in _ALONG_AN_AXIS else (), tuple(barred))

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        kind = given.get("kind")
        if kind in _ALONG_AN_AXIS and given.get("axis") is None:
            yield InputError(f"a {kind} has an axis, and none is given", AXIS_ADVICE)
        yield from goes_with("axis", given, kind not in ("fixed",), "a joint that turns or slides")
        yield from goes_with("stiff", given, kind == "bush", 'kind = "bush"')
        yield from goes_with("swing", given, kind == "ball", 'kind = "ball"')
        between = given.get("between")
        if isinstance(between, list) and len(between) == 2 and between[0] == between[1]:
            yield InputError("a joint holds two bodies, and these are one", "two names", key=("between",))


class Pin(Table):
    """[[pin]]: which way the bolt of a rod end runs"""

    at: PointRef = Field(description="the middle of the rod end")
    axis: AxisGiven = Field(description="left out, with the whole table, where a [[bolt]] names what holds the rod end")

    @model_validator(mode="after")
    def _runs_somewhere(self) -> Pin:
        if self.axis.runs_toward(self.at):
            raise InputError(TOWARD_ITSELF, APART, key=("axis",))
        return self


class Damper(Table):
    """[[damper]]: a spring or damper between two points; it holds nothing."""

    name: Name = Field(description="what papers and sweeps call it")
    between: Ends = Field(description="the points in the middle of its two eyes")
    shortest: PlusLength | None = optional("eye to eye, fully closed")
    longest: PlusLength | None = optional("eye to eye, fully open")
    diameter: PlusLength | None = optional(
        "of its body, spring or cover, the widest; left out = it is held against others as a rod of 10 mm"
    )
    eye_diameter: PlusLength | None = optional("of its eyes, outside; left out = they are not held against other parts")
    eye_width: PlusLength | None = optional("of its eyes, along their bolts")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        if (given.get("eye_diameter") is None) != (given.get("eye_width") is None):
            yield InputError("an eye has a diameter and a width", "both eye_diameter and eye_width, or none of them")


SHOULDER = 5.0
"""Radius of a tyre's shoulders where the job gives none, mm: nearly a sharp edge, so that no clearance is taken for
larger than it is (common practice, no source)."""
_SHOULDER = optional("radius of a tyre's shoulders, between flat tread and flat sides; left out = 5 mm, nearly sharp")


class Wheel(Table):
    """[[wheel]]: a tyre that a body carries; its camber, toe and track are followed through the travel."""

    name: Name = Field(description="what papers call it")
    on: Name = Field(
        description='the [[body]] it runs on; a tyre that no mechanism carries is an [[envelope]] with shape = "tyre"'
    )
    centre: PointRef = Field(description="the middle of the tyre")
    axis: AxisGiven = optional("its spindle; left out = straight across", _ACROSS)
    diameter: PlusLength = Field(description="of the tyre, outside")
    width: PlusLength | None = optional("of the tyre; left out = no clearances are checked")
    rim: PlusLength | None = optional("inside diameter of the tyre; left out = 0.7 of its width in")
    shoulder: PlusLength | None = _SHOULDER
    clear: ZeroLength | None = optional("clearance needed; left out = that of [movement]")
    ignore: Clear = optional("names and marks that may come near or touch", [])


class Sweep(Table):
    """[[sweep]]: a travel to take the mechanism through."""

    name: Name = Field(description='what papers call it, e.g. "wheel travel"')
    height: PointRef | None = optional("a point of a body that goes up and down")
    damper: Name | None = optional("a [[damper]] whose length changes")
    rack: Name | None = optional("a slider that moves along its axis")
    travel: Pair = Field(description='least and most change from the drawing, e.g. ["-60 mm", "80 mm"]')
    steps: Annotated[int, whole_number(2, 400)] = optional("how many positions it goes through", 29)
    held: dict[str, Length] = optional(
        "where the drivers of other sweeps are held meanwhile, by the sweep's name, as change from the drawing, e.g. "
        '{ steering = "50 mm" }; left out = as drawn',
        {},
    )
    watch: Annotated[list[PointRef], one_as_list] = optional("names of points whose paths are shown", [])

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("height", "damper", "rack"), given, ": what drives it")


ROOM_SIZES: dict[str, tuple[str, ...]] = {
    "capsule": ("between", "diameter"),
    "box": ("at", "size"),
    "disc": ("at", "diameter", "width"),
    "tyre": ("at", "diameter", "width"),
}
"""Keys that an envelope needs, by shape."""
ROOM_KEYS: tuple[tuple[tuple[str, ...], tuple[str, ...], str], ...] = (
    (("between",), ("capsule",), 'shape = "capsule"'),
    (("size",), ("box",), 'shape = "box"'),
    (("axis", "width"), ("disc", "tyre"), "a disc or tyre"),
    (("diameter",), ("capsule", "disc", "tyre"), "a capsule, disc or tyre"),
    (("rim", "shoulder"), ("tyre",), 'shape = "tyre"'),
)
"""Keys that only some shapes of envelope take, these shapes, and what they are in words."""


class Envelope(Table):
    """[[envelope]]: room that must stay free: a caliper, a bolt head, the swing of a spanner"""

    name: Name = Field(description="what papers call it")
    shape: Literal["capsule", "box", "disc", "tyre"] = Field(
        description="capsule: a rod with round ends; disc: a cylinder; tyre: a ring with a flat tread and flat sides"
    )
    on: Name = optional("the body it rides on", FRAME_NAME)
    between: Ends | None = optional("of a capsule: the middles of its ends")
    at: PointRef | None = optional("middle of a box, disc or tyre")
    size: Annotated[list[PlusLength], Field(min_length=3, max_length=3)] | None = optional(
        "of a box, along x, y and z as drawn"
    )
    axis: AxisGiven | None = optional("of a disc or tyre; left out = straight across")
    diameter: PlusLength | None = optional("of a capsule, disc or tyre, outside")
    width: PlusLength | None = optional("of a disc or tyre, along its axis")
    rim: PlusLength | None = optional("of a tyre: its inside diameter")
    shoulder: PlusLength | None = _SHOULDER
    clear: ZeroLength | None = optional("clearance needed; left out = that of [movement]")
    ignore: Clear = optional("names and marks that may come near or touch", [])

    @classmethod
    def cases(cls) -> Iterator[Case]:
        for shape, needed in ROOM_SIZES.items():
            barred = [key for keys, shapes, _ in ROOM_KEYS if shape not in shapes for key in keys]
            yield Case("shape", shape, needed, tuple(barred))

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        shape = given.get("shape")
        if not isinstance(shape, str) or shape not in ROOM_SIZES:
            return
        needs = ROOM_SIZES[shape]
        for key in needs:
            if given.get(key) is None:
                yield InputError(f"a {shape} needs {key}", ", ".join(needs))
        for keys, shapes, where in ROOM_KEYS:
            yield from goes_with(keys, given, shape in shapes, where)


class MovementGiven(Table):
    """[movement]: what holds for all that moves."""

    freedoms: Annotated[int, whole_number(0, 60)] | None = optional(
        "number of ways it should move, turns of rods about themselves not counted; left out = one for each driver of "
        "the sweeps"
    )
    clear: ZeroLength = optional("clearance needed, where an envelope gives none", 10.0)
