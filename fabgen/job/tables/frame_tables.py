"""The table that stands for many tubes: [[frame]]."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import (
    Length,
    MarkName,
    MaterialName,
    PlusLength,
    PointRef,
    StockText,
    ZeroLength,
    one_as_list,
    whole_number,
)
from fabgen.job.tables.foot_tables import FootGiven
from fabgen.job.tables.movement_tables import AxisDirection, AxisGiven
from fabgen.job.tables.state_tables import STATE, State
from fabgen.job.tables.table import Case, Table, at_most_one, exactly_one, goes_with, optional
from fabgen.job.values.profile_text import is_profile_text
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.shop.section import Section

FrameShape = Literal["box", "ladder", "panel", "trestle", "truss", "rack"]
FORWARD = AxisDirection(direction=(1.0, 0.0, 0.0))
UPWARD = AxisDirection(direction=(0.0, 0.0, 1.0))
SIZES: dict[str, tuple[str, ...]] = {
    "box": ("length", "width", "height"),
    "ladder": ("length", "width"),
    "panel": ("length", "height"),
    "trestle": ("length", "spread at the floor", "height"),
    "truss": ("length", "height"),
    "rack": ("length", "width"),
}
"""What the figures of `size` are, by shape."""
USES: dict[str, tuple[str, ...]] = {
    "stations": ("ladder",),
    "bars": ("ladder", "panel", "rack"),
    "bays": ("truss",),
    "brace": ("panel",),
    "shelf": ("box", "trestle"),
    "inset": ("trestle",),
    "foot": ("box", "panel", "trestle"),
}
"""The shapes that take a key."""
NEEDED = {"rack": "bars", "truss": "bays"}
"""The number that a shape must be given."""
Sizes = Annotated[list[PlusLength], Field(min_length=2, max_length=3)]


def _changes(value: object) -> object:
    if not isinstance(value, Mapping):
        raise InputError(f"cannot read {shown(value)} as changes", 'e.g. { P1 = { section = "50 x 50 x 3" } }')
    for name, keys in value.items():
        if not isinstance(keys, Mapping):
            accepted = 'keys of a [[tube]], e.g. { section = "50 x 50 x 3" }'
            raise InputError(f"cannot read {shown(keys)} as a change", accepted, key=(name,))
        if "mark" in keys:
            what = "the marks of a frame's tubes and of copies are made of their own"
            raise InputError(what, "any other key", key=(name, "mark"))
    return value


Changes = Annotated[dict[str, Any], BeforeValidator(_changes)]
"""Other keys of parts that a frame, a repeat or a mirror makes, by mark."""


def rise(foot: FootGiven | None) -> float:
    """How far the upper side of a foot's plate lies above the floor, mm, where its point is on that; 0 of none."""
    share = {"bottom": 1.0, "middle": 0.5, "top": 0.0}
    return 0.0 if foot is None else share[foot.point] * foot.thickness


