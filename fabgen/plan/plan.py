"""What the cut plan is: bars with their cuts, sheets with their parts, things to buy."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from fabgen.geometry.plane.outline import Loop
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.plan.effort import Effort
from fabgen.shop.goods import Goods, Sheet, StockBar
from fabgen.shop.profiles.profile_section import StockSection
from fabgen.shop.threaded.fasteners import BoltChoice
from fabgen.shop.threaded.nuts import NutChoice
from fabgen.wording.sentence import EMPTY, Sentence


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece sawn from a bar, `length` mm from longest point to longest point.

    `turned`: it lies end for end, its finish first.  `shared`: the angle from square, degrees, of the
    saw cut that it has in common with the piece before it, 0 where it has none; `saved` is how much
    less of the bar that takes, mm, and `extra` how much more than a square one the cut between the two
    takes at its slant where they share none.  `over`: how much longer than its length the blank must be at its start
    and its finish, mm, where a hole saw makes the cope.
    """

    mark: str
    length: float
    turned: bool = False
    shared: float = 0.0
    saved: float = 0.0
    extra: float = 0.0
    over: tuple[float, float] = (0.0, 0.0)

    @property
    def blank(self) -> float:
        """What the bar must give for it, mm: its length, and what hole saws need besides."""
        return self.length + sum(self.over)


@dataclass(frozen=True, slots=True)
class BarPlan:
    """`count` like bars of `stock` mm, each cut as `cuts` says; `offcut` mm is left of each.  `section` as it is bought
    (its `nominal`)."""

    section: StockSection
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
    rack_marks: tuple[str, ...] = ()
    """Marks of the rack's bars it is cut from, one each of `count`, '' for a bar without a mark."""
    proven: bool = False
    """True when no plan of this section and material costs less."""
    end_loss: float = 0.0
    """Of the rest this much cannot be sawn into pieces, mm: what the clamp holds."""

    @property
    def is_full(self) -> bool:
        """Whether no rest is left of it that a tape shows."""
        return self.offcut < 0.5

    @property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """Where each piece's blank begins and ends, mm from the bar's beginning: at its longest points, and farther
        out where hole saws need it longer."""
        spans: list[tuple[float, float]] = []
        at = 0.0
        for cut in self.cuts:
            at += cut.extra - cut.saved
            spans.append((at, at + cut.blank))
            at += cut.blank + self.kerf
        return tuple(spans)

    @property
    def goods(self) -> StockBar:
        """As the shopping list names such a bar."""
        return StockBar(self.section, self.material, self.stock)


@dataclass(frozen=True, slots=True)
class BarBill:
    """What the bars bought of one section and material come to, and a bill below which no plan can go.

    In the job's currency where `priced`, else mm of bar.
    """

    section: StockSection
    material: str
    bill: float
    bound: float
    priced: bool

    @property
    def proven(self) -> bool:
        return self.bill <= self.bound + 1e-6

    @property
    def gap(self) -> float:
        """How far above the bound the bill may be, as a share of the bound."""
        return max(0.0, self.bill / self.bound - 1.0) if self.bound > 0.0 else float(self.bill > 0.0)


@dataclass(frozen=True, slots=True)
class PlacedPart:
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
    placed: tuple[PlacedPart, ...]
    used: float
    assumed: bool
    spare: bool = False
    """True when the sheet lies on the rack already and need not be bought."""
    outline: Loop | None = None
    """The shape of a remnant, its lower left corner at the origin; None for a full rectangle of `size`."""
    rack_marks: tuple[str, ...] = ()
    """The mark of the rack's sheet it is cut from, if any."""
    instead_of: tuple[float, float] | None = None
    """Of a blank that is ordered cut to just this size: the size of the full sheet it stands for, mm."""
    is_cut_short: bool = False
    """True where the search for the best nest ended because it had done all the work that it may do."""

    @property
    def goods(self) -> Sheet:
        """As the shopping list names such a sheet."""
        return Sheet(self.material, self.thickness, self.size)


