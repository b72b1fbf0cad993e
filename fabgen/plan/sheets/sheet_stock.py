"""The sheets that parts can be cut from: bought in full sizes, or sheets and remnants on the rack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

from shapely import Polygon, box

from fabgen.geometry.plane.no_fit import covering
from fabgen.geometry.plane.outline import Loop, Outline
from fabgen.job.errors import Problems
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.shape.outlines import outline_from
from fabgen.plan.sheets.blanks import Axis, Blank
from fabgen.shop import trade_sizes as usual

EDGE_ERROR = 0.02
"""How far the flattened outline of a remnant may stand out from its arcs, mm."""
_SAME = 1e-9


@dataclass(frozen=True, eq=False)
class Room:
    """Where the outlines of parts may lie, and which way the metal's rolling direction runs there."""

    region: Polygon
    grain: Axis | None

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        x0, y0, x1, y1 = self.region.bounds
        return x0, y0, x1, y1

    @cached_property
    def is_rectangle(self) -> bool:
        x0, y0, x1, y1 = self.bounds
        return bool(self.region.area >= (x1 - x0) * (y1 - y0) * (1.0 - _SAME))


@dataclass(frozen=True)
class SheetStock:
    """Sheets of one thickness and material: size mm, price each, how many there are (None = any).

    `outline` is the shape of a remnant, its lower left corner at the origin; None for a full
    rectangle.  `margin` is its unused rim where it has one of its own.  `worth` is what it counts
    for in place of a price that is not given.  The rolling direction runs along the longer side
    of a sheet, and along x of a remnant.  `instead_of`: the full sheet that a blank cut to this
    size stands for.
    """

    size: tuple[float, float]
    price: float | None = None
    on_hand: int | None = None
    assumed: bool = False
    outline: Loop | None = None
    margin: float | None = None
    mark: str = ""
    worth: float | None = None
    instead_of: tuple[float, float] | None = None
    _room: dict[float, Room] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def cost(self) -> float:
        """What it adds to the bill; areas serve where there are no prices."""
        if self.on_hand is not None:
            return 0.0
        if self.price is not None:
            return self.price
        return self.area if self.worth is None else self.worth

    @property
    def area(self) -> float:
        return self.size[0] * self.size[1] if self.outline is None else self.outline.area

    @property
    def grain(self) -> Axis:
        return "y" if self.outline is None and self.size[1] > self.size[0] else "x"

    def room(self, margin: float) -> Room:
        """What lies inside the rim, which is `margin` where the sheet has none of its own."""
        rim = margin if self.margin is None else self.margin
        if rim not in self._room:
            self._room[rim] = Room(self._inside(rim), self.grain)
        return self._room[rim]

    def _inside(self, rim: float) -> Polygon:
        if self.outline is None:
            width, height = self.size
            return box(rim, rim, width - rim, height - rim) if 2.0 * rim < min(self.size) else Polygon()
        straight = isinstance(self.outline, Outline) and not any(edge.is_arc for edge in self.outline.edges())
        error = 0.0 if straight else EDGE_ERROR
        # Mitred, so that a straight rim stays straight; the largest part, should a neck fall away.
        shape = Polygon(covering(self.outline, EDGE_ERROR)).buffer(-rim - error, join_style="mitre")
        return max(getattr(shape, "geoms", [shape]), key=lambda part: part.area)


def fits_alone(blank: Blank, room: Room) -> bool:
    """Whether the part's bounding rectangle fits the room's: false means that it never fits."""
    x0, y0, x1, y1 = room.bounds
    for turn in blank.turns(room.grain):
        width, height = blank.size if turn in (0.0, 180.0) else blank.size[::-1]
        if width <= x1 - x0 + _SAME and height <= y1 - y0 + _SAME:
            return True
    return False


def with_worth(stocks: Sequence[SheetStock]) -> list[SheetStock]:
    """The stocks, those to be bought without a price valued by area at the dearest price given."""
    rates = [s.price / s.area for s in stocks if s.on_hand is None and s.price is not None]
    if not rates:
        return list(stocks)
    return [replace(s, worth=max(rates) * s.area) if s.on_hand is None else s for s in stocks]


# -- from the job ---------------------------------------------------------------
def sheet_stocks(job: Definitions, material: str, thickness: float) -> list[SheetStock]:
    """What the job says can be had of a material and thickness; where it names nothing to buy, the usual sizes.

    Raises JobError when the outline of a remnant will not do.
    """
    stocks: list[SheetStock] = []
    problems = Problems()
    for number, stock in enumerate(job.stock):
        if not stock.is_sheet_of(material, thickness):
            continue
        for i, size in enumerate(stock.sheets):
            price = stock.price if i == 0 else None
            full = SheetStock((size[0], size[1]), price, stock.on_hand, margin=stock.margin, mark=stock.mark)
            stocks.append(full)
        if stock.outline and (shape := outline_from(stock.outline, ("stock", number, "outline"), problems)):
            x0, y0, x1, y1 = shape.bounds
            size_over_all, outline = (x1 - x0, y1 - y0), shape.moved(-x0, -y0)
            stocks.append(
                SheetStock(size_over_all, None, stock.on_hand, outline=outline, margin=stock.margin, mark=stock.mark)
            )
    problems.report()
    if any(stock.on_hand is None for stock in stocks):
        return stocks
    sizes = usual.SHEETS_INCH if job.job.units == "in" else usual.SHEETS_METRIC
    return stocks + [SheetStock(size, assumed=True) for size in sizes]


class Spacing(NamedTuple):
    """Gap between parts and unused rim of a sheet, mm."""

    gap: float
    margin: float


def sheet_spacing(job: Definitions, material: str, thickness: float) -> Spacing:
    """The widest gap and kerf that the job gives, else the shop's usual, and the usual rim.

    Args:
        job: its [[stock]].
        material: of the sheets.
        thickness: mm.
    """
    given = [stock for stock in job.stock if stock.is_sheet_of(material, thickness)]
    gaps = [stock.gap for stock in given if stock.gap is not None] or [usual.sheet_gap(thickness)]
    kerfs = [stock.kerf for stock in given if stock.kerf is not None]
    return Spacing(max(gaps + kerfs), usual.sheet_margin(thickness))
