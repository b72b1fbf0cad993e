"""Bolts: what each passes through, how long it must be, and what is bought with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from fabgen.job.errors import InputError, Problems
from fabgen.job.tables.buying_tables import Bolt
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import EyeSetup, FlatPart, FlattenedEnd, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bored.bolt_lines import BoltLine, Hole, bolt_lines, free_between, holes_of
from fabgen.parts.shape.bored.facing_holes import FacingHoles, facing_holes
from fabgen.parts.shape.bored.passages import Passage
from fabgen.parts.shape.hollow.open_ends import open_ends
from fabgen.plan.buying.bolt_ways import bush_length, goes_along, passable
from fabgen.plan.buying.spacers import ITEM, spacer_places
from fabgen.plan.buying.standing_sleeves import filled_by, short_tubes, sleeves_on, with_sleeves
from fabgen.plan.plan import BoltStack, EarGap, FreeGap, Layer, Purchase, Tapped
from fabgen.shop.goods import Plug, Threaded
from fabgen.shop.strength import strength
from fabgen.shop.threaded import fasteners
from fabgen.shop.threaded.engagement import PRACTICE, TappedEngagement, tapped_engagement
from fabgen.shop.threaded.fasteners import FastenerError, TooShortError, bolt_of_length, choose_bolt, longest_bolt
from fabgen.shop.threaded.nuts import bolt_standard, choose_nut
from fabgen.shop.threads import Thread, ThreadError, parse_thread
from fabgen.wording.sentence import joined, sentence, to_paste

LEAST_FREE = 0.05
"""Parts that stand apart by less along a bolt touch, mm."""
NUT_NAMES = {"plain": "nut", "lock": "lock nut", "thin": "thin nut"}

_WASHER_CLASS = {
    "5.8": "200 HV",
    "8.8": "200 HV",
    "10.9": "300 HV",
    "12.9": "300 HV",
    "A2-70": "A2",
    "A4-80": "A4",
    "grade 5": "hardened",
    "grade 8": "hardened",
}
"""ISO 7089:2000: hardness 200 HV up to class 8.8, 300 HV up to 10.9 (12.9 and inch: common practice)."""


def bolt_stacks(job: Definitions, pieces: Sequence[Piece]) -> tuple[BoltStack, ...]:
    """The bolts of a job, each with the length its stack needs.

    Args:
        job: its [[bolt]] tables.
        pieces: what the bolts pass through.
    Raises:
        JobError: all that is wrong with them.
    """
    by_mark = {piece.mark: piece for piece in pieces}
    tubes = short_tubes(job, pieces)
    stacks: dict[int, BoltStack] = {}
    taken: set[Hole] = set()
    problems = Problems()
    # A bolt through one part alone, as through a clevis that holds what no table makes, takes the holes that are left.
    for i in sorted(range(len(job.bolt)), key=lambda i: len(set(job.bolt[i].through) & set(by_mark)) == 1):
        with problems.at("bolt", i):
            stacks[i] = _stack(i, job.bolt[i], job, by_mark, taken, tubes)
            taken.update(hole for line in stacks[i].lines if line.goes_in for hole in holes_of(line))
    problems.report()
    return tuple(stacks[i] for i in sorted(stacks))


def plug_purchases(job: Definitions, pieces: Sequence[Piece], stacks: Sequence[BoltStack] = ()) -> list[Purchase]:
    """A plug for every tube end that stays open, by section.

    Args:
        job: its [[weld]] tables close some.
        pieces: of the whole job.
        stacks: its bolts, of which those that go along a tube leave no room for plugs.
    """
    counts: Counter[Plug] = Counter()
    ends = open_ends(job, pieces, bolted=bolted_along(stacks))
    for piece in pieces:
        if (part := piece.length_part) is not None and piece.mark in ends:
            counts[Plug(part.section.nominal)] += ends[piece.mark]
    note = sentence("ends that stay open")
    return [Purchase("tube plug", plug, count, "piece", note) for plug, count in counts.items()]


def bolted_along(stacks: Iterable[BoltStack]) -> frozenset[str]:
    """The marks of the tubes along which bolts go.

    Args:
        stacks: of the whole job.
    """
    return frozenset(mark for stack in stacks for mark in stack.along)


def bolt_purchases(stacks: Sequence[BoltStack]) -> list[Purchase]:
    """Bolts, then nuts, then washers, like ones together.

    Args:
        stacks: of the whole job.
    """
    bolts: Counter[tuple[str, Threaded]] = Counter()
    nuts: Counter[tuple[str, Threaded]] = Counter()
    washers: Counter[tuple[str, Threaded]] = Counter()
    notes: dict[Threaded, str] = {}
    for stack in stacks:
        choice, grade, thread = stack.choice, stack.property_class, stack.choice.thread
        bolt = Threaded(choice.name, thread.name, choice.length, grade, stack.standard)
        notes[bolt] = stack.standard or f"sizes as {choice.standard}, which has no {grade}"
        bolts["bolt", bolt] += stack.quantity
        if choice.nut != "none":
            nut = Threaded(
                fasteners.nut_name(thread), thread.name, strength=stack.nut.strength, standard=stack.nut.standard
            )
            notes[nut] = stack.nut.ordered
            nuts[NUT_NAMES[choice.nut], nut] += stack.quantity
        if choice.washers:
            # A washer fits the diameter; the pitch makes no difference.
            standard = fasteners.washer_standard(thread)
            washer = Threaded(thread.size, thread.size, strength=_WASHER_CLASS[grade], standard=standard)
            washers["washer", washer] += choice.washers * stack.quantity
    return [
        Purchase(item, goods, count, "piece", sentence(notes.get(goods, goods.standard)))
        for wanted in (bolts, nuts, washers)
        for (item, goods), count in wanted.items()
    ]


def _stack(
    number: int,
    bolt: Bolt,
    job: Definitions,
    by_mark: Mapping[str, Piece],
    taken: Container[Hole],
    tubes: Sequence[Piece],
) -> BoltStack:
    thread = _thread(bolt)
    grade = _property_class(bolt, thread)
    ways = passable(bolt, by_mark, thread)
    lines = bolt_lines(ways, thread.diameter, bolt.quantity, taken)
    layers = tuple(
        _layer(given, i, by_mark, bolt, thread, _through(i, ways[i], lines), job.job.units)
        for i, given in enumerate(bolt.through)
    )
    apart = spacer_places(bolt.through, by_mark)
    layers = tuple(replace(each, name=ITEM, spacer=True) if i in apart else each for i, each in enumerate(layers))
    sleeves = sleeves_on(lines, layers, thread.diameter, tubes)
    filled = filled_by(sleeves, lines)
    layers = with_sleeves(layers, filled, sleeves)
    gaps = tuple(_ear_gaps(job, layers, by_mark, thread.diameter))
    free = tuple(_free_gaps(layers, lines, gaps))
    layers = _with_play(layers, gaps, free, filled)
    free = tuple(gap for gap in free if gap.places not in filled)
    washers = bolt.washers if bolt.washers is not None else 1 if bolt.nut == "none" else 2
    tapped = _tapped(bolt, thread, grade, job, by_mark) if bolt.nut == "none" else None
    grip = sum(layer.thickness for layer in layers)
    try:
        nut = choose_nut(thread, bolt.nut, grade, bolt.nut_class)
        depth = None if tapped is None else tapped.depth
        last = layers[-1].thickness if len(layers) > 1 else None
        if bolt.length is None:
            try:
                choice = choose_bolt(thread, grip, washers, bolt.nut, depth, nut.height, last)
            except TooShortError:
                # What is wrong with the stack is told by the checks: they are to see it.
                longest = longest_bolt(thread)
                choice = bolt_of_length(thread, longest, grip, washers, bolt.nut, nut.height)
        else:
            choice = bolt_of_length(thread, bolt.length, grip, washers, bolt.nut, nut.height)
    except FastenerError as fault:
        raise fault.below("thread" if bolt.length is None else "length") from None
    through_eye = any(layer.mark and isinstance(by_mark[layer.mark].shape, LinkPart) for layer in layers)
    return BoltStack(
        number,
        bolt.title,
        bolt.quantity,
        grade,
        layers,
        choice,
        nut,
        bolt_standard(thread, choice.standard, grade),
        through_eye if bolt.pivot is None else bolt.pivot,
        lines,
        free,
        gaps,
        tapped,
        sleeves,
    )


# -- between two ears --------------------------------------------------------------
def _ear_gaps(job: Definitions, layers: Sequence[Layer], by_mark: Mapping[str, Piece], bolt: float) -> Iterator[EarGap]:
    """The gaps between two ears of one part that a stack names on both sides.

    Of a part of which there are several, the two layers may be two of them: its ears are meant only where every hole
    that lets the bolt through has one that faces it.
    """
    for mark in dict.fromkeys(layer.mark for layer in layers if layer.mark):
        places = [i for i, layer in enumerate(layers) if layer.mark == mark]
        piece = by_mark[mark]
        if len(places) != 2 or not isinstance(piece.shape, FlatPart):
            continue
        pairs = [pair for pair in facing_holes(piece.shape) if _lets_through(pair, bolt)]
        wide = [hole for hole in piece.shape.all_holes if _width(hole.shape.bounds) >= bolt]
        if not pairs or (piece.quantity > 1 and len(wide) > 2 * len(pairs)):
            continue
        between = range(places[0] + 1, places[1])
        filled = sum(layers[i].thickness for i in between)
        crush = [bush for bush in job.bush if bush.between == mark and not between]
        marks = tuple(bush.mark for bush in crush if bush.mark in by_mark)
        filled += max((part.length for each in marks if (part := by_mark[each].length_part)), default=0.0)
        gap = min((pair.gap for pair in pairs), key=lambda gap: abs(gap - filled))
        yield EarGap(mark, gap, filled, between, marks)


def _lets_through(pair: FacingHoles, bolt: float) -> bool:
    return all(_width(hole.bounds) >= bolt - 1e-6 for hole in pair.holes)


def _width(bounds: tuple[float, float, float, float]) -> float:
    x0, y0, x1, y1 = bounds
    return min(x1 - x0, y1 - y0)


def _with_play(
    layers: tuple[Layer, ...],
    gaps: Sequence[EarGap],
    free: Sequence[FreeGap],
    filled: Mapping[tuple[int, int], tuple[str, ...]],
) -> tuple[Layer, ...]:
    """The layers with what is left free before the far ear, or before a part as it stands: the bolt must reach over it,
    and over a sleeve that stands there unlisted."""
    open_: dict[int, list[Layer]] = {}
    for gap in (gap for gap in free if gap.free > LEAST_FREE):
        by = filled.get(gap.places, ())
        name = ", ".join(by) or f"free before {gap.marks[1]}"
        open_[gap.places[1]] = [Layer(name, gap.free, open=True, by=by)]
    for ears in gaps:
        crush = [Layer(", ".join(ears.by), ears.filled, open=True, by=ears.by)] if ears.by else []
        play = [Layer(f"free in {ears.mark}", ears.play, open=True)] if ears.play > 1e-6 else []
        if crush or play:
            open_[ears.layers.stop] = crush + play
    return tuple(each for i, layer in enumerate(layers) for each in (*open_.get(i, ()), layer))


# -- as the parts stand ------------------------------------------------------------------
def _free_gaps(layers: Sequence[Layer], lines: Sequence[BoltLine], ears: Sequence[EarGap]) -> Iterator[FreeGap]:
    """What is free along a bolt between parts as they stand, of like bolts the most, and where there is too little the
    least; what lies between the two ears of one part is told of these."""
    inside = [range(gap.layers.start - 1, gap.layers.stop + 1) for gap in ears]
    thick = [layer.thickness for layer in layers]
    between: dict[tuple[int, int], list[tuple[float, BoltLine]]] = {}
    for line in lines:
        if not line.goes_in:
            continue
        for one, other, free in free_between(line, thick):
            between_ears = any(one in ear and other in ear for ear in inside)
            if not between_ears and other < len(layers):
                between.setdefault((one, other), []).append((free, line))
    for (one, other), each in between.items():
        marks, listed = (layers[one].mark, layers[other].mark), sum(thick[one + 1 : other])
        loose = [(free, line) for free, line in each if free > LEAST_FREE]
        tight = [(free, line) for free, line in each if free < -LEAST_FREE]
        for cases, worst in ((loose, max), (tight, min)):
            if cases:
                most = worst(free for free, _ in cases)
                yield FreeGap(marks, (one, other), listed, most, tuple(line for _, line in cases))


# -- into a tapped part --------------------------------------------------------------
def _tapped(bolt: Bolt, thread: Thread, grade: str, job: Definitions, by_mark: Mapping[str, Piece]) -> Tapped:
    """What the bolt is screwed into; the part's own metal says how deep, unless the job does."""
    wants = TappedEngagement(None, PRACTICE)
    if bolt.into is not None:
        material = job.find_material(by_mark[bolt.into].material)
        wants = tapped_engagement(thread, grade, material.group == "aluminium", strength(material).breaks)
    needed = None if wants.times is None else wants.times * thread.diameter
    depth = bolt.engagement or needed or thread.diameter
    return Tapped(bolt.into or "", depth, needed, wants.source)