@dataclass(frozen=True, slots=True)
class Purchase:
    """One line of the shopping list.

    Args:
        item: the kind of goods, e.g. 'tube', 'rod end'.
        goods: which of them.
        price: of one unit in the job's currency, if the job gives it.
    """

    item: str
    goods: Goods
    quantity: float
    unit: str
    note: Sentence = EMPTY
    price: float | None = None

    @property
    def spec(self) -> str:
        """Which of them, as data files and the rack name it: in mm."""
        return self.goods.words()


# -- for the shopping list --------------------------------------------------------
TIGHT = 0.05
"""What is listed between two parts may be so much longer than the room there, mm: points are seldom better measured."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer a bolt passes through: its name, thickness mm, and the mark where it is a part; `open` where it is what
    is left free between two ears, `along` where it goes along a tube's bore, `spacer` where it is a short tube to
    saw; `by`: the marks of short tubes of the job that fill it."""

    name: str
    thickness: float
    mark: str = ""
    open: bool = False
    along: bool = False
    spacer: bool = False
    by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class EarGap:
    """The `gap` mm between two ears of a part, and what the stack puts between them: `filled` mm, `layers` of the
    stack as the job lists it, none where the ears are one behind the other; `by`: the marks of crush tubes that stand
    there unlisted."""

    mark: str
    gap: float
    filled: float
    layers: range
    by: tuple[str, ...] = ()

    @property
    def play(self) -> float:
        """What is left free, mm; negative where it does not go in."""
        return self.gap - self.filled


@dataclass(frozen=True, slots=True)
class FreeGap:
    """What is left `free` along a bolt, mm, between two parts where they stand, with what the stack lists between them
    in; negative where that does not go in.  `places`: theirs in `through` of the table; `listed`: what is between;
    `lines`: where it is so of like bolts."""

    marks: tuple[str, str]
    places: tuple[int, int]
    listed: float
    free: float
    lines: tuple[BoltLine, ...] = ()


@dataclass(frozen=True, eq=False)
class Sleeve:
    """A short tube on the line of a bolt.

    Args:
        mark: of the tube.
        diameter: of the bolt, mm.
        bore: mm.
        length: mm.
        off: how far its middle line is from the bolt's at most, mm.
        play: how far that may be, mm: by its bore, and by the holes of the other parts.
        room: from face to face what it is to fill, mm; inf where it lies at an end of the bolt.
        marks: of the parts on which those faces are.
        passes: the marks of the tubes that it goes through.
        between: the layers of the bolt's table before and behind it; None where one has none there.
        line: of the bolt.
    """

    mark: str
    diameter: float
    bore: float
    length: float
    off: float
    play: float
    room: float
    marks: tuple[str, ...]
    passes: tuple[str, ...]
    between: tuple[int, int] | None
    line: BoltLine

    @property
    def is_narrow(self) -> bool:
        """Whether the bolt does not go in."""
        return self.bore < self.diameter - TIGHT

    @property
    def is_astray(self) -> bool:
        """Whether the bolt runs into its wall."""
        return self.is_narrow or self.off > self.play + TIGHT

    def fills(self, free: float) -> bool:
        """Whether it fills its room, but for so much, mm, at most."""
        return not self.is_astray and -TIGHT <= self.room - self.length <= free + TIGHT


@dataclass(frozen=True, slots=True)
class Tapped:
    """The part that a bolt without a nut is screwed into, how deep, and how deep it should be, mm; `needed` None where
    no table has a figure."""

    mark: str
    depth: float
    needed: float | None
    source: str


@dataclass(frozen=True, slots=True)
class BoltImage:
    """What a bolt is that a mirror or a repeat makes: of the job's bolt of that number, from 0, `how` it is made, and
    which of several images it is, from 1."""

    of: int
    how: Literal["mirrored", "copied"]
    again: int = 1

    @property
    def first(self) -> str:
        """The name of the job's own."""
        return f"bolt {self.of + 1}"

    @property
    def name(self) -> str:
        """'bolt 2 mirrored', 'bolt 2 copied 3'."""
        return f"{self.first} {self.how}{f' {self.again}' if self.again > 1 else ''}"


