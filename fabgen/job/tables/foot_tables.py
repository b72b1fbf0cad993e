"""A plate at the end of a tube: `foot` of a tube's start or finish.

Lengths arrive in mm and angles in rad (`fields.py`).  The descriptions are the manual.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from pydantic import Field

from fabgen.job.errors import InputError
from fabgen.job.tables.fields import Angle, BoltText, MarkName, MaterialName, PlusLength, PlusPair
from fabgen.job.tables.table import Table, at_most_one, exactly_one, given_of, goes_with, optional


class FootGiven(Table):
    """A foot, castor or head plate, or a cap, centred on the end's point; like ones are one plate of the list."""

    plate: PlusPair | None = optional("[length, width] of a rectangle, the length along +x")
    disc: PlusLength | None = optional("instead: the diameter of a round one")
    thickness: PlusLength = Field(description="of the plate")
    bolt: BoltText | None = optional('four holes for this bolt, e.g. "M10"; left out, and no diameter = no holes')
    diameter: PlusLength | None = optional("instead of `bolt`: the holes' diameter")
    edge: PlusLength | None = optional("from the middle of the holes to the plate's edges")
    pitch: PlusPair | None = optional("instead of `edge`: [length, width] between the holes, as of a castor")
    lies: Literal["level", "square"] = optional("level, or square to the tube as a cap does", "level")
    point: Literal["bottom", "middle", "top"] = optional(
        "where in the plate the tube's point lies, the tube being on top of it: bottom, the height over all stays and "
        "the tube is cut shorter; top, the plate lies under the point",
        "bottom",
    )
    turn: Angle = optional("turns it about what its upper side looks along, counter-clockwise seen from there", 0.0)
    mark: MarkName | None = optional("of the plate; left out = FOOT, FOOT2, …")
    material: MaterialName | None = optional("left out = that of the job")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from exactly_one(("plate", "disc"), given, ", e.g. plate = [100, 100]")
        yield from at_most_one(("bolt", "diameter"), given)
        yield from at_most_one(("edge", "pitch"), given)
        has_holes = bool(given_of(("bolt", "diameter"), given))
        for key in ("edge", "pitch"):
            yield from goes_with(key, given, has_holes, "bolt or diameter")
        for key in ("bolt", "diameter"):
            yield from goes_with(key, given, given.get("disc") is None, "plate")
        if has_holes and not given_of(("edge", "pitch"), given):
            yield InputError("it is not said where its four holes are", "edge = …, or pitch = [length, width]")
