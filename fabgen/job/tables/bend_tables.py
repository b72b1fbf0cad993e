"""What a job file says about bending: the lower tool of a part, and test strips that were folded and measured."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import BeforeValidator, Field

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import BendAngle, MaterialName, PlusLength, PlusPair, Text, ZeroLength
from fabgen.job.tables.table import Table, optional


class Pressed(Table):
    """Parts that are folded in a press brake."""

    die: PlusLength | None = optional(
        "opening of the lower tool; left out = the job's, else the one that makes the inside radius, or the usual one "
        "for thickness and material"
    )


def _as_list(value: object) -> object:
    """One pair of legs, or one strip's length, stands for a list of it."""
    if isinstance(value, list) and value and not any(isinstance(part, list) for part in value):
        return [value]
    return value


class BendTest(Table):
    """[[bend_test]]: strips of known length, folded once across their middle and measured.

    A leg is measured outside: from its end to the line where the two outside surfaces would
    meet; at bends of more than 90 degrees over the bend, as a caliper measures it.
    """

    material: MaterialName = Field(description="of the strips")
    thickness: PlusLength = Field(description="as measured on the strip")
    radius: ZeroLength = Field(description="inside radius, as measured after folding")
    angle: BendAngle = optional("how far the strip turned from flat; left out = 90 deg", math.pi / 2.0)
    strip: PlusLength = Field(description="length of the strips before folding")
    legs: Annotated[list[PlusPair], BeforeValidator(_as_list), Field(min_length=1, max_length=100)] = Field(
        description="[leg, leg] of a strip, or a list of such pairs, one a strip"
    )
    die: PlusLength | None = optional("opening of the lower tool; left out = any")
    tool: Text = optional("the upper tool or the machine, in words", "")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        legs = given.get("legs")
        if isinstance(legs, list) and not legs:
            yield InputError(f"cannot read {shown(legs)} as measured legs", "e.g. legs = [[51.1, 51.3]]", key=("legs",))
