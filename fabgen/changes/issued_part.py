"""A part as its papers had it: what is sawn, cut, folded and drilled, and where it stands.

These are the models of `issued.json`, so that papers made today can be compared with those of long ago.  Millimetres
and degrees, as the names of the fields say.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

Pair = tuple[float, float]
At = tuple[float, float, float]
Corner = tuple[float, float, float]
"""Of an outline: x, y mm and the bulge of the edge that leaves it (`geometry/plane/outline.py`)."""

LINE_PLACES = 72
"""So many places round a tube say where an end is cut."""


def _whole(line: tuple[float | None, ...]) -> tuple[float | None, ...]:
    if len(line) not in (0, LINE_PLACES):
        raise ValueError(f"a line has {LINE_PLACES} places, or none")
    return line


def _closed(outline: tuple[Corner, ...]) -> tuple[Corner, ...]:
    if len(outline) == 1:
        raise ValueError("an outline has two corners at least, or none")
    return outline


Line = Annotated[tuple[float | None, ...], AfterValidator(_whole)]
Corners = Annotated[tuple[Corner, ...], AfterValidator(_closed)]
Face = Annotated[tuple[Pair, ...], Field(min_length=2)]


class Kept(BaseModel):
    """What is kept in the file.  Later versions may add keys: those not known are passed over."""

    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)


class IssuedHole(Kept):
    """A hole, slot or slit.

    `at_mm`: its middle, on a flat from the lower left corner, on a tube round from TOP and along from the start's saw
    cut, on a profile from the middle of the outer face of its `leg`, one way in either hand, and along from there.
    `size_mm`: diameter, or length and width.  `reach_mm`: how far its edge reaches in either direction.  `turn_deg`, of
    a slot of a length: from along it, clockwise seen from outside, in [0, 180).
    """

    what: str = Field(description="hole, slot, slit or cut-out")
    at_mm: Pair
    size_mm: tuple[float, ...] = Field(min_length=1)
    reach_mm: Pair
    outline: Corners = ()
    leg: str = ""
    turn_deg: float = 0.0


class IssuedBend(Kept):
    """A bend of a tube or bar: where it begins from the start's saw cut, what it takes of the length, and where its
    inside is, clockwise from TOP seen from the start."""

    at_mm: float
    length_mm: float
    radius_mm: float
    angle_deg: float
    from_top_deg: float


class IssuedFold(Kept):
    """A bend line of a flat."""

    name: str
    start_mm: Pair
    end_mm: Pair
    radius_mm: float
    angle_deg: float
    up: bool


class IssuedEnd(Kept):
    """An end of a length.

    `how` it is cut and at which angles, in words; `form`: what is done to it besides, with its sizes.  `line_mm`: where
    it is cut, from its longest point, at `LINE_PLACES` places from TOP on, clockwise seen from the start of the tube;
    empty where it is sawn square, None where it misses what it sits on.  `faces_mm`, of a profile: the same by face,
    from the face's left edge and from the longest point.  `onto`: marks of what it sits on or is mitred with; it is no
    matter of its metal.
    """

    at: str
    how: str
    angles_deg: tuple[float, ...] = ()
    form: str = ""
    sizes_mm: dict[str, float] = {}
    line_mm: Line = ()
    faces_mm: dict[str, Face] = {}
    onto: tuple[str, ...] = ()


class IssuedPlace(Kept):
    """Where one of a part stands.

    `on`: what it is set out on, with which `foot` it touches that, and the sizes of the set-out sheet: near and far
    edge `along_mm`, the `side` or face or how far `round_deg` from TOP, the edges `across_mm`, `turn_deg`, and
    `over_mm` the skin.  Where it is set out on nothing, `at_mm`: of a length the ends of its line on the jig, else
    three corners.
    """

    on: str = ""
    foot: str = ""
    along_mm: Pair | None = None
    side: str = ""
    round_deg: float | None = None
    across_mm: Pair | None = None
    turn_deg: float = 0.0
    over_mm: float | None = None
    at_mm: tuple[At, ...] = ()


class IssuedPart(Kept):
    """One mark.

    `stock` is its section, in mm and as an inch job writes it; of sheet, whose thickness is among its sizes, it is ''.
    `flat_mm`: width and height of a flat.  `around_mm`: the skin's length round a tube.  `alike_turned`: in how many
    positions its section is alike in one turn about its axis, 0 for a round one, which is alike in all.  `flipped`: a
    profile that is worked as the mirror image of how the trade draws it.  `made`: nothing of it is to be cut, as it is
    made already, or because of its `state`.  `places`: where it stands; no matter of its metal.
    """

    mark: str
    kind: str
    quantity: int
    material: str
    made: bool = False
    state: Literal["", "bought", "there already"] = ""
    stock: str = ""
    stock_in: str = ""
    sizes_mm: dict[str, float] = {}
    flat_mm: Pair | None = None
    around_mm: float = 0.0
    alike_turned: int = 1
    flipped: bool = False
    ends: tuple[IssuedEnd, ...] = ()
    bends: tuple[IssuedBend, ...] = ()
    outline: Corners = ()
    folds: tuple[IssuedFold, ...] = ()
    holes: tuple[IssuedHole, ...] = ()
    bought: dict[str, int] = Field(default={}, description="what is bought with it, and how many for each")
    places: tuple[IssuedPlace, ...] = ()
