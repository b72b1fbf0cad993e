"""The piece: what every part family turns its definition into.

Checks, the cut plan and all documents know these types only, so a new family is one new
module in this package and no change anywhere else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.sheet.folds import Bend, FoldTree
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.centreline import Centreline
from fabgen.job.tables.weld_tables import Weld
from fabgen.shop.cutting import Process
from fabgen.shop.section import Section
from fabgen.wording.levels import Level
from fabgen.wording.sentence import EMPTY, Part, Sentence, sentence

Grain = Literal["along", "across"]
"""How a sheet's rolling direction must run on a flat part: along its x as drawn, or across it."""
Array = NDArray[np.float64]


# -- lengths of section -----------------------------------------------------
@dataclass(frozen=True, eq=False)
class CutLine:
    """Where a tube end is cut, all the way round (DEVELOPERS.md, "Conventions").

    `phi` rad about the end's +x from +y toward +z, ascending from 0; `station` mm round the
    developed outside from phi = 0; `x` mm from the work point along the tube, nan where the
    end misses its main.  The three have one shape, (n,), and do not repeat the first point.
    """

    phi: Array
    station: Array
    x: Array

    @property
    def misses(self) -> bool:
        return bool(np.isnan(self.x).any())


@dataclass(frozen=True)
class Joint:
    """One main that a coped end sits on: acute angle (rad) and offset (mm) of the axes."""

    onto: str
    angle: float
    offset: float


@dataclass(frozen=True)
class FlatCut:
    """One straight saw cut of a mitred or plane end.

    `onto`: the tube it is for, or 'plane'.  `from_square` rad from a square cut; `long_side` phi
    (rad) of the side where it leaves the tube longest.  `swing` and `tilt` (rad, none below 0):
    the saw's two angles for a tube that lies on its bottom face, its blade swung about the
    upright and tilted about the way it then cuts.
    """

    onto: str
    from_square: float
    long_side: float
    swing: float
    tilt: float


@dataclass(frozen=True, eq=False)
class WorkedEnd:
    """One end of a tube.  `frame`: origin at the work point, x along the tube to its other
    end, y the heel side, z square to both.  `top` is phi (rad) of the tube's top line, the line
    both ends' templates share.  A plain end has no joints and x = 0 all round; one that is cut to
    a plane has a single joint, onto 'plane'."""

    at: Literal["start", "finish"]
    cut: Literal["plain", "cope", "mitre", "plane"]
    line: CutLine
    frame: Frame
    top: float
    joints: tuple[Joint, ...] = ()
    fit: Literal["clear", "outside"] = "clear"
    opens: bool = False
    """Whether the tube's bore opens into its mains here (`openings.py`)."""
    gap: float = 0.0
    """Root gap, mm: how far the cut stands off what the end sits on, square to that."""
    flats: tuple[FlatCut, ...] = ()
    """The saw cuts of a mitre or a plane."""

    @property
    def has_heel(self) -> bool:
        """Whether it has a heel and a toe: an end that stands square on what it meets has neither."""
        return any(abs(joint.angle - math.pi / 2.0) > 1e-3 for joint in self.joints)


def sawn_square(section: Section, end: WorkedEnd) -> bool:
    """Whether the end is of solid bar that its fit has sawn square: with fit clear nothing of the whole section may
    be inside a main that it stands square on."""
    return section.is_solid and end.cut == "cope" and not end.line.misses and float(np.ptp(end.line.x)) < 0.01


@dataclass(frozen=True, slots=True)
class TubeBend:
    """One bend of a tube; lengths along the tube before it is bent, mm from the start's saw cut.

    `at`: where it begins; `length`: what it takes; `mark`: where the mark for the bender goes,
    its set-back counted.  `radius` of the centreline.  `angle` rad turned; `set_angle` the same
    with springback.  `rotation` rad from the bend before, clockwise seen from the start, 0 for
    the first; `from_top` rad from the top line to the bend's inside, counted alike.
    """

    at: float
    length: float
    mark: float
    radius: float
    angle: float
    set_angle: float
    rotation: float
    from_top: float
    grip: float = 0.0
    """Straight that the bender must hold before it, mm."""
    former: str = ""
    """What of the job's formers it is set for, in words; '' where none fits."""


@dataclass(frozen=True, eq=False)
class LengthPart:
    """A length of section with worked ends.  `length`: to saw, longest point to longest
    point, mm; of a bent tube as it lies before it is bent.  `axis`: route end to route end along
    the centreline, mm.  `frame`: start of the axis, x toward the finish, z the section's top;
    None where the job does not place the part.

    Of a bent tube `path` is the route, `bends` are what to do, and `straights` lie before,
    between and after them, the first and last counted to the saw cuts, mm.
    """

    section: Section
    length: float
    axis: float
    ends: tuple[WorkedEnd, WorkedEnd]
    frame: Frame | None = None
    path: Centreline | None = None
    bends: tuple[TubeBend, ...] = ()
    straights: tuple[float, ...] = ()