def _thread(bolt: Bolt) -> Thread:
    try:
        thread = parse_thread(bolt.thread)
    except ThreadError as fault:
        raise fault.below("thread") from None
    if thread.hand != "right":
        raise InputError("hexagon bolts have right-hand threads", thread.name, key=("thread",))
    return thread


def _property_class(bolt: Bolt, thread: Thread) -> str:
    is_inch = thread.series != "M"
    if bolt.nut_class is not None and is_inch != bolt.nut_class.startswith("grade"):
        accepted = "grade 5, grade 8" if is_inch else "8 or 10 …"
        raise InputError(f"{bolt.nut_class} is no class of this thread's nuts", accepted, key=("nut_class",))
    if bolt.property_class is None:
        return "grade 5" if is_inch else "8.8"
    if bolt.property_class.startswith("grade") and not is_inch:
        raise InputError(f"{bolt.property_class} is for inch threads", "8.8 or 10.9 …", key=("property_class",))
    if is_inch and "." in bolt.property_class:
        raise InputError(f"{bolt.property_class} is for metric threads", "grade 5, grade 8", key=("property_class",))
    return bolt.property_class


def _through(layer: int, ways: Sequence[Passage], lines: Sequence[BoltLine]) -> list[Passage]:
    """What a layer's bolts pass: where they stand, or else whatever lets them through."""
    taken = [seat.passage for line in lines for seat in line.seats if seat.layer == layer]
    return [way for way in taken or ways if not way.one_wall]


