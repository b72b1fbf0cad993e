"""What the cut plan is: bars with their cuts, sheets with their parts, things to buy."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece sawn from a bar."""

    mark: str
    length: float


@dataclass(frozen=True, slots=True)
class BarPlan:
    """`count` like bars of `stock` mm, each cut as `cuts` says; `offcut` mm is left of each."""

    section: str
    material: str
    stock: float
    count: int
    cuts: tuple[Cut, ...]
    offcut: float
    kerf: float
    assumed: bool
    """True when no [[stock]] entry named this length and the usual trade length was taken."""
    spare: bool = False
    """True when the bar is on the rack already and need not be bought."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A flat part on a sheet: its own origin moved to (x, y) mm after a turn of `turn` degrees."""

    mark: str
    x: float
    y: float
    turn: float


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """One sheet, `size` (length along x, width along y) mm; `used` is the share of its area in parts."""

    material: str
    thickness: float
    size: tuple[float, float]
    placed: tuple[Placed, ...]
    used: float
    assumed: bool
    spare: bool = False
    """True when the sheet lies on the rack already and need not be bought."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """One line of the shopping list."""

    item: str
    spec: str
    quantity: float
    unit: str
    note: str = ""
    price: float | None = None
    """Price of one unit in the job's currency, if the job gives it."""


@dataclass(frozen=True)
class Plan:
    """The whole cut plan.  `unplaced` names pieces that fit no stock, with the reason."""

    bars: tuple[BarPlan, ...] = ()
    sheets: tuple[SheetPlan, ...] = ()
    shopping: tuple[Purchase, ...] = ()
    unplaced: tuple[tuple[str, str], ...] = field(default=())
