"""Bolts: what each passes through, how long it must be, and what is bought with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from fabgen.job.errors import InputError, JobError, Problem
from fabgen.job.tables.definitions import Bolt, Definitions
from fabgen.parts.piece import EyeSetup, FlatPart, LinkPart, Piece
from fabgen.plan.plan import BoltStack, Layer, Purchase
from fabgen.shop import fasteners
from fabgen.shop.fasteners import FastenerError, choose_bolt
from fabgen.shop.goods import Threaded
from fabgen.shop.threads import Thread, ThreadError, parse_thread
from fabgen.wording.sentence import sentence

NUT_NAMES = {"plain": "nut", "lock": "lock nut", "thin": "thin nut"}

_NUT_CLASS = {"5.8": "class 5", "8.8": "class 8", "10.9": "class 10", "12.9": "class 12"}
"""Nuts go with bolts of the same first figure: ISO 898-2:2012, 8."""
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
    stacks: list[BoltStack] = []
    problems: list[Problem] = []
    for i, bolt in enumerate(job.bolt):
        try:
            stacks.append(_stack(i, bolt, by_mark))
        except InputError as fault:
            problems.append(Problem.of(("bolt", i), fault))
    if problems:
        raise JobError(problems)
    return tuple(stacks)


def bolt_purchases(stacks: Sequence[BoltStack]) -> list[Purchase]:
    """Bolts, then nuts, then washers, like ones together.

    Args:
        stacks: of the whole job.
    """
    bolts: Counter[tuple[str, Threaded]] = Counter()
    nuts: Counter[tuple[str, Threaded]] = Counter()
    washers: Counter[tuple[str, Threaded]] = Counter()
    for stack in stacks:
        choice, strength, thread = stack.choice, stack.property_class, stack.choice.thread
        bolts["bolt", Threaded(choice.name, thread.name, choice.length, strength, choice.standard)] += stack.quantity
        if choice.nut != "none":
            nut_class, standard = _NUT_CLASS.get(strength, strength), fasteners.nut_standard(thread, choice.nut)
            nut = Threaded(_size(thread), thread.name, strength=nut_class, standard=standard)
            nuts[NUT_NAMES[choice.nut], nut] += stack.quantity
        if choice.washers:
            # A washer fits the diameter; the pitch makes no difference.
            standard = fasteners.washer_standard(thread)
            washer = Threaded(thread.size, thread.size, strength=_WASHER_CLASS[strength], standard=standard)
            washers["washer", washer] += choice.washers * stack.quantity
    return [
        Purchase(item, goods, count, "piece", sentence(goods.standard))
        for wanted in (bolts, nuts, washers)
        for (item, goods), count in wanted.items()
    ]


def _size(thread: Thread) -> str:
    coarse = thread.series == "M" and parse_thread(thread.size).pitch == thread.pitch
    return thread.size if coarse else thread.name


def _stack(number: int, bolt: Bolt, by_mark: Mapping[str, Piece]) -> BoltStack:
    thread = _thread(bolt)
    layers = tuple(_layer(given, i, by_mark) for i, given in enumerate(bolt.through))
    washers = bolt.washers if bolt.washers is not None else 1 if bolt.nut == "none" else 2
    try:
        choice = choose_bolt(thread, sum(layer.thickness for layer in layers), washers, bolt.nut, bolt.engagement)
    except FastenerError as fault:
        raise fault.below("thread") from None
    return BoltStack(number, bolt.title, bolt.quantity, _property_class(bolt, thread), layers, choice)


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
    if bolt.property_class is None:
        return "grade 5" if is_inch else "8.8"
    if bolt.property_class.startswith("grade") and not is_inch:
        raise InputError(f"{bolt.property_class} is for inch threads", "8.8 or 10.9 …", key=("property_class",))
    if is_inch and bolt.property_class in _NUT_CLASS:
        raise InputError(f"{bolt.property_class} is for metric threads", "grade 5, grade 8", key=("property_class",))
    return bolt.property_class


def _layer(given: float | str, place: int, by_mark: Mapping[str, Piece]) -> Layer:
    if not isinstance(given, str):
        return Layer("", given)
    piece = by_mark[given]
    if isinstance(piece.shape, FlatPart):
        return Layer(given, piece.shape.thickness, given)
    key = ("through", place)
    if isinstance(piece.shape, LinkPart):
        widths = {side.width if isinstance(side, EyeSetup) else side.eye_width for side in piece.shape.sides}
        if len(widths) != 1 or (width := next(iter(widths))) is None:
            what = f"the rod ends of {given} have no one width of eye"
            raise InputError(what, "the width of the eye in place of the mark, e.g. 16", key=key)
        return Layer(f"{given} rod end", width, given)
    section = piece.shape.section
    if abs(section.width - section.depth) > 1e-6:
        what = f"{given} is a tube of {section}: which way does the bolt go through?"
        raise InputError(what, f"{section.width:g} or {section.depth:g} in place of the mark", key=key)
    return Layer(given, section.width, given)
