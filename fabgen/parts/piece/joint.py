"""What one tube is to another: the hole for its bore, the place it sits at, and the weld between them."""

from __future__ import annotations

from dataclasses import dataclass, field

from fabgen.geometry.tube.penetration import Outside, Penetration
from fabgen.geometry.tube.weld_run import WeldRun
from fabgen.parts.piece.cut import At
from fabgen.shop.section import Section
from fabgen.wording.sentence import Sentence, Value, lengths, mm, sentence

ROOM = 0.5
"""A hole is so much larger all round than the tube that passes through it, mm (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class Opening:
    """A hole in the tube `main` for the bore of `branch` at its end `at`.

    `edge`: station mm round the main from its top line to the right, looking from its start to
    its finish; along mm from its start's saw cut, of a bent main as it lies before it is bent.
    `angle` rad and `offset` mm as the joint's.  `through`: the whole bore comes out in the main's
    own bore; False where its sides run down in the main's wall.  `only`: no other end of the
    branch opens into this main.  `passes`: it is no bore but the whole tube `branch` that passes through, `at` says
    whether toward its start or its finish; `bore` is the hole's size.
    """

    main: str
    branch: str
    at: At
    onto: Section
    bore: Section
    edge: Penetration
    angle: float
    offset: float
    through: bool
    only: bool = True
    passes: bool = False
    tangents: tuple[float, ...] = ()
    """phi of the places where a rectangular bore's corners begin and end, rad."""
    skin: Outside | None = field(default=None, repr=False)
    """The straight of the main's outside that its edge lies on."""

    @property
    def name(self) -> str:
        """'T2', or 'T2 finish' where both its ends open into the main."""
        return self.branch if self.only else f"{self.branch} {self.at}"

    @property
    def bore_size(self) -> Value:
        """'41.9 mm', or '54 x 34 mm' for a rectangular bore."""
        bore = self.bore
        return mm(bore.width, 3) if bore.is_round else lengths((bore.width, bore.depth), decimals=3)

    @property
    def place(self) -> Sentence:
        """'512.3 mm from the start's saw cut, 37.9 mm round to the right of TOP'."""
        station, along = self.edge.centre
        from_start = mm(along, fixed=True).named("centre from the start")
        return sentence(from_start, " from the start's saw cut, ", side_of_top(station))


def side_of_top(station: float) -> Sentence:
    """'on TOP', or '37.9 mm round to the right of TOP', as seen looking from the main's start."""
    if abs(station) < 0.05:
        return sentence("on TOP")
    side = "right" if station > 0.0 else "left"
    return sentence(mm(abs(station), fixed=True).named(f"round to the {side}"), f" round to the {side} of TOP")


@dataclass(frozen=True, slots=True)
class Landing:
    """One end of a branch on a main.

    mm along the main's centreline from its start's saw cut: `axes` where the two axes are nearest, `skin`
    where the branch's axis comes through the main's outside; None, and `round` too, where that axis runs
    past the main.  `round` rad from the main's top line, clockwise seen from its start, in [0, 2 pi).
    `angle` rad between the axes, acute.
    """

    branch: str
    at: At
    axes: float
    skin: float | None
    round: float | None
    angle: float
    bend: BendPlace | None = None
    """Where `skin` (else `axes`) lies in a bend."""


@dataclass(frozen=True, slots=True)
class Across:
    """From where to where something lies across a leg, web or flange: `low` and `high` mm from the `datum`, 'the heel';
    the same as `stations` on the outer face `outer`, mm."""

    low: float
    high: float
    datum: str
    outer: str
    stations: tuple[float, float]


@dataclass(frozen=True, slots=True)
class FaceLanding:
    """One end of a profile or tube, `branch`, on the faces of a profile, or of a profile on a tube.

    `first` and `last`: from where to where it lies, mm along from the main's start's saw cut.  `faces`: of a profile,
    that with most of it first, of a rectangular tube its side.  `across`: where it lies across that face; None of a
    tube, and where the face has no datum.  `round`: of a tube, rad from its top line, clockwise seen from its
    start.  `angle` rad between the axes, acute.
    """

    branch: str
    at: At
    first: float
    last: float
    faces: tuple[str, ...]
    across: Across | None
    round: float | None
    angle: float

    @property
    def is_behind(self) -> bool:
        """Whether it lies on the back of the face that it is marked on."""
        return self.across is not None and self.across.outer != self.faces[0]

    @property
    def figures(self) -> tuple[float, ...]:
        """All its figures, mm and rad."""
        return (self.first, self.last, *(self.across.stations if self.across else ()), self.round or 0.0, self.angle)


@dataclass(frozen=True, slots=True)
class BendPlace:
    """A place in a tube's bend: its number, from 1, and how far into it from where it begins, rad."""

    number: int
    into: float


@dataclass(frozen=True, eq=False)
class JointWeld:
    """The weld run between one end and one of the tubes it sits on or is mitred with.

    `shared`: True for a mitre, whose one run stands at the other tube's end too, and for a ring, whose two ends are
    butted: it is welded to itself.  `in_slit`: along both sides of a tab that stands in slits of the end.  `of_all`:
    what share of the pieces that are made alike has it, of bushes that sit in several parts.
    """

    at: At
    onto: str
    run: WeldRun
    shared: bool = False
    in_slit: bool = False
    of_all: float = 1.0

    @property
    def length(self) -> float:
        """mm."""
        return self.run.length

    @property
    def share(self) -> float:
        """What of the length counts for this end, mm: of a mitre's run the half, as the other tube has it too; the mean
        of all pieces where not all have it."""
        return self.length * (0.5 if self.shared else 1.0) * self.of_all
