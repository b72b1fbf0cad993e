"""Bushes made as long, and as many, as what holds them needs, each standing where its hole does."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from fabgen.geometry.space.frame import Frame, upright
from fabgen.job.errors import InputError, Problems
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.bar_tables import Bush
from fabgen.parts.holes.short_tube import FLUSH, Holder, short_tube, welded_in
from fabgen.parts.piece import Fact, Hardware, Piece, fact
from fabgen.parts.shape.bush_seats import BushSeat, bush_seats, ear_gap, holders, needed
from fabgen.shop.fits import limits
from fabgen.shop.goods import Threaded
from fabgen.wording.figures import figure
from fabgen.wording.sentence import mm, sentence


def with_bushes(job: Definitions, pieces: Sequence[Piece]) -> list[Piece]:
    """All pieces, the bushes complete; a bought one goes with the part that holds it.

    Raises:
        JobError: nothing says how long a bush is.
    """
    if not job.bush:
        return list(pieces)
    made: dict[str, Piece] = {}
    bought: dict[str, list[Hardware]] = {}
    problems = Problems()
    for i, bush in enumerate(job.bush):
        with problems.at("bush", i):
            own = next((piece for piece in pieces if piece.mark == bush.mark), None)
            if own is None:
                continue
            seats = bush_seats(bush.mark, pieces)
            whole = _completed(job, bush, own, seats, pieces)
            if bush.state == "bought" and (found := holders(bush, seats, pieces)):
                for mark, count in found:
                    bought.setdefault(mark, []).append(_goods(bush, whole, count))
            else:
                made[bush.mark] = whole
    problems.report()
    gone = {bush.mark for bush in job.bush} - set(made)
    return [
        replace(each, hardware=(*each.hardware, *bought.get(each.mark, ())))
        for each in (made.get(piece.mark, piece) for piece in pieces)
        if each.mark not in gone
    ]


def _completed(job: Definitions, bush: Bush, own: Piece, seats: Sequence[BushSeat], pieces: Sequence[Piece]) -> Piece:
    length = bush.length or _length(bush, seats, pieces)
    count = bush.quantity if "quantity" in bush.model_fields_set else needed(bush, seats, pieces) or bush.quantity
    places = [stood for seat in seats for stood in _stood(seat, length)]
    shape = short_tube(bush.section, length, places)
    if seats and bush.fit == "weld":
        shape = welded_in(shape, _holders(bush, length, seats, pieces))
    density = job.find_material(own.material).density
    return replace(
        own,
        quantity=count,
        mass=density * bush.section.area * length * 1e-9,
        shape=shape,
        facts=(*own.facts, *_facts(bush, length, seats)),
    )


def _length(bush: Bush, seats: Sequence[BushSeat], pieces: Sequence[Piece]) -> float:
    if bush.between is not None:
        gap = next((ear_gap(piece) for piece in pieces if piece.mark == bush.between), None)
        if gap is None:
            what = f"{bush.between} has no two ears with holes on one axis"
            raise InputError(what, "a clevis or channel, or the tube's length", key=("between",))
        return gap
    if not seats:
        raise InputError("no hole names this bush, so nothing says how long it is", 'bush = "…" at a hole, or length')
    return max(seat.span for seat in seats) + 2.0 * bush.proud


def _proud(length: float, seats: Sequence[BushSeat]) -> float:
    """How far it stands out of the thickest part that it sits in, at either face, mm."""
    return (length - max(seat.span for seat in seats)) / 2.0


def _holders(bush: Bush, length: float, seats: Sequence[BushSeat], pieces: Sequence[Piece]) -> list[Holder]:
    """What it is welded into, each with its share of all such bushes."""
    made = {piece.mark: piece.quantity for piece in pieces}
    spans = {seat.held_in: seat.span for seat in seats}
    counts: Counter[str] = Counter()
    for seat in seats:
        counts[seat.held_in] += made[seat.piece.mark]
    total = sum(counts.values())
    return [Holder(mark, (length - spans[mark]) / 2.0, count / total) for mark, count in counts.items()]


def _stood(seat: BushSeat, length: float) -> Iterator[Frame]:
    """Where bushes start, x along them: in each place of what holds them."""
    if seat.sleeve is not None:
        eye = seat.sleeve.length_part
        if eye is not None and eye.frame is not None:
            yield upright(eye.frame.origin + (seat.span - length) / 2.0 * eye.frame.x, eye.frame.x)
        return
    part = seat.piece.flat_part
    for place in part.places if part is not None else ():
        axis = seat.axis @ place.frame.axes
        yield upright(place.frame.outside(seat.start) - (length - seat.span) / 2.0 * axis, axis)


def _facts(bush: Bush, length: float, seats: Sequence[BushSeat]) -> Iterator[Fact]:
    if bush.between is not None:
        yield fact("bush-in", "sits", f"between the ears of {bush.between}, on the bolt")
        return
    if seats:
        marks = ", ".join(dict.fromkeys(seat.piece.mark for seat in seats))
        hole, out = mm(seats[0].diameters[0], 2).named("hole"), _proud(length, seats)
        proud = sentence(", stands out ", mm(out).named("proud"), " each side") if out > FLUSH else ""
        how = {"weld": "welded", "press": "pressed", "slip": "sliding", "rubber": "squeezed"}[bush.fit]
        yield fact("bush-in", "sits", f"in {marks}, {how}, hole ", hole, proud)
    if (worked := limits(bush.fit, bush.section.width)) is not None:
        yield fact("bush-fit", "fit", worked)


def _goods(bush: Bush, piece: Piece, count: int) -> Hardware:
    part = piece.length_part
    long = part.length if part is not None else 0.0
    size = f"{figure(bush.section.width, 2)} x {figure(bush.section.bore, 2)} x {figure(long, 2)}"
    return Hardware("bush", Threaded(size, ""), count, sentence(f"{bush.mark}: outside x bore x length"))
