"""What tubes take: the faces on which their points lie, bend radii, [[former]], planes.

Lengths arrive in mm and angles in rad (`fields.py`).  The descriptions are the manual.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal, get_args

from pydantic import Discriminator, Field, Tag, ValidationInfo

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import Context, Length, PlusLength, PointRef, Text, ZeroLength, one_as_list, raise_all
from fabgen.job.tables.table import Table, optional
from fabgen.job.tables.tube_hole_tables import SideName
from fabgen.job.values.units import number
from fabgen.job.values.written_forms import DIRECTION, PLUS_LENGTH, angle_form, any_of, list_of, read_by

# -- faces ----------------------------------------------------------------------
FrameFace = Literal["middle", "outside", "inside"]
Face = Literal[FrameFace, SideName]
FACES: tuple[str, ...] = get_args(Face)
Faces = Annotated[list[Face], one_as_list, Field(min_length=1, max_length=3)]

_OPPOSITE: Mapping[str, str] = {
    "outside": "inside",
    "top": "bottom",
    "left": "right",
    "front": "back",
}


def go_together(faces: Sequence[str]) -> bool:
    """Whether a tube's points can lie on all of these at once: the middle stands alone, and no two are opposite."""
    if len(set(faces)) < len(faces) or ("middle" in faces and len(faces) > 1):
        return False
    return not any(one in faces and other in faces for one, other in _OPPOSITE.items())


# -- bend radii -----------------------------------------------------------------
def _radii(value: object, info: ValidationInfo) -> tuple[float, ...]:
    context = Context.of(info)
    faults: list[InputError] = []
    radii: list[float] = []
    several = isinstance(value, list | tuple)
    for i, written in enumerate(value if isinstance(value, list | tuple) else [value]):
        try:
            radii.append(context.plus_length(written))
        except InputError as fault:
            faults.append(fault.below(i) if several else fault)
    if several and not value:
        faults.append(InputError("the list of bend radii is empty", "one radius, or one for each inner point"))
    raise_all("bend_radius", value, faults)
    return tuple(radii)


Radii = Annotated[tuple[float, ...], read_by(_radii, any_of(PLUS_LENGTH, list_of(PLUS_LENGTH, 1)))]
"""One centreline radius, or a list of them."""


# -- planes -----------------------------------------------------------------------
Direction = tuple[float, float, float]


def _direction(value: object) -> Direction:
    accepted = "three numbers [x, y, z], not all 0, e.g. [0, 0, 1] for a level face"
    if not isinstance(value, list | tuple) or len(value) != 3:
        raise InputError(f"cannot read {shown(value)} as a direction", accepted)
    x, y, z = (number(each, accepted).value for each in value)
    if math.hypot(x, y, z) < 1e-9:
        raise InputError(f"{shown(value)} has no direction", accepted)
    return x, y, z


class PlaneAt(Table):
    """A plane through a point, square to a direction."""

    at: PointRef = Field(description="a point of the plane")
    normal: Annotated[Direction, read_by(_direction, DIRECTION)] = Field(
        description="[x, y, z]: the direction square to it"
    )


def _points_or_table(value: object) -> str:
    return "table" if isinstance(value, dict | Table) else "points"


PlaneGiven = Annotated[
    Annotated[list[PointRef], Field(min_length=3, max_length=3), Tag("points")] | Annotated[PlaneAt, Tag("table")],
    Discriminator(_points_or_table),
]
"""Three points that it runs through, or a table of `at` and `normal`."""


# -- the bender ---------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Springback:
    """What a bend is to be set beyond its angle: a share of it, and an angle, rad."""

    share: float = 0.0
    angle: float = 0.0

    def set_for(self, angle: float) -> float:
        """The angle to set for a bend of `angle`, rad."""
        return angle * (1.0 + self.share) + self.angle


_SPRINGBACK = 'an angle, e.g. "2 deg", or a share of the bend, e.g. "3 %"; from 0 up to 30 deg or 50 %'


def _springback(value: object, info: ValidationInfo) -> Springback:
    if isinstance(value, Springback):
        return value
    if isinstance(value, str) and value.rstrip().endswith("%"):
        try:
            share = float(value.rstrip().rstrip("%")) / 100.0
        except ValueError:
            raise InputError(f"cannot read {shown(value)} as a springback", _SPRINGBACK) from None
        if not 0.0 <= share <= 0.5:
            raise InputError(f"a springback of {shown(value)} is out of range", _SPRINGBACK)
        return Springback(share=share)
    angle = Context.of(info).angle(value)
    if not 0.0 <= angle <= math.radians(30.0):
        raise InputError(f"a springback of {shown(value)} is out of range", _SPRINGBACK)
    return Springback(angle=angle)


class Former(Table):
    """[[former]]: one former (die) of your tube bender, by the tube it takes and its radius."""

    name: Text = optional("what is written on it", "")
    tube: PlusLength = Field(description="outside diameter it takes; of a rectangular tube its size in the bend")
    radius: PlusLength = Field(description="centreline radius it bends to")
    least_straight: ZeroLength | None = optional(
        "straight it must grip before a bend; left out = twice the tube's size"
    )
    springback: Annotated[Springback, read_by(_springback, angle_form(0.0, 30.0))] = optional(
        'bent this much further: "2 deg", or "3 %" of the bend; left out = none', Springback()
    )
    setback: Length = optional(
        "how far before the start of the bend your bender's own mark stands; the tube's marks are moved back by it", 0.0
    )
    neutral_shift: Length = optional(
        "distance of the neutral line inside the centreline (from a test bend); left out = on the centreline", 0.0
    )

    def fits(self, size: float, radius: float) -> bool:
        """Whether it bends tube of `size` mm to `radius` mm: inch tube on metric formers is counted in."""
        return abs(self.tube - size) <= 0.3 and abs(self.radius - radius) <= 0.5