def _layer(
    given: float | str,
    place: int,
    by_mark: Mapping[str, Piece],
    bolt: Bolt,
    thread: Thread,
    ways: Sequence[Passage],
    units: str,
) -> Layer:
    """What the bolt passes in one layer.

    Args:
        given: in the bolt's table, at `place`.
        by_mark: the parts.
        bolt: the table.
        thread: of the bolt.
        ways: what it passes there; none without a place or a hole.
        units: of the job.
    """
    if not isinstance(given, str):
        return Layer("", given)
    passed = {round(way.span, 6) for way in ways}
    key = ("through", place)
    if given not in by_mark:  # a bought bush goes with the part that holds it
        raise InputError(f"{given} is bought: how long is it?", "its length in place of the mark, e.g. 40", key=key)
    piece = by_mark[given]
    if piece.kind == "bush" and piece.length_part is not None:
        return Layer(given, piece.length_part.length, given)
    if bush := bush_length(piece, bolt, by_mark, thread):
        return Layer(given, bush, given)
    if isinstance(piece.shape, FlatPart):
        return Layer(given, piece.shape.thickness, given)
    if isinstance(piece.shape, LinkPart):
        widths = {side.width if isinstance(side, EyeSetup) else side.eye_width for side in piece.shape.sides}
        if len(widths) != 1 or (width := next(iter(widths))) is None:
            what = f"the rod ends of {given} have no one width of eye"
            raise InputError(what, "the width of the eye in place of the mark, e.g. 16", key=key)
        return Layer(f"{given} rod end", width, given)
    if isinstance(piece.shape, ProfilePart):
        flats = sorted(set(piece.shape.section.flat_thicknesses))
        holes = passed or {round(hole.thickness, 6) for hole in piece.shape.holes}
        if len(flats) == 1:
            return Layer(given, piece.thickness, given)
        if len(holes) == 1:
            return Layer(given, min(holes), given)
        which = sentence(f"{given} is ", piece.shape.section, ": which of its flats does the bolt go through?")
        raise InputError(which, _in_place(flats, units), key=key)
    if goes_along(ways):
        return Layer(given, max(passed), given, along=True)
    section = piece.shape.section
    flat = {end.form.thickness for end in piece.shape.ends if isinstance(end.form, FlattenedEnd) and end.form.hole}
    if flat and not piece.shape.drilled:
        return Layer(given, max(flat), given)
    if len(passed) == 1 and (flat or abs(section.width - section.depth) > 1e-6):
        return Layer(given, min(passed), given)
    if flat:
        what = f"{given} has holes in a flat and in its walls: which does the bolt go through?"
        raise InputError(what, _in_place([*flat, section.width], units), key=key)
    if abs(section.width - section.depth) > 1e-6:
        what = f"{given} is a tube of {section.words(units)}: which way does the bolt go through?"
        raise InputError(what, _in_place([section.width, section.depth], units), key=key)
    return Layer(given, section.width, given)


def _in_place(sizes: Sequence[float], units: str) -> str:
    """What is accepted in place of a mark."""
    return sentence(joined(" or ", [to_paste(size, 3) for size in sizes]), " in place of the mark").words(units)