@dataclass(frozen=True, slots=True)
class BoltStack:
    """`quantity` like bolts through like layers, from head to nut; `number` is that of the job's table."""

    number: int
    title: str
    quantity: int
    property_class: str
    layers: tuple[Layer, ...]
    choice: BoltChoice
    nut: NutChoice
    standard: str
    """It is ordered to, '' where the one whose sizes it has (`choice.standard`) does not have its class."""
    pivot: bool = False
    """Whether parts turn on it."""
    lines: tuple[BoltLine, ...] = ()
    """Where it, or as many of like ones as have a place, stand."""
    free: tuple[FreeGap, ...] = ()
    gaps: tuple[EarGap, ...] = ()
    tapped: Tapped | None = None
    sleeves: tuple[Sleeve, ...] = ()
    """Short tubes of the job on its lines that its table does not list."""
    image: BoltImage | None = None
    """What it is of the job's own, of one that a mirror or a repeat makes."""

    @property
    def name(self) -> str:
        """'bolt 2', 'bolt 2 mirrored', as findings name it."""
        return f"bolt {self.number + 1}" if self.image is None else self.image.name

    @property
    def last_joint(self) -> float | None:
        """From under the head to the last face between two layers, mm; None where there is one layer."""
        if len(self.layers) < 2:
            return None
        return self.choice.washers_at_head * self.choice.washer + self.choice.grip - self.layers[-1].thickness

    @property
    def along(self) -> frozenset[str]:
        """The marks of the tubes that it goes along, from end to end in their bore; sleeves are among them."""
        listed = (seat.passage.mark for line in self.lines for seat in line.seats if seat.passage.is_bore)
        return frozenset((*listed, *(mark for layer in self.layers for mark in layer.by)))

    def without_sleeve(self, gap: FreeGap) -> list[BoltLine]:
        """Where it stands with something free and no short tube of the job there."""
        sleeved = {id(each.line) for each in self.sleeves if each.between == gap.places}
        return [line for line in gap.lines if id(line) not in sleeved]

    @property
    def is_out_of_line(self) -> bool:
        """Whether it does not pass where it, or one of like ones, is to stand."""
        return any(not line.in_line for line in self.lines)

    @property
    def thread_in_joint(self) -> bool:
        """Whether the plain shank ends before the last joint, so that the thread takes the shear there."""
        return self.last_joint is not None and self.choice.shank < self.last_joint - 1e-6


@dataclass(frozen=True, slots=True)
class Estimate:
    """One consumable calculated: how much, and how, in words with the figures put in."""

    item: str
    goods: Sentence
    quantity: float
    unit: str
    how: str
    source: str


@dataclass(frozen=True, slots=True)
class Take:
    """What the plan uses of one entry of the rack file: its table, number, and how many."""

    table: Literal["bar", "sheet", "remnant", "hardware"]
    number: int
    count: int


@dataclass(frozen=True)
class Plan:
    """The whole cut plan.  `unplaced` names pieces that fit no stock, with the reason; `too_long` those that no bar is
    long enough for, with the most that one gives, mm.

    `on_hand` is what comes from the rack and need not be bought, `takes` the same by the rack
    file's entries; `remarks` (about what, rule, text) are for the checks.
    """

    bars: tuple[BarPlan, ...] = ()
    sheets: tuple[SheetPlan, ...] = ()
    shopping: tuple[Purchase, ...] = ()
    unplaced: tuple[tuple[str, Sentence], ...] = field(default=())
    too_long: tuple[tuple[str, float], ...] = ()
    bolts: tuple[BoltStack, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    left_out: tuple[str, ...] = ()
    """What the estimates do not count, in words."""
    on_hand: tuple[Purchase, ...] = ()
    takes: tuple[Take, ...] = ()
    remarks: tuple[tuple[str, str, str], ...] = ()
    bills: tuple[BarBill, ...] = ()
    """One for each section and material of the bars."""
    effort: Effort = Effort.NORMAL
    """How hard was looked for fewer sheets."""
    least_offcut: float = 0.0
    """Shorter rests of bars are scrap, mm."""
