"""Lengths of section with worked ends, bent or straight."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from fabgen.geometry.space.frame import Frame
from fabgen.geometry.tube.centreline import Centreline
from fabgen.parts.piece.bar import BarEnd, Clasp, FlattenedEnd
from fabgen.parts.piece.cut import At, CutKind, CutLine, FlatCut, Joint, PlateSeat
from fabgen.parts.piece.drilled import DrilledHole
from fabgen.parts.piece.flat import Place
from fabgen.parts.piece.joint import FaceLanding, JointWeld, Landing, Opening
from fabgen.parts.piece.saw import SawSetup
from fabgen.shop.section import Section
from fabgen.wording.sentence import EMPTY, Sentence

LEAST_HEEL = 0.05
"""An end on several tubes has a heel where one side is cut shorter than the middle by more than this, mm."""

SQUARE = 0.05
"""A line that rises by less is no line to mark: its ordinates are all zero to the tenth, mm."""

WIDEST_ROOT = 2.0
"""A root open by more is a poor gap to weld, mm (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class WorkedEnd:
    """One end of a tube.  `frame`: origin at the work point, x along the tube to its other
    end, y the heel side.  Of an end on several tubes the work point is the outermost of theirs, and the heel the side
    that the cut itself leaves shortest, whichever is listed first.  `top` is phi (rad) of the tube's top line, the line
    both ends' templates share.  A plain end has no joints and x = 0 all round; one that is cut to
    a plane has no joints but a `plane_angle`.  `saw` and `welds` are there once all pieces of the job
    are known (`build.py`)."""

    at: At
    cut: CutKind
    line: CutLine
    frame: Frame
    top: float
    joints: tuple[Joint, ...] = ()
    fit: Literal["clear", "outside"] = "clear"
    opens: bool = False
    """Whether the tube's bore opens into its mains here (`parts/holes/openings.py`)."""
    gap: float = 0.0
    """Root gap, mm: how far the cut stands off what the end sits on, square to that."""
    flats: tuple[FlatCut, ...] = ()
    """The saw cuts of a mitre or a plane, and of an end that is sawn straight to the face of a tube."""
    plane_angle: float | None = None
    """Acute angle between the tube's axis and the plane it is cut to, rad."""
    left_open: float = 0.0
    """Of an end on one tube: how far a straight saw cut leaves its outside off that at most, mm; 0 where it does not,
    and where no straight cut is in question."""
    root_open: float = 0.0
    """Of an end that is sawn straight: the same at the wall's inner edge."""
    stands_on: str = ""
    """Of an end cut to a plane: the mark of the plate or bracket whose face that is; '' of none."""
    is_level: bool = False
    """Of an end cut to a plane: sawn level at its point, as the job says, with no plate there."""
    plates: tuple[PlateSeat, ...] = ()
    """The faces of plates and brackets to which it is cut, of a coped end besides its tubes."""
    astray: str = ""
    """Of an end left plain: the mark of the bent tube whose route it is drawn to at a corner, where the bend runs
    inside and there is no metal; '' of none."""
    is_own_choice: bool = field(default=False, compare=False)
    """Of a mitre: whether the job is silent on this corner, and the ends are mitred as they meet."""
    saw: SawSetup | None = field(default=None, compare=False)
    """How to saw it; None of a plain end, and where the job does not hold what it sits on."""
    welds: tuple[JointWeld, ...] = field(default=(), compare=False)
    """In the order of the joints; a tube that it does not touch after all has none."""
    no_hole: tuple[str, ...] = field(default=(), compare=False)
    """Why holes for its bore cannot be marked, where that is so: 'the bore runs past T1 …'."""
    form: BarEnd = field(default=None, compare=False)
    """What is done to an end of a bent bar besides its saw cut."""

    @property
    def flattened(self) -> float:
        """How much of it is beaten or crushed flat, and of a tube not round again, mm; 0 of others."""
        return self.form.taken if isinstance(self.form, FlattenedEnd) else 0.0

    @property
    def is_sawn_to_face(self) -> bool:
        """Whether one straight saw cut brings it up to the tube that it sits on, so that it needs no template."""
        return self.cut == "cope" and bool(self.flats)

    @property
    def is_free(self) -> bool:
        """Whether it stands on nothing of the job: sawn square, or level as on a floor."""
        return self.cut == "plain" or self.is_level

    @property
    def needs_template(self) -> bool:
        """Whether a line must be marked on the tube to cut it: not where it is sawn square or straight to a tube."""
        return self.cut != "plain" and not self.is_sawn_to_face and not self.is_level_all_round

    @property
    def is_level_all_round(self) -> bool:
        """Whether its line is that of a square saw cut, as that of a tube that stands square over a face's rounded
        corners."""
        return not self.line.misses and float(np.ptp(self.line.x)) < SQUARE

    @property
    def seats(self) -> tuple[Joint, ...]:
        """What it sits on as documents name it: its tubes, the plate it stands on, or a plane under 'plane', which no
        part is looked up by."""
        if self.plates and self.plane_angle is None:
            return (*self.joints, *(Joint(plate.onto, plate.angle, 0.0) for plate in self.plates))
        return self.joints if self.plane_angle is None else (Joint(self.stands_on or "plane", self.plane_angle, 0.0),)

    @property
    def has_heel(self) -> bool:
        """Whether it has a heel, the side that is cut shortest, and a toe: an end that stands square on what it meets
        has neither."""
        if len(self.seats) > 1:
            return self.line.heel[1] > LEAST_HEEL
        return any(abs(seat.angle - math.pi / 2.0) > 1e-3 for seat in self.seats)


def sawn_square(section: Section, end: WorkedEnd) -> bool:
    """Whether the end is of solid bar that its fit has sawn square: with fit clear nothing of the whole section may
    be inside a main that it stands square on."""
    return section.is_solid and end.cut == "cope" and not end.is_sawn_to_face and end.is_level_all_round


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
    former: Sentence = EMPTY
    """What of the job's formers it is set for, in words; empty where none fits."""


@dataclass(frozen=True, eq=False)
class LengthPart:
    """A length of section with worked ends.  `length`: to saw, longest point to longest
    point, mm; of a bent tube as it lies before it is bent.  `axis`: route end to route end along
    the centreline, mm.  `frame`: start of the axis, x toward the finish, z the section's top;
    None where the job does not place the part.

    Of a bent tube `path` is the route, `bends` are what to do, and `straights` lie before,
    between and after them, the first and last counted to the saw cuts, mm.

    `holes`: those for branches' bores, in the order of the branches; `landings`: the coped ends that sit on it, from
    its start on.  Both are there once all pieces of the job are known (`build.py`).
    """

    section: Section
    length: float
    axis: float
    ends: tuple[WorkedEnd, WorkedEnd]
    frame: Frame | None = None
    path: Centreline | None = None
    bends: tuple[TubeBend, ...] = ()
    straights: tuple[float, ...] = ()
    holes: tuple[Opening, ...] = field(default=(), compare=False)
    landings: tuple[Landing, ...] = field(default=(), compare=False)
    profiles: tuple[FaceLanding, ...] = field(default=(), compare=False)
    """The ends of profiles that land on it, from its start on."""
    drilled: tuple[DrilledHole, ...] = field(default=(), compare=False)
    """Holes that the job gives it, and its vents."""
    is_bent_bar: bool = field(default=False, compare=False)
    """Whether it is round bar bent in one plane, if at all, its ends sawn square and worked as their `form` says: it is
    drawn as it is when it is done."""
    through: tuple[str, ...] = ()
    """Marks of the tubes that it passes through, by a hole in each."""
    sleeve_of: tuple[str, ...] = ()
    """Of a sleeve: the marks of the two tubes that it joins from inside."""
    allowance: tuple[float, float] = (0.0, 0.0)
    """What is added to its length at start and finish for the shrinkage of the welds there, mm; where its ends stand
    in space counts without it."""
    also: tuple[Frame, ...] = field(default=(), compare=False)
    """Where others of the same mark stand, as `frame` says of the first."""
    places: tuple[Place, ...] = field(default=(), compare=False)
    """Of a bent bar: where each stands that the job places, by the page that it is drawn on."""
    clasp: Clasp | None = field(default=None, compare=False)
    """What a bent bar goes round, where that is known."""

    @property
    def is_ring(self) -> bool:
        """Whether its two ends meet, square to the tube: bent to a closed route."""
        return self.path is not None and self.path.closed

    @property
    def welds(self) -> tuple[JointWeld, ...]:
        """Of both ends, the start's first."""
        return tuple(weld for end in self.ends for weld in end.welds)