class FrameGiven(Table):
    """[[frame]]: a whole frame by its outside sizes; it becomes tubes with marks of their own.

    box      four posts P1-P4, bottom rails B1-B4 and top rails T1-T4
    ladder   two rails R1, R2 along its length and rungs S1, S2, … across
    panel    a gate or panel that stands: stiles P1, P2, rails B1 (bottom) and T1 (top), bars S1, …, braces X1, X2
    trestle  a ridge beam R1 on legs L1-L4, cut level at the floor
    truss    chords B1 and T1, posts S1, S2, … and diagonals X1, X2, …
    rack     lies flat: sides R1, R2, ends E1, E2 and bars S1, S2, … across

    A tube is called by the frame's mark and its own, e.g. "BOX-P1", as if it stood in the file itself;
    `fabgen check FILE --expanded` prints them all.
    """

    mark: MarkName = Field(description="marks of its tubes begin with it")
    shape: FrameShape = Field(description="the kind of frame")
    section: StockText = Field(
        description="of its tubes; the first figure upright, of a post along the frame; a rack or a panel may be of "
        'angle iron or channel, "angle 40 x 40 x 4", "UPN 80", mitred at its corners: it becomes a [[profile]] a side'
    )
    inner_section: StockText | None = optional(
        "of rungs, bars, braces, shelf rails and a trestle's legs; left out = `section`; flat or square bar in a "
        "frame of angle iron lies on the flat legs as slats"
    )
    size: Sizes = Field(
        description="outside sizes: box [length, width, height], ladder and rack [length, width], panel and truss "
        "[length, height], trestle [length, spread at the floor, height]"
    )
    at: PointRef = Field(description="its outside corner: where length, width (to the left) and height begin")
    along: AxisGiven = optional("which way its length runs; left out = forward", FORWARD)
    up: AxisGiven = optional("which way its height runs; left out = up", UPWARD)
    corners: Literal["run on", "mitred"] = optional(
        "how ends meet at a corner: one tube runs on and the others sit on it, or all are mitred", "run on"
    )
    legs: Literal["in", "out"] | None = optional(
        "of angle iron: whether the legs that lie flat in the frame point in or out, of channel whether its toes do; "
        "its size is over all either way; left out = in"
    )
    flat_leg: Literal["bottom", "top", "right", "left"] | None = optional(
        "of angle iron: where those legs lie, at the bottom or top of a rack, on the right or left of a panel seen "
        "along its length; left out = bottom, right"
    )
    bars: Annotated[int, whole_number(0, 500)] | None = optional(
        "how many rungs or bars, evenly spaced; of a ladder with those at its ends"
    )
    stations: Annotated[list[Length], Field(min_length=1, max_length=500)] | None = optional(
        "of a ladder, instead of `bars`: middles of its rungs from where its length begins"
    )
    bays: Annotated[int, whole_number(1, 200)] | None = optional("of a truss")
    brace: Literal["one", "x"] | None = optional("diagonals: one that rises from where the length begins, or an X")
    shelf: PlusLength | None = optional(
        "height of the lower rails' upper side above the floor; a box has them there instead of at its bottom, a "
        "trestle gets one across each pair of legs"
    )
    inset: ZeroLength | None = optional("of a trestle: from either end of the beam to its legs; left out = an eighth")
    foot: FootGiven | None = optional(
        "of a box, panel or trestle: the plate under each leg, as at an end of a tube; the height stays that of `size` "
        "with it, rails at the floor lie on it and sit on the legs"
    )
    leave_out: Annotated[list[MarkName], one_as_list] = optional('tubes that it does without, e.g. ["B1", "X2"]', [])
    change: Changes = optional('other keys of single tubes, e.g. { P1 = { section = "50 x 50 x 3" } }', {})
    material: MaterialName | None = optional("left out = that of the job")
    state: State | None = optional(f"of all its parts: {STATE}")

    @property
    def tube(self) -> Section:
        """The section of a frame of tubes."""
        assert isinstance(self.section, Section)
        return self.section

    @property
    def inner_tube(self) -> Section | None:
        """Its `inner_section`."""
        assert not isinstance(self.inner_section, ProfileSection)
        return self.inner_section

    @classmethod
    def cases(cls) -> Iterator[Case]:
        for shape in SIZES:
            needed = (NEEDED[shape],) if shape in NEEDED else ()
            yield Case("shape", shape, needed, tuple(key for key, shapes in USES.items() if shape not in shapes))

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        shape, size = given.get("shape"), given.get("size")
        if not isinstance(shape, str) or shape not in SIZES:
            return
        if isinstance(size, list) and 2 <= len(size) <= 3 and len(size) != len(SIZES[shape]):
            accepted = f"[{', '.join(SIZES[shape])}]"
            yield InputError(
                f"a {shape} has {len(SIZES[shape])} outside sizes, not {len(size)}", accepted, key=("size",)
            )
        for key, shapes in USES.items():
            yield from goes_with(key, given, shape in shapes, f"shape = {' or '.join(shapes)}")
        is_angle = isinstance(section := given.get("section"), str) and is_profile_text(section)
        yield from goes_with(
            ("legs", "flat_leg"), given, is_angle, 'a frame of angle iron or channel, section = "angle …"'
        )
        sides = {"rack": ("bottom", "top"), "panel": ("right", "left")}.get(shape)
        if sides and given.get("flat_leg") not in (None, *sides):
            what = f"the flat legs of a {shape} are not on its {given['flat_leg']}"
            yield InputError(what, " or ".join(sides), key=("flat_leg",))
        yield from at_most_one(("bars", "stations"), given)
        foot = given.get("foot")
        if shape == "trestle" and isinstance(foot, Mapping) and foot.get("lies") == "square":
            yield InputError(
                "a plate square to a leaning leg does not lie on the floor", 'lies = "level"', key=("foot", "lies")
            )
        if shape == "ladder":
            yield from exactly_one(("bars", "stations"), given)
        number = NEEDED.get(shape)
        if number is not None and given.get(number) is None:
            yield InputError(f"a {shape} has {number}, and their number is not given", f"e.g. {number} = 4")
