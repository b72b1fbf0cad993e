"""Where a job file says that a plate, a bracket or a cover stands: `place`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import Pair, PointRef, ShortText, whole_number
from fabgen.job.tables.movement_tables import AxisDirection, AxisGiven, Name
from fabgen.job.tables.table import Table, at_most_one, optional

PLACE_ADVICE = 'a table, e.g. { at = "P1", along = [1, 0, 0], up = [0, 0, 1] }, or a list of them'


class PlaceGiven(Table):
    """Where the part stands.  Think of it lying on the bench as its flat is drawn: one of its points lies on `at`,
    its right points `along`, its upper side points `up`.

    A rolled cover or a transition stands on the bench on its bottom: the bottom's middle (its outlines' origin)
    lies on `at`, its axis points `up`, and the middle of the sheet, opposite the seam (a transition: its x), `along`.
    """

    at: PointRef
    along: AxisGiven = optional(
        "which way its right (u of its holes) looks: [x, y, z], or a point to look toward from `at`; left out = "
        "forward",
        AxisDirection(direction=(1.0, 0.0, 0.0)),
    )
    up: AxisGiven | None = optional(
        "which way its upper side looks, as near as `along` allows; left out = up, or forward where `along` runs "
        "upright"
    )
    of: Pair | None = optional(
        "which of its points lies on `at`: [u, v] as its holes are given; left out = [0, 0], of a folded part the "
        "outside corner of its first face"
    )
    hole: Annotated[int, whole_number(1, 10_000)] | None = optional(
        "instead of `of`, the middle of a hole by its number: in the order of `holes`, patterns hole by hole; those "
        "that a shape brings itself come after"
    )
    face: ShortText | None = optional(
        "of a bracket: the face that `of`, `along` and `up` speak of; left out = its first"
    )
    side: Literal["back", "middle", "front"] = optional(
        'where in the sheet that point is: "back" is what lies on the bench, the outside of folds that go up', "back"
    )
    on: Name | None = optional("the [[body]] it rides on; left out = the one that lists its mark, else the frame")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from at_most_one(("of", "hole"), given)


def _as_list(value: object) -> object:
    if isinstance(value, list):
        return value
    if not isinstance(value, Mapping | PlaceGiven):
        raise InputError(f"cannot read {shown(value)} as a place", PLACE_ADVICE)
    return [value]


class Placeable(Table):
    """Parts whose place is not given by their points."""

    place: Annotated[list[PlaceGiven], BeforeValidator(_as_list), Field(max_length=1000)] = optional(
        "where it stands, for the clearance checks, the assembly and the centre of gravity: a table, below, or a list "
        "of them where `quantity` is more than 1",
        [],
    )

    @property
    def is_placed(self) -> bool:
        """Whether it is known where it, or one of several, stands."""
        return bool(self.place)

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from super().faults(given)
        places, quantity = given.get("place"), given.get("quantity", 1)
        if isinstance(places, list) and isinstance(quantity, int) and len(places) > quantity:
            what = f"this part has {len(places)} places, but there {'is' if quantity == 1 else 'are'} {quantity} of it"
            yield InputError(what, f"quantity = {len(places)}, or fewer places", key=("place",))
