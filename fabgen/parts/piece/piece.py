"""The piece: one mark, with its shape and its facts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeVar

from fabgen.job.tables.part_tables import Coating
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece.drilled import DrilledHole
from fabgen.parts.piece.flat import FlatPart
from fabgen.parts.piece.joint import FaceLanding, Opening
from fabgen.parts.piece.leg_hole import LegHole
from fabgen.parts.piece.length import LengthPart
from fabgen.parts.piece.missed_end import MissedEnd
from fabgen.parts.piece.profile import ProfilePart
from fabgen.shop.goods import Threaded
from fabgen.shop.profiles.profile_section import StockSection
from fabgen.wording.levels import Level
from fabgen.wording.sentence import EMPTY, Part, Sentence, sentence

AnyHole = TypeVar("AnyHole", DrilledHole, LegHole)
PieceState = Literal["to make", "made", "bought", "there already"]


@dataclass(frozen=True, slots=True)
class SawnLength:
    """What is bought as a length: its section, and how much of it is sawn, mm, longest point to longest point."""

    section: StockSection
    length: float


@dataclass(frozen=True, slots=True)
class Hardware:
    """A bought item that belongs to one piece, e.g. a rod end, M12 x 1.75 right."""

    item: str
    goods: Threaded
    quantity: int
    note: Sentence = EMPTY


@dataclass(frozen=True, slots=True)
class Fact:
    """A value to print of a piece that its drawing does not show.  Made by `fact`.

    Args:
        key: what it is about, the same for all facts of one kind, e.g. 'adjusts', 'saw'.
        label: what stands before it in a list, e.g. 'saw, start'.
        text: what is to be said, with its values.
        brief: the same in few words, for drawings; None where it is short as it is.
    """

    key: str
    label: str
    text: Sentence
    brief: Sentence | None = None


def fact(key: str, label: str, *parts: Part) -> Fact:
    """A fact; `parts` are those of its sentence."""
    return Fact(key, label, sentence(*parts))


@dataclass(frozen=True, slots=True)
class Concern:
    """What a family saw while it made the part and a check is to tell; the fields are those of a finding."""

    level: Level
    rule: str
    text: Sentence
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
    shape: LengthPart | FlatPart | ProfilePart
    title: str = ""
    note: str = ""
    finish: str = ""
    coating: Coating | Literal[""] = ""
    """What covers it, as the job says of it or of all; '' where it does not."""
    hardware: tuple[Hardware, ...] = ()
    facts: tuple[Fact, ...] = ()
    path: tuple[str | int, ...] = field(default=())
    concerns: tuple[Concern, ...] = ()
    missed: tuple[MissedEnd, ...] = ()
    """Of a tube, its ends that meet nothing though the job leaves them to be fitted."""
    welds: tuple[Weld, ...] = ()
    """The welds that put it on other parts, as the job gives them."""
    part_of: str = ""
    """The mark of the piece that it is made for and becomes a part of, as a sleeve does of its link; '' where none."""
    cut_from: str = ""
    """The mark that the job gives the tube of which it is a piece, as where that is cut at a crossing; '' of others."""
    opposite_of: str = ""
    """The mark of the piece whose opposite hand, its mirror image, it is; '' of others."""
    same_as: str = ""
    """Of a mirror image with a mark of its own that is one piece of metal with its first or another image of that: the
    mark of that."""
    state: PieceState = "to make"
    """made: cut already, so left out of the papers to cut by, but not of the welds, the mass and the assembly; bought
    or there already: nothing of it is made here, but it stands on the assembly and counts in what fits and clears."""
    is_assembly: bool = False
    """Whether bought or turned parts belong to it, so that `mass` is only that of its length as sawn."""

    @property
    def is_to_make(self) -> bool:
        """Whether it is still to be cut."""
        return self.state == "to make"

    @property
    def as_it_is(self) -> bool:
        """Whether it is bought or there already."""
        return self.state in ("bought", "there already")

    @property
    def is_placed(self) -> bool:
        """Whether the job says where it, or one of several, stands."""
        if isinstance(self.shape, FlatPart):
            return bool(self.shape.places)
        return self.shape.frame is not None

    @property
    def sawn(self) -> SawnLength | None:
        """The length of tube, profile or flat bar that it is sawn from; None of what is cut from sheet."""
        if isinstance(self.shape, FlatPart):
            return None if self.shape.bar is None else SawnLength(self.shape.bar, self.shape.size[0])
        return SawnLength(self.shape.section, self.shape.length)

    @property
    def thickness(self) -> float:
        """Of its metal, mm: of sheet, of a tube's wall, the smaller size of solid bar, a profile's thinnest flat."""
        if isinstance(self.shape, FlatPart | ProfilePart):
            return self.shape.thickness if isinstance(self.shape, FlatPart) else self.shape.section.thickness
        section = self.shape.section
        return section.wall or min(section.width, section.depth)

    @property
    def length_part(self) -> LengthPart | None:
        return self.shape if isinstance(self.shape, LengthPart) else None

    @property
    def profile_part(self) -> ProfilePart | None:
        return self.shape if isinstance(self.shape, ProfilePart) else None

    @property
    def flat_part(self) -> FlatPart | None:
        return self.shape if isinstance(self.shape, FlatPart) else None

    @property
    def sheet_part(self) -> FlatPart | None:
        """A flat that is cut from sheet; None of one that is sawn from flat bar."""
        part = self.flat_part
        return part if part is not None and part.bar is None else None


def to_make(pieces: Iterable[Piece]) -> list[Piece]:
    """The pieces that are still to be cut."""
    return [piece for piece in pieces if piece.is_to_make]


def made_here(pieces: Iterable[Piece]) -> list[Piece]:
    """The pieces that are neither bought nor there already."""
    return [piece for piece in pieces if not piece.as_it_is]


def taken_as_it_is(pieces: Iterable[Piece]) -> list[Piece]:
    """The pieces that are bought or there already."""
    return [piece for piece in pieces if piece.as_it_is]


def holes_to_make(pieces: Sequence[Piece]) -> Iterator[tuple[Piece, Opening]]:
    """The holes for branches' bores that are still to be cut, each with the tube that it goes into: of a tube that is
    not to be made those for branches that are."""
    made = {piece.mark for piece in pieces if not piece.is_to_make}
    for piece, part in length_parts(pieces):
        yield from ((piece, hole) for hole in part.holes if not (piece.mark in made and hole.branch in made))


def drilled_to_make(piece: Piece) -> tuple[DrilledHole, ...]:
    """The holes of the job's own that are still to be drilled in a tube: none in what is made already, and in what is
    bought or there already those that it does not have yet."""
    part = piece.length_part
    return () if part is None else _to_drill(piece, part.drilled)


def leg_holes_to_make(piece: Piece) -> tuple[LegHole, ...]:
    """The same of a profile."""
    part = piece.profile_part
    return () if part is None else _to_drill(piece, part.holes)


def _to_drill(piece: Piece, holes: tuple[AnyHole, ...]) -> tuple[AnyHole, ...]:
    if piece.state == "made":
        return ()
    return tuple(hole for hole in holes if not (piece.as_it_is and hole.is_there))


def length_parts(pieces: Iterable[Piece]) -> Iterator[tuple[Piece, LengthPart]]:
    """The pieces that are lengths of section, with their shapes."""
    return ((piece, part) for piece in pieces if (part := piece.length_part) is not None)


def tube_parts(pieces: Iterable[Piece]) -> dict[str, LengthPart]:
    """The lengths of section among `pieces`, by mark."""
    return {piece.mark: part for piece, part in length_parts(pieces)}


def profile_parts(pieces: Iterable[Piece]) -> Iterator[tuple[Piece, ProfilePart]]:
    """The pieces that are profiles, with their shapes."""
    return ((piece, part) for piece in pieces if (part := piece.profile_part) is not None)


def face_landings_on(piece: Piece) -> tuple[FaceLanding, ...]:
    """The ends that land on the faces of a profile, and those of profiles that land on a tube."""
    if piece.profile_part is not None:
        return piece.profile_part.landings
    return () if piece.length_part is None else piece.length_part.profiles