# -- flat parts -------------------------------------------------------------
DRAIN, VENT = "drain", "vent"
"""The label of a drain or vent hole begins with this word."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole cut in the flat.  `label` is what lists call it, e.g. '13.5 for M12'; `face` the face of a
    folded part that it is on."""

    shape: Loop
    label: str = ""
    bolt: str = ""
    face: str = ""


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


@dataclass(frozen=True, eq=False)
class Standing:
    """Where one of a part stands in the vehicle: the frame of its body (`sheet_body.py`), and the body of the
    mechanism it rides on by name, '' where its mark says."""

    frame: Frame
    on: str = ""


@dataclass(frozen=True, eq=False)
class FlatPart:
    """A flat outline with holes, bends and marks, its lower left corner at the origin.

    `sizes` are the made sizes worth printing: (what, mm), e.g. ('web, outside', 80.0).
    """

    thickness: float
    outline: Loop
    holes: tuple[Hole, ...] = ()
    bends: tuple[FlatBend, ...] = ()
    marks: tuple[Mark, ...] = ()
    tree: FoldTree | None = None
    rolled: Rolled | None = None
    sizes: tuple[tuple[str, float], ...] = ()
    least_radius: float = 0.0
    """Least inside radius that the material usually takes in this thickness, mm; 0 where nothing is bent."""
    grain: Grain | None = None
    """None where the part may lie either way on the sheet."""
    process: Process | None = None
    """How it is cut; None = as the job's other sheet."""
    die: float | None = None
    """Opening of the lower tool that its bends are made over, mm; None for the usual one."""
    closes: bool = False
    """Whether it closes a hollow, which then wants a drain hole."""
    surface: tuple[Facet, ...] = ()
    """The made shape where neither a tree nor a roll gives it, for a picture."""
    places: tuple[Standing, ...] = ()
    """Where the job places it, one for each that has a place."""

    @property
    def net_area(self) -> float:
        """Outline less holes, mm2."""
        return self.outline.area - sum(hole.shape.area for hole in self.holes)

    @property
    def cut_length(self) -> float:
        """Outline and holes, mm: what the cutting service cuts."""
        return self.outline.perimeter + sum(hole.shape.perimeter for hole in self.holes)


# -- the piece --------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Hardware:
    """A bought item that belongs to one piece, e.g. ('rod end', 'M12 x 1.75 right', 1)."""

    item: str
    spec: str
    quantity: int
    note: Sentence = EMPTY


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing to print of a piece that its drawing does not show.  Made by `fact`.

    Args:
        key: what it is about, the same for all facts of one kind, e.g. 'adjusts', 'saw'.
        label: what stands before it in a list, e.g. 'saw, start'.
        text: what is to be said, with its values.
    """

    key: str
    label: str
    text: Sentence


def fact(key: str, label: str, *parts: Part) -> Fact:
    """A fact; `parts` are those of its sentence."""
    return Fact(key, label, sentence(*parts))


@dataclass(frozen=True, slots=True)
class Concern:
    """What a family saw while it made the part and a check is to tell; the fields are those of a finding."""

    level: Level
    rule: str
    text: str
    source: str = ""


@dataclass(frozen=True, eq=False)
class Piece:
    """One mark.  `kind` is the table of its family; `facts` are what every document may print of it; `mass` kg
    each; `path` is where the job file defines it, e.g. ('tube', 3), so that a check can say where."""

    mark: str
    kind: str
    quantity: int
    material: str
    mass: float
    shape: LengthPart | FlatPart
    title: str = ""
    note: str = ""
    finish: str = ""
    hardware: tuple[Hardware, ...] = ()
    facts: tuple[Fact, ...] = ()
    path: tuple[str | int, ...] = field(default=())
    concerns: tuple[Concern, ...] = ()
    welds: tuple[Weld, ...] = ()
    """The welds that put it on other parts, as the job gives them."""
    is_assembly: bool = False
    """Whether bought or turned parts belong to it, so that `mass` is only that of its length as sawn."""

    @property
    def is_placed(self) -> bool:
        """Whether the job says where it, or one of several, stands."""
        return self.shape.frame is not None if isinstance(self.shape, LengthPart) else bool(self.shape.places)

    @property
    def length_part(self) -> LengthPart | None:
        return self.shape if isinstance(self.shape, LengthPart) else None

    @property
    def flat_part(self) -> FlatPart | None:
        return self.shape if isinstance(self.shape, FlatPart) else None
