"""Bushes and crush tubes, held against the holes and ears they sit in and the bolt that goes through them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from fabgen.checks.bolt.pivot_bores import is_in_a_bore
from fabgen.checks.checked import Checked
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.job.tables.lengths.bar_tables import Bush
from fabgen.parts.shape.bush_seats import BushSeat, bush_seats, ear_gap, needed
from fabgen.shop.fits import hole_for
from fabgen.shop.threaded.clearance_holes import UnknownBoltError, clearance
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

WELD_GAP = 1.0
"""A weld bridges this between hole and bush, in diameter, mm (common practice, no source)."""
WORKED = 0.05
"""Nominal sizes that are worked to one another are alike to this, mm."""
SLIDES = 0.5
"""A sliding bush rattles with more room than this in its hole, mm (common practice, no source)."""
CRUSHED = 0.88
"""Rubber in a hole of less than this share of its diameter tears or leaves no rubber to give (common practice)."""
LEAST_SEAT = 0.25
"""A pressed bush is held over this share of its diameter or more (common practice, no source)."""
CLAMPS = 0.5
"""Ears give by this when a bolt pulls them on to a crush tube, mm (common practice, no source)."""
GOES_IN = 0.1
"""A crush tube that is longer by less goes in by hand pressure, mm (common practice, no source)."""
LEAST_WALL = 1.5
"""A bore is not drilled out to a thinner wall, mm (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class Bushed:
    """One bush under its rules."""

    bush: Bush
    job: Checked

    @property
    def mark(self) -> str:
        return self.bush.mark

    @property
    def units(self) -> str:
        return self.job.units

    @cached_property
    def seats(self) -> list[BushSeat]:
        return bush_seats(self.bush.mark, self.job.pieces)


def bushes(checked: Checked) -> Iterator[Bushed]:
    """The bushes and crush tubes of a job."""
    return (Bushed(bush, checked) for bush in checked.job.bush)


@rule("bush-hole", Level.STOP, Level.WARN, source=FROM_JOB)
def bush_hole(of: Bushed) -> Iterator[Found]:
    """A bush goes into its hole and is held there by its fit; rubber is squeezed, not crushed."""
    outside, fit = of.bush.section.width, of.bush.fit
    sizes = {
        (seat.piece.mark, size, seat.piece.flat_part is None): None for seat in of.seats for size in seat.diameters
    }
    for mark, hole, in_eye in sizes:
        where, what = (f"the bore of an eye of {mark}", "an eye") if in_eye else (f"the hole in {mark}", "a hole")
        said = sentence(f"{where} is ", mm(hole, 2), " and the bush ", mm(outside, 2), ": ")
        wanted = sentence(f"{what} of ", mm(hole_for(fit, outside), 2), " bore" if in_eye else "")
        if fit == "rubber":
            if hole < CRUSHED * outside - 1e-6:
                yield found(said, "the rubber is crushed: ", wanted, source=PRACTICE)
            elif hole >= outside - 1e-6:
                yield found(said, "nothing squeezes the rubber, it turns and walks out: ", wanted)
        elif hole < outside - (WORKED if fit != "weld" else 1e-6):
            yield found(said, "it does not go in: ", wanted)
        elif fit == "press" and hole > outside + WORKED:
            yield found(said, "it is not held: ", wanted, ' reamed to H7, or fit = "weld"')
        elif fit == "weld" and hole > outside + WELD_GAP + 1e-6:
            yield found(said, "a wide gap to fill: ", wanted, level=Level.WARN, source=PRACTICE)
        elif fit == "slip" and hole > outside + SLIDES + 1e-6:
            yield found(said, "it rattles: ", wanted, level=Level.WARN, source=PRACTICE)


@rule("bush-length", Level.STOP, Level.WARN, source=FROM_JOB)
def bush_length(of: Bushed) -> Iterator[Found]:
    """A bush reaches through what it sits in, one length does for all its holes, and a crush tube fills the gap
    between its ears."""
    bush = of.bush
    if bush.between is not None:
        yield from _crush_tube(of, bush.between)
        return
    spans = {seat.piece.mark: seat.span for seat in of.seats}
    if not spans:
        return
    longest = max(spans, key=lambda mark: spans[mark])
    length = bush.length or spans[longest] + 2.0 * bush.proud
    if length < spans[longest] - WORKED:
        said = sentence("it is ", mm(length, 2), f" long and {longest} ", mm(spans[longest], 2), " over its sheets: ")
        yield found(said, "it ends inside: ", mm(spans[longest], 2), " or more")
    shortest = min(spans, key=lambda mark: spans[mark])
    over = (length - spans[shortest]) / 2.0
    if over > bush.section.width:
        said = sentence("it stands out of ", f"{shortest} ", mm(over), " each side, more than it is thick: ")
        yield found(said, "shorter, or a bush of its own there", level=Level.WARN, source=PRACTICE)


def _crush_tube(of: Bushed, mark: str) -> Iterator[Found]:
    piece = next((each for each in of.job.pieces if each.mark == mark), None)
    gap, length = None if piece is None else ear_gap(piece), of.bush.length
    if gap is None or length is None:
        return
    said = sentence("it is ", mm(length, 2), f" long and the gap between the ears of {mark} ", mm(gap, 2), ": ")
    if length > gap + GOES_IN + 1e-6:
        yield found(said, "it does not go in: saw it ", mm(gap, 2))
    elif length < gap - CLAMPS - 1e-6:
        yield found(said, "the bolt pulls the ears in before they bear on it: saw it ", mm(gap, 2))


@rule("bush-bore", Level.STOP, Level.WARN, source=FROM_JOB)
def bush_bore(of: Bushed) -> Iterator[Found]:
    """The bolt goes through the bush, and does not rattle in it."""
    if of.bush.bolt is None:
        return
    try:
        close, coarse = (clearance(of.bush.bolt, fit) for fit in ("close", "coarse"))
    except UnknownBoltError:
        yield found(f"{of.bush.bolt} is no bolt that a table has, so its bore was not checked", level=Level.WARN)
        return
    bore = of.bush.section.bore
    said = sentence("its bore is ", mm(bore, 2), f" and {close.bolt} is ", mm(close.nominal, 2), ": ")
    if bore < close.nominal - 1e-6:
        if close.diameter < of.bush.section.width - 2.0 * LEAST_WALL:
            drilled = mm(close.diameter, 2)
            yield found(said, "it does not go through: a thinner wall, or a bore drilled to ", drilled)
        else:
            yield found(said, "it does not go through: a wider bush, or a thinner bolt")
    elif bore > coarse.diameter + 1e-6:
        yield found(said, "it rattles: ", mm(coarse.diameter, 2), " at most", level=Level.WARN, source="ISO 273")


@rule("bush-metal", Level.STOP, source=PRACTICE)
def bush_metal(of: Bushed) -> Iterator[Found]:
    """A bush that is welded in is of a metal that welds to what it sits in."""
    if of.bush.fit != "weld" or of.bush.between is not None:
        return
    find = of.job.job.find_material
    own = find(of.bush.material or of.job.job.job.material).group
    other = {seat.piece.mark: find(seat.piece.material).group for seat in of.seats}
    marks = [mark for mark, group in other.items() if (group == "aluminium") != (own == "aluminium")]
    if marks:
        said = sentence(f"a bush of {own} cannot be welded into {', '.join(marks)} of {other[marks[0]]}: ")
        yield found(said, 'a bush of its metal, or fit = "press"')


@rule("bush-seat", Level.WARN)
def bush_seat(of: Bushed) -> Iterator[Found]:
    """A pressed bush has enough metal about its length to hold it."""
    if of.bush.fit != "press":
        return
    held = {seat.piece.mark: _held(seat) for seat in of.seats}
    for mark, metal in held.items():
        if metal < LEAST_SEAT * of.bush.section.width - 1e-6:
            said = sentence(f"{mark} holds it over ", mm(metal, 2), ", and a pressed bush needs ")
            yield found(said, mm(LEAST_SEAT * of.bush.section.width, 2), ': thicker sheet, or fit = "weld"')


def _held(seat: BushSeat) -> float:
    """Over what length metal holds it, mm: all sheets that it goes through, or the eye of a link."""
    part = seat.piece.flat_part
    return seat.span if part is None else len(seat.diameters) * part.thickness


@rule("bush-nowhere", Level.WARN, source=FROM_JOB)
def bush_nowhere(of: Bushed) -> Iterator[Found]:
    """A bush sits in some hole, fills the bore of some tube or is a spacer on a bolt that lists it, and there are as
    many as the holes or the bolts take."""
    count = needed(of.bush, of.seats, of.job.pieces)
    if not count and is_in_a_bore(of.bush, of.job.pieces):
        return
    if not count and (count := _on_bolts(of)):
        if of.bush.quantity != count:
            made = f"{of.bush.quantity} {'is' if of.bush.quantity == 1 else 'are'} made"
            yield found(f"{made} and the bolts that list it take {count}: quantity = {count}")
    elif not count:
        yield found(f'it sits in no hole: bush = "{of.mark}" at its hole, or `between` for a crush tube')
    elif "quantity" in of.bush.model_fields_set and of.bush.quantity != count:
        yield found(f"{of.bush.quantity} are made and the parts take {count}: quantity = {count}, or leave it out")


def _on_bolts(of: Bushed) -> int:
    """How many of it the bolts take that list it as a spacer."""
    stacks = of.job.plan.bolts
    return sum(stack.quantity * [layer.mark for layer in stack.layers].count(of.mark) for stack in stacks)


RULES = (bush_hole, bush_length, bush_bore, bush_metal, bush_seat, bush_nowhere)
