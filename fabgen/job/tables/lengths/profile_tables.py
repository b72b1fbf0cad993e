"""[[profile]]: angle iron, channel, T, flat, square and hexagon bar from point to point.

Lengths arrive in mm and angles in rad (`fields.py`).  The descriptions are the manual.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo

from fabgen.job.errors import InputError
from fabgen.job.tables.fields import (
    Angle,
    Length,
    MarkName,
    PointRef,
    ProfileText,
    ShortText,
    ZeroLength,
    one_as_list,
)
from fabgen.job.tables.movement_tables import AxisDirection, read_axis
from fabgen.job.tables.part_tables import Family, Part
from fabgen.job.tables.table import Table, goes_with, optional
from fabgen.job.tables.tube_hole_tables import JOB_SIDES, SIDES, LegHoleGiven
from fabgen.job.tables.tube_tables import PlaneGiven
from fabgen.job.values.point import Point
from fabgen.job.values.written_forms import axis_form, read_by

WAYS = f"{', '.join(SIDES)}, three numbers such as [0, 1, 1], or a point to look toward"
"""What says which way a leg, web or flange looks."""


def _way(value: object, info: ValidationInfo) -> AxisDirection:
    """A side of the job by its name, a direction, or a point to look toward."""
    if isinstance(value, str) and (side := JOB_SIDES.get(value.strip().lower())):
        return AxisDirection(direction=side)
    try:
        return read_axis(value, info)
    except InputError as fault:
        raise InputError(fault.said, WAYS, fault.nearest) from None


Way = Annotated[AxisDirection, read_by(_way, axis_form(SIDES))]
ProfileEndCut = Literal["auto", "plain", "level", "mitre", "notch"]


class ProfileEndGiven(Table):
    """start / finish of a profile; left out = automatic: mitred with a like one that ends there and fits, else cut to
    the face or notched to sit on what it runs into, else plain."""

    cut: ProfileEndCut = optional(
        "plain: sawn square at its point; level: sawn level at its point, as a leg on a floor; mitre: with another of "
        "the same section that ends at the same point; notch: to sit on what it meets, sawn straight where that does",
        "auto",
    )
    onto: Annotated[list[MarkName], one_as_list, Field(min_length=1)] | None = optional(
        "the marks that it sits on, tubes, profiles or one placed plate, or that it is mitred with; left out = every "
        "tube, placed plate and earlier profile that it runs into"
    )
    plane: PlaneGiven | None = optional(
        "the end is sawn to a plane: three points of it, or { at = …, normal = [x, y, z] }"
    )
    gap: ZeroLength | None = optional("root gap for the weld; left out = that of the job")
    extend: Length = optional("a plain end goes on past its point by this (minus: stops short)", 0.0)
    corner_hole: ZeroLength | None = optional(
        "diameter of the hole drilled at each inner corner of a notch before it is sawn; 0 = none; left out = twice "
        "the thickness, 6 to 10 mm, as far as it has room (common practice)"
    )

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        cut, flat = given.get("cut", "auto"), given.get("plane") is not None
        yield from goes_with(
            "onto", given, cut in ("auto", "mitre", "notch") and not flat, "an end that sits on something"
        )
        yield from goes_with("extend", given, cut in ("auto", "plain") and not flat, 'a plain end: cut = "plain"')
        yield from goes_with("plane", given, cut == "auto", "an end without `cut`")
        yield from goes_with("gap", given, cut != "plain", "an end that sits on something")
        yield from goes_with(
            "corner_hole", given, cut in ("auto", "notch") and not flat, 'a notched end: cut = "notch"'
        )


class Profile(Part):
    """[[profile]]: a length of angle, channel, T, flat, square or hexagon bar from point to point.

    Its points lie on one line of the section, `lies`; which way it lies round them is said by `legs`, `back`, `flange`
    or `width`.  Seen from the start along it, the angle of either hand, the others turned to look as here:

        angle            channel          T                flat, square bar
        toe a            flange a            flange            a
        |                --------+        b -----+----- a      |
        | leg a                  |               |             | width runs
        |                    web | back          | stem        | toward a
        |  leg b                 |               |             |
        +-------- toe b  --------+                             b
        heel             flange b

    Directions are taken as near as square to the profile allows.  Of hexagon bar `width` is square to a flat, and its
    ends are sawn, not notched.  Round bar is a [[tube]] with section = "bar 12".
    """

    family = Family("profile", "profiles", "profile.profile")

    section: ProfileText = Field(
        description='"angle 40 x 40 x 4" (leg a, leg b, thickness), "UPN 80", "channel 80 x 45 x 5", "T 40 x 40 x 5", '
        '"flat 40 x 5", "square bar 16" or "hexagon bar 17"; with "folded" after it, bent from sheet'
    )
    route: Annotated[list[PointRef], Field(min_length=2, max_length=2)] = Field(description="its two points")
    legs: Annotated[list[Way], Field(min_length=2, max_length=2)] | None = optional(
        'of an angle: which way leg a points from the heel, and which way leg b, e.g. ["top", "left"]: a side of the '
        "job (top, bottom, left, right, front, back), [x, y, z], or a point to look toward"
    )
    back: Way | None = optional("of a channel: which way the back of its web looks, away from its toes")
    flange: Way | None = optional("of a T: which way the outside of its flange looks, away from its stem")
    width: Way | None = optional(
        "of flat or square bar: which way its width runs; of hexagon bar: which way a flat looks; left out = upright"
    )
    lies: ShortText | None = optional(
        "on which line of the section its points lie: heel (angle), back (channel), flange (T), or the name of any "
        'face, e.g. "leg a outside", for the middle of it; middle, of its outside sizes; left out = heel, back, '
        "flange, of bar the middle"
    )
    turn: Angle = optional("turns it about its points from there, clockwise seen from start to finish", 0.0)
    start: ProfileEndGiven = optional("how the end at the first point is worked, below", ProfileEndGiven())
    finish: ProfileEndGiven = optional("likewise at the last point", ProfileEndGiven())
    holes: list[LegHoleGiven] = Field(default=[], max_length=500, description="holes and slots in its legs")

    @property
    def runs_between(self) -> Sequence[Point]:
        return self.route
