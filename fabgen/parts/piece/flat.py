"""Flat parts: an outline of sheet with its bends, holes and marks, and where it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.sheet.folds import Bend, FoldTree
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.centreline import Centreline
from fabgen.parts.piece.datum import Datum
from fabgen.parts.piece.set_out import EndSetOut, SetOut
from fabgen.parts.piece.skin import Skin
from fabgen.shop.section import Section
from fabgen.shop.sheet_cutting import Process

Grain = Literal["along", "across"]
"""How a sheet's rolling direction must run on a flat part: along its x as drawn, or across it."""


class Purpose(StrEnum):
    """What a hole is there for, where that is not to take a bolt or save weight."""

    NONE = ""
    DRAIN = "drain"
    VENT = "vent"


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole cut in the flat.  `label` is what lists call it, e.g. '13.5 for M12'; `face` the face of a
    folded part that it is on."""

    shape: Loop
    label: str = ""
    bolt: str = ""
    face: str = ""
    purpose: Purpose = Purpose.NONE
    drilled: bool = False
    """Whether it is not cut but marked on the flat, to be drilled when the part is folded."""
    boxed: bool = False
    """Whether it takes a bolt whose head stands between two tabs of the part."""
    bush: str = ""
    """The mark of the bush that sits in it."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Single-stroke text etched on the flat, `height` mm, its lower left corner at `at`,
    or a line through `line`, or a closed `curve`, where there is no text."""

    at: Xy = (0.0, 0.0)
    text: str = ""
    height: float = 0.0
    line: tuple[Xy, ...] = ()
    curve: Loop | None = None


@dataclass(frozen=True, slots=True)
class FlatBend:
    """A bend line on the flat: the middle of the bend zone, from `start` to `end`."""

    start: Xy
    end: Xy
    bend: Bend
    up: bool
    """True when the flange folds toward whoever looks at the flat as drawn."""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Rolled:
    """A sheet rolled to a cylinder or cone: outside diameters at bottom and top (mm), height
    (mm) and the arc it covers (rad)."""

    bottom: float
    top: float
    height: float
    arc: float
    sector: Sector | None = None
    """A cone's flat without its cut-outs."""


@dataclass(frozen=True, slots=True)
class Sector:
    """A cone's flat: apex, outer and inner radius (mm), first direction and sweep (rad, counter-clockwise)."""

    apex: Xy
    outer: float
    inner: float
    start: float
    sweep: float


@dataclass(frozen=True, slots=True)
class BandBox:
    """Of a strap round something rectangular: `thing` and clear `inside`, across and up, the way its ears point; inside
    radius of its corners; how far it stands `off` the faces of what is within, its rubber aside.  mm."""

    thing: Xy
    inside: Xy
    corner: float
    off: float


@dataclass(frozen=True, eq=False)
class Band:
    """A strip rolled or bent round something: `path` of its mid-thickness, in the body's xy plane; where on the flat
    (`flat`) and on the path (`along`) its straights and bends end, mm.

    `shape` as the job gives it; `inside` diameter and `arc` round something round, 0 where it has a `box`; `around`:
    what it goes round, as a diameter of that girth, and its `mark`; `rubber` between, `gap` that tightening closes;
    `needs`: length of bolt that reaches across, 0 where none does, and `bolt` length given.  mm, rad.
    """

    path: Centreline
    flat: tuple[float, ...]
    along: tuple[float, ...]
    shape: str
    inside: float
    around: float
    mark: str
    rubber: float
    gap: float
    arc: float
    needs: float = 0.0
    bolt: float | None = None
    box: BandBox | None = None


@dataclass(frozen=True, eq=False)
class Place:
    """Where one of a part stands in the vehicle: the frame of its body (`parts/shape/sheet_body.py`), the body of the
    mechanism it rides on by name, '' where its mark says, and the mark of what it is placed against, '' of none, with
    the number of that one's place, from 1.

    `skin`: where it touches that; `foot`: with what, in words, e.g. 'back' or 'bottom edge'; `stands`: whether that is
    an edge; `turn`: of its right, or of that edge, from along the skin's run, rad clockwise seen from outside.
    `set_out`: how it is set out, or `on_end` on a tube's end, there once all pieces are known (`build.py`).
    """

    frame: Frame
    on: str = ""
    against: str = ""
    against_place: int = 1
    skin: Skin | None = None
    foot: str = ""
    stands: bool = False
    turn: float = 0.0
    set_out: SetOut | None = field(default=None, compare=False)
    on_end: EndSetOut | None = field(default=None, compare=False)


@dataclass(frozen=True, eq=False)
class FlatPart:
    """A flat outline with holes, bends and marks, its lower left corner at the origin.

    `sizes` are the made sizes worth printing: (what, mm), e.g. ('web, outside', 80.0).
    """

    thickness: float
    outline: Loop
    holes: tuple[Hole, ...] = ()
    """Those that are cut."""
    bends: tuple[FlatBend, ...] = ()
    marks: tuple[Mark, ...] = ()
    tree: FoldTree | None = None
    rolled: Rolled | None = None
    sizes: tuple[tuple[str, float], ...] = ()
    grain: Grain | None = None
    """None where the part may lie either way on the sheet."""
    process: Process | None = None
    """How it is cut; None = as the job's other sheet."""
    die: float | None = None
    """Opening of the lower tool that its bends are made over, mm; None for the usual one."""
    closes: bool = False
    """Whether it closes a hollow, which then needs a drain hole."""
    surface: tuple[Facet, ...] = ()
    """The made shape where neither a tree nor a roll gives it, for a picture."""
    places: tuple[Place, ...] = ()
    """Where the job places it, one for each that has a place."""
    inside: bool = False
    """Whether the job gives its sizes between the inner skins of its bends."""
    band: Band | None = None
    """How it runs where it is a strip rolled to an arc."""
    bar: Section | None = None
    """The flat bar it is sawn from; None where it is cut from sheet."""
    drilled: tuple[Hole, ...] = ()
    """Holes that are marked on the flat and drilled later."""
    datums: Mapping[str, Datum] = field(default_factory=dict, compare=False)
    """Of a part that is placed: how the (u, v) of its faces lie in it, by face, the first first."""
    numbered: tuple[tuple[str, Xy], ...] = field(default=(), compare=False)
    """Of a part that is placed: face and middle of its holes, (u, v), in the order of their numbers."""
    marked: tuple[Mark, ...] = ()
    """Those of its marks that make one side of it differ from the other: all but its number, the centres of holes to
    drill and which way bends fold."""

    @property
    def all_holes(self) -> tuple[Hole, ...]:
        """Those that are cut, then those that are drilled."""
        return (*self.holes, *self.drilled)

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the flat, mm."""
        x0, y0, x1, y1 = self.outline.bounds
        return x1 - x0, y1 - y0

    @property
    def net_area(self) -> float:
        """Outline less holes, mm2."""
        return self.outline.area - sum(hole.shape.area for hole in self.holes)

    @property
    def cut_length(self) -> float:
        """Outline and holes, mm: what the cutting service cuts."""
        return self.outline.perimeter + sum(hole.shape.perimeter for hole in self.holes)
