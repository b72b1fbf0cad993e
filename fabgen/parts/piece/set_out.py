"""How a placed part is set out with a tape on what carries it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HoleSetOut:
    """The middle of a hole of a placed part: its number; how far along and across, as its part's own; and how far over
    the skin in the middle of its sheet, None where it runs square to the skin.  mm."""

    number: int
    along: float
    across: float
    over: float | None


@dataclass(frozen=True, slots=True)
class EndSetOut:
    """How a part lies flush on an end of the tube of a mark.

    `foot`: the face that is flush with it; `let_in`: whether the part is in the tube, that face outside.  `rims`: how
    far its outline stands out past the tube's skin toward TOP and the three sides after it, clockwise seen from the
    start, mm; below 0 where the skin stands out past it.  `turn`: of its right, rad from TOP, clockwise seen from the
    start; None of a disc, which may lie any way.
    """

    on: str
    at: str
    foot: str
    let_in: bool
    rims: tuple[float, ...]
    turn: float | None


@dataclass(frozen=True, slots=True)
class SetOut:
    """Sizes that a tape reaches, mm, on the part of a mark, where it has several places on that number.

    `along`: its nearest and its farthest edge along what carries it, from the saw cut at the start or a sheet's left
    edge; None in a bend, where `middle` says how far its place is along the centreline.  `way`: rad from TOP of the
    line that it touches, clockwise seen from the start, and `arc`: the same round the skin; None of what is no tube.
    `face`: of a profile, or the side of a sheet.  `across`: its edges from a `datum`; `beside`: from there to the
    middle of its sheet where it stands on an edge, else to its place.  `turn`: rad from along, clockwise seen from
    outside.  `over`: from the skin to its outermost point; None of a strap, which goes round.
    """

    on: str
    on_place: int
    foot: str
    middle: float
    along: tuple[float, float] | None
    way: float | None
    arc: float | None
    face: str
    across: tuple[float, float]
    datum: str
    beside: float
    turn: float
    over: float | None
    holes: tuple[HoleSetOut, ...] = ()
