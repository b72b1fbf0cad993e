"""What is checked: a job with its pieces, plan and movement, and how the workshop cuts and folds sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, wraps
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from fabgen.job.expansion.written_keys import WrittenKeys
from fabgen.job.points.as_built import Built
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.part_tables import Tube
from fabgen.parts.piece import FlatPart, LengthPart, Piece, ProfilePart, drilled_to_make, leg_holes_to_make
from fabgen.parts.survey.following import Change
from fabgen.plan.plan import Plan
from fabgen.shop.sheet_cutting import BRAKE_LENGTH, Process

if TYPE_CHECKING:
    from fabgen.contact.contacts import Contacts
    from fabgen.motion.movement import Movement

P = TypeVar("P")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Workshop:
    """How sheet is cut and folded.

    Args:
        process: how sheet is cut where a part does not say.
        brake_length: longest bend, mm.
        sheets: (material, thickness mm) of the sheets that the job's [[stock]] gives, '' = any material.
        kerf: of those who cut themselves, mm; 0 where the job gives none.
    """

    process: Process = "laser"
    brake_length: float = BRAKE_LENGTH
    sheets: frozenset[tuple[str, float]] = frozenset()
    kerf: float = 0.0

    @staticmethod
    def of(job: Definitions) -> Workshop:
        given = [each for each in job.stock if each.sheets and each.thickness is not None]
        sheets = frozenset((each.material or "", each.thickness or 0.0) for each in given)
        return Workshop(job.job.process, job.job.brake_length, sheets, job.job.kerf_offset or 0.0)

    def stocks(self, material: str, thickness: float) -> bool:
        """Whether the job says what sheets there are for a part; the cut plan then says what fits none."""
        return any(name in ("", material) and abs(size - thickness) < 1e-9 for name, size in self.sheets)


@dataclass(frozen=True, eq=False)
class Checked:
    """A whole job as the checks see it.

    Args:
        job: the definitions.
        pieces: all, complete.
        plan: what is cut from what, and bought.
        movement: how the job moves, None where it does not.
        built: the frame as measured, None where it is not.
        changed: what the frame as built changes of the pieces.
        written: the job file, for the lines to write in it.
    """

    job: Definitions
    pieces: Sequence[Piece]
    plan: Plan = field(default_factory=Plan)
    movement: Movement | None = None
    built: Built | None = None
    changed: Sequence[Change] = ()
    written: WrittenKeys = field(default_factory=WrittenKeys)

    mark = ""
    """A finding on the whole job says itself what it is about."""

    @property
    def units(self) -> str:
        return self.job.job.units

    @cached_property
    def shop(self) -> Workshop:
        return Workshop.of(self.job)

    @cached_property
    def tubes(self) -> Mapping[str, LengthPart]:
        """Tubes by mark, links not among them."""
        return {piece.mark: part for piece in self.pieces if piece.kind == "tube" and (part := piece.length_part)}

    @cached_property
    def as_it_is(self) -> frozenset[str]:
        """The marks of what is bought or there already."""
        return frozenset(piece.mark for piece in self.pieces if piece.as_it_is)

    @cached_property
    def own_tubes(self) -> Mapping[str, LengthPart]:
        """The tubes that are made here, by mark."""
        return {mark: part for mark, part in self.tubes.items() if mark not in self.as_it_is}

    @cached_property
    def own_tables(self) -> Sequence[Tube]:
        """What the job says of these."""
        return [tube for tube in self.job.tube if tube.mark not in self.as_it_is]

    @cached_property
    def contacts(self) -> Contacts:
        """What lies in, is seated on, and is near what."""
        from fabgen.contact.contacts import Contacts

        return Contacts(self.job, self.pieces, self.plan.bolts)

    @cached_property
    def tube_tables(self) -> Mapping[str, Tube]:
        """What the job says of each tube, by mark."""
        return {tube.mark: tube for tube in self.job.tube}

    @cached_property
    def firsts(self) -> Mapping[str, str]:
        """Of the marks and bolts that mirrors and repeats make, by name, what each is made after; a bolt that the job
        itself lists for an image, or beside another through the same parts, goes with that."""
        made = self.written.expanded
        marks = {**made.copies, **made.images}

        def first(mark: str) -> str:
            return first(marks[mark]) if mark in marks else mark

        bolts: dict[str, str] = {}
        alike: dict[object, str] = {}
        for stack in self.plan.bolts:
            through = sorted(first(layer.mark) for layer in stack.layers if layer.mark)
            own = alike.setdefault((stack.choice.thread.name, *through), stack.name) if through else stack.name
            if stack.image is not None or own != stack.name:
                bolts[stack.name] = own if stack.image is None else stack.image.first
        return {**marks, **bolts}

    @cached_property
    def kept(self) -> dict[Callable[[Checked], Any], Any]:
        """What functions made by `once` have worked out."""
        return {}


def once(work_out: Callable[[Checked], T]) -> Callable[[Checked], T]:
    """Makes of a function of a job one that works its answer out for the first rule that asks, and keeps it for the
    others."""

    @wraps(work_out)
    def kept(job: Checked) -> T:
        if work_out not in job.kept:
            job.kept[work_out] = work_out(job)
        answer: T = job.kept[work_out]
        return answer

    return kept


@dataclass(frozen=True, eq=False)
class Checking(Generic[P]):
    """One part under its rules, with the job it belongs to."""

    piece: Piece
    part: P
    job: Checked

    @property
    def mark(self) -> str:
        return self.piece.mark

    @property
    def units(self) -> str:
        return self.job.units


def parts(checked: Checked) -> Iterator[Checking[LengthPart | FlatPart | ProfilePart]]:
    """All parts."""
    return (Checking(piece, piece.shape, checked) for piece in checked.pieces)


def flat_parts(checked: Checked) -> Iterator[Checking[FlatPart]]:
    """The flat, folded and rolled parts."""
    return (Checking(piece, flat, checked) for piece in checked.pieces if (flat := piece.flat_part) is not None)


def length_parts(checked: Checked) -> Iterator[Checking[LengthPart]]:
    """Tubes and links."""
    return (Checking(piece, part, checked) for piece in checked.pieces if (part := piece.length_part) is not None)


def profile_parts(checked: Checked) -> Iterator[Checking[ProfilePart]]:
    """Angle, channel and other profiles."""
    return (Checking(piece, part, checked) for piece in checked.pieces if (part := piece.profile_part) is not None)


def tube_parts(checked: Checked) -> Iterator[Checking[LengthPart]]:
    """Tubes, links not among them."""
    return (each for each in length_parts(checked) if each.piece.kind == "tube")


def drilled_tubes(checked: Checked) -> Iterator[Checking[LengthPart]]:
    """The tubes in which holes are drilled here, each with those; of what is made already with its own."""
    for each in tube_parts(checked):
        own = replace(each.part, drilled=drilled_to_make(each.piece)) if each.piece.as_it_is else each.part
        yield replace(each, part=own)


def drilled_profiles(checked: Checked) -> Iterator[Checking[ProfilePart]]:
    """The same of profiles."""
    for each in profile_parts(checked):
        own = replace(each.part, holes=leg_holes_to_make(each.piece)) if each.piece.as_it_is else each.part
        yield replace(each, part=own)


def whole_job(checked: Checked) -> Iterator[Checked]:
    """The job as a whole."""
    yield checked
