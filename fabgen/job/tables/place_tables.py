"""Where a job file says that a plate, a bracket, a cover or a strap stands: `place`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal, get_args

from pydantic import BeforeValidator, Field, ValidationInfo

from fabgen.job.errors import InputError, shown
from fabgen.job.tables.fields import (
    Angle,
    Context,
    Length,
    MarkName,
    Pair,
    PartMark,
    PointRef,
    ShortText,
    raise_all,
    whole_number,
)
from fabgen.job.tables.movement_tables import AxisGiven, Name
from fabgen.job.tables.table import Table, at_most_one, goes_with, optional
from fabgen.job.tables.tube_hole_tables import SIDES
from fabgen.job.values.point import Point
from fabgen.job.values.written_forms import APART, LENGTH, any_of, list_of, read_by, word_of

PLACE_ADVICE = (
    'a table, e.g. { against = "S1", at = 300, side = "top" } or { at = "P1", along = [1, 0, 0] }, or a list of them'
)
AT_ADVICE = 'a length along what it is against, [u, v] on a sheet part, or a point: "P1", [x, y, z]'
_ON_SKIN = (
    *("from", "near", "toward", "offset", "gauge", "stands_on", "turn"),
    *("against_face", "against_hole", "against_place"),
)
"""Keys of a place against something else."""

Edge = Literal["bottom", "top", "left", "right", "foot"]
Depth = Literal["back", "middle", "front"]
OnFace = tuple[float, float]
"""[u, v] on a face, mm."""


def _at(value: object, info: ValidationInfo) -> Point | float | OnFace:
    """A point, a length along something, or a place on a face."""
    context = Context.of(info)
    if isinstance(value, list | tuple) and len(value) == 2:
        u, v = (context.length(each) for each in value)
        return u, v
    if isinstance(value, int | float) or (isinstance(value, str) and value not in context.points):
        try:
            return context.length(value)
        except InputError:
            if not isinstance(value, str) or value.strip()[:1].isdigit():
                raise
    if not isinstance(value, str | list | tuple | dict | Point):
        raise InputError(f"cannot read {shown(value)} as a place", AT_ADVICE)
    point, faults = context.point_reading.read(value)
    raise_all("point", value, faults)
    assert point is not None
    return point


def _side(value: object, info: ValidationInfo) -> str | float:
    """A side by its name, or rad from TOP, clockwise seen from the start."""
    if isinstance(value, str) and not value.strip()[:1].isdigit() and value.strip()[:1] not in ("-", "+"):
        return " ".join(value.lower().split())
    try:
        return Context.of(info).angle(value)
    except InputError:
        accepted = f"{', '.join(SIDES)}; degrees from TOP of a tube, clockwise seen from the start; a face of a profile"
        raise InputError(f"cannot read {shown(value)} as a side", f"{accepted}; front or back of a sheet") from None


class PlaceGiven(Table):
    """Where the part stands: against a tube, a profile or another sheet part, whose skin the program finds; between
    two points; or by a point and directions.

    Against something it lies on the skin with its back, the middle of its face on the place given; or it stands square
    on it with an edge (`stands_on`).  Its right (u of its holes) looks along the tube from start to finish, or along u
    of the face, and `turn` turns it from there.  If the tube becomes another, the part follows its skin.
    By a point and directions: think of it lying on the bench as its flat is drawn: one of its points lies on `at`,
    its right points `along`, the side that lies on top looks `up`.  So a cap of 60 x 40 lies on the top of an upright
    from its point P by { at = "P", of = [30, 20], along = "front", up = "top" }, on its foot with up = "bottom".

    A rolled cover or a transition stands on the bench on its bottom: the bottom's middle (its outlines' origin)
    lies on `at`, its axis points `up`, and the middle of the sheet, opposite the seam (a transition: its x), `along`.
    """

    against: MarkName | None = optional(
        "the mark of what it lies or stands against and touches: a tube, a profile, a plate, a bracket or a cover"
    )
    from_: Literal["start", "finish"] = Field(
        default="start", alias="from", description="of a tube or profile: the end whose saw cut `at` is measured from"
    )
    at: Annotated[Point | float | OnFace, read_by(_at, any_of(LENGTH, list_of(LENGTH, 2, 3), APART))] | None = optional(
        "against a tube or profile: how far from that end's saw cut, the longest point, as a tape measures it, along "
        "the centreline of a bent tube; against a sheet part: [u, v] on its face as its holes are given; between two "
        "points: how far from the first, left out = halfway; else the point that it stands on"
    )
    near: PointRef | None = optional("instead of `at`: the place of what it is against nearest to this point")
    side: Annotated[str | float, read_by(_side, any_of(word_of(SIDES), LENGTH))] | None = optional(
        "which side of what it is against: of a tube as it lies in the job top, bottom, left, right, front, back, or "
        "degrees from TOP, clockwise seen from the start; of a profile these, or a face by name, e.g. 'leg a inside'; "
        "of a sheet part its front (left out) or back"
    )
    toward: PointRef | None = optional("instead of `side`: the side that looks toward this point")
    offset: Length = optional(
        "so far beside the middle of the tube or of the profile's face, clockwise seen from the start", 0.0
    )
    gauge: Length | None = optional(
        "of a profile, instead of `offset`: from an angle's heel, the back of a channel's web and so on, as its holes"
    )
    against_face: ShortText | None = optional("of a folded part that it is against: the face; left out = its first")
    against_hole: Annotated[int, whole_number(1, 10_000)] | None = optional(
        "instead of `at`: the middle of a hole of the sheet part that it is against, by its number"
    )
    against_place: Annotated[int, whole_number(1, 1000)] | None = optional(
        "of a part that stands in several places: which of them; left out = the first"
    )
    stands_on: Edge | None = optional(
        "it stands square on the skin with this edge, as its flat is drawn, and looks to the right of `along`; "
        'of a skirt or cone "bottom" or "top". "foot" = the edge of an ear, a saddle or a gusset that is cut to sit on '
        "this tube: its middle, of a gusset the crossing of the axes, lies at the place, and `turn` says which of the "
        "two ways round, where that makes a difference. Left out = it lies on the skin"
    )
    turn: Angle | None = optional(
        "the whole part turned on the skin by so much, clockwise seen from outside; left out = 0, of what stands on "
        "its foot the way that this fits the tube, where the part is alike both ways round. It cuts nothing: how a "
        "foot is cut to its tube is `turn` of `sits`"
    )
    between: Annotated[list[PointRef], Field(min_length=2, max_length=2)] | None = optional(
        "two points: it stands between them, `along` from the first to the second"
    )
    along: AxisGiven | None = optional(
        "which way its right (u of its holes) looks: [x, y, z], a side of the job (top, bottom, left, right, front, "
        "back), or a point to look toward from `at`; left out = forward, between two points to the second, against "
        "something as above"
    )
    up: AxisGiven | None = optional(
        "which way the side looks that lies on top as its flat lies on the bench, not which way its upper edge points: "
        "a cap on the end of a tube looks out of the tube; as near as `along` allows; left out = up, or forward where "
        "`along` runs upright"
    )
    of: Pair | None = optional(
        "which of its points lies on the place: [u, v] as its holes are given; left out = the middle of its face, or "
        "of the edge that it stands on; by a point and directions [0, 0], of a folded part the outside corner of its "
        "first face"
    )
    hole: Annotated[int, whole_number(1, 10_000)] | None = optional(
        "instead of `of`, the middle of a hole by its number: in the order of `holes`, patterns hole by hole; those "
        "that a shape brings itself come after"
    )
    face: ShortText | None = optional(
        "of a bracket: the face that `of`, `along` and `up` speak of, or that lies or stands on the skin; left out = "
        "its first"
    )
    lies: Depth | None = optional(
        'where in the sheet that point is: "back" is what lies on the bench, the outside of folds that go up; left out '
        "= back, of what stands on an edge the middle"
    )
    on: Name | None = optional("the [[body]] it rides on; left out = the one that lists its mark, else the frame")

    @property
    def point(self) -> Point | None:
        """The point that it stands on, where `at` says one."""
        return self.at if isinstance(self.at, Point) else None

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        yield from at_most_one(("of", "hole"), given)
        against = given.get("against") is not None
        if against:
            yield from cls._faults_against(given)
            return
        yield from goes_with(_ON_SKIN, given, False, 'against, e.g. against = "S1"')
        if (side := given.get("side")) is not None:
            sunk = f"lies = {shown(side)}: where in the sheet the point is; " if side in get_args(Depth) else ""
            yield InputError("side has no meaning here", f"{sunk}side goes with against", key=("side",))
        if given.get("between") is not None:
            if isinstance(at := given.get("at"), list | tuple | dict):
                yield InputError(f"{shown(at)} is no length", "how far from the first of the two", key=("at",))
            yield from goes_with("along", given, False, "`at` alone: between two points it looks to the second")
        elif given.get("at") is None:
            what = "this place has neither `against` nor `between` nor `at`"
            yield InputError(what, f"{PLACE_ADVICE}; or between = two points")
        elif isinstance(at := given.get("at"), int | float) or (isinstance(at, list | tuple) and len(at) == 2):
            what = f"at = {shown(at)} is no point, and the place is not against anything"
            yield InputError(what, 'against = the mark of a tube or part; or a point: "P1", [x, y, z]', key=("at",))

    @classmethod
    def _faults_against(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        where = [key for key in ("at", "near", "against_hole") if given.get(key) is not None]
        if len(where) != 1:
            has = f"has {' and '.join(where)}; only one of them may be given" if where else "does not say where on it"
            yield InputError(f"this place {has}", "exactly one of at, near, against_hole")
        yield from at_most_one(("side", "toward"), given)
        yield from at_most_one(("turn", "along"), given)
        yield from at_most_one(("offset", "gauge"), given)
        yield from goes_with("up", given, False, "`at` = a point; against something the skin says it")
        yield from goes_with("between", given, False, "no `against`")
        yield from goes_with("from", given, given.get("at") is not None, "at")
        if isinstance(at := given.get("at"), dict) or (isinstance(at, list) and len(at) == 3):
            accepted = "a length along it, or [u, v] on a sheet part; near = a point"
            yield InputError("`at` beside `against` is no point", accepted, key=("at",))


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


class OfTwoHands(Placeable):
    """Parts of sheet, which may be made as the opposite hand of others."""

    opposite_of: PartMark | None = optional(
        "the mark of the part that it is the opposite hand of: it is made as its keys here say, then mirrored, left to "
        "right; of its place `along` says which way its left looks"
    )
