"""What heads, nuts and washers of bolts lie on: a flat, clear of welds, that does not let them through."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.checks.bolt.bolt_places import at_places
from fabgen.checks.bolt.bolts import SLACK, least_width
from fabgen.checks.checked import Checked, once
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.twins import Where
from fabgen.contact.solids import Solid
from fabgen.contact.tools.bolt_rooms import WASHER
from fabgen.contact.tools.bolt_seats import Bare, OnWeld, Under, bare, ends, on_weld
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.fasteners import hexagon_head
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

_LIES: dict[Under, tuple[str, str]] = {
    "round": (
        "on the round of {}",
        "lay a block with a flat on it, or give the hole a sleeve as wide as that (`sleeve = …`)",
    ),
    "falls": ("over a bend or a rounded edge of {}", "move the hole away from it"),
    "edge": ("over an edge of {}", "move the hole in from it"),
}
"""Where it lies, and what to do."""


@rule("bolt-flat", Level.WARN, source=f"heads and nuts by ISO 272, from memory; that they need a flat: {PRACTICE}")
def bolt_flat(job: Checked) -> Iterator[Found]:
    """A bolt's head and nut lie on a flat with all of what they press with: not on the round of a tube, over a bend or
    over an edge; a washer may stand out past it."""
    cases: dict[Under, list[tuple[BoltStack, Bare, Where]]] = {}
    for stack in job.plan.bolts:
        lacking: dict[tuple[str, Under], list[tuple[Bare, BoltLine]]] = {}
        for line in (line for line in stack.lines if line.goes_in):
            for each in bare(stack, line, job.contacts.fitted):
                lacking.setdefault((each.end.what, each.under), []).append((each, line))
        for (_, under), found_at in lacking.items():
            worst = min((each for each, _ in found_at), key=lambda one: round(one.near, 2))
            at = at_places(job, stack, [line for _, line in found_at])
            cases.setdefault(under, []).append((stack, worst, at))
    for under, said in cases.items():
        where, cure = _LIES[under]
        names = [stack.name for stack, *_ in said]
        words = [
            sentence(f"{_whose(stack, names)}{one.end.what} lies {where.format(one.end.mark)}", at, ", flat to ",
                     mm(one.near), " from its middle, ", mm(one.needed), " needed")
            for stack, one, at in said
        ]  # fmt: skip
        yield found(named(words, "; ", FEW), f": {cure}", about=names)


@rule("bolt-on-weld", Level.WARN, source=f"washers by ISO 7089, from memory; a leg as the thinner metal: {PRACTICE}")
def bolt_on_weld(job: Checked) -> Iterator[Found]:
    """A washer, and a head or nut without one, lies clear of the welds of what stands beside it."""
    cases: list[tuple[BoltStack, OnWeld, Where]] = []
    for stack in job.plan.bolts:
        over = [
            (each, line)
            for number, line in enumerate(stack.lines)
            if line.goes_in
            for end in ends(stack, line)
            if (each := on_weld(stack, number, end, _welded_to(job, end.mark))) is not None
        ]
        if over:
            worst = min((each for each, _ in over), key=lambda each: round(each.near - each.needed, 2))
            cases.append((stack, worst, at_places(job, stack, [line for _, line in over])))
    if cases:
        names = [stack.name for stack, *_ in cases]
        words = [
            sentence(f"{_whose(stack, names)}{one.what} lies on the weld of {one.mark}", at, ", whose leg is ",
                     mm(one.leg), f": {one.mark} is ", mm(one.near), " from its middle, ", mm(one.needed), " needed")
            for stack, one, at in cases
        ]  # fmt: skip
        yield found(named(words, "; ", FEW), ": move the hole, or leave the weld away there", about=names)


@rule("bolt-hole-wide", Level.STOP, Level.WARN, source=f"washers by ISO 7089, from memory; their cover: {PRACTICE}")
def bolt_hole_wide(job: Checked) -> Iterator[Found]:
    """A washer, or a head or nut without one, covers the hole or slot that it lies on wherever the bolt sits in it."""
    by_mark = {piece.mark: piece for piece in job.pieces}
    for stack in job.plan.bolts:
        told: set[str] = set()
        for press in _presses(stack):
            if press.on in told or press.on not in by_mark or (width := _narrowest(stack, by_mark[press.on])) is None:
                continue
            if width < (press.width + stack.choice.thread.diameter) / 2.0:
                continue
            told.add(press.on)
            falls = width >= press.width
            where = at_places(job, stack, [line for line in stack.lines if _width_in(line, press.on) > width - SLACK])
            yield found(f"its {press.what} of ", mm(press.width), f"{press.under} ",
                        "falls through" if falls else "slips into", " the ", mm(width),
                        f" hole of {press.on}", where, ": a plate or a larger washer under it, or a narrower hole",
                        level=Level.STOP if falls else Level.WARN, about=stack.name)  # fmt: skip


def _whose(stack: BoltStack, names: Sequence[str]) -> str:
    """'its ' of the only one, else 'bolt 2: '."""
    return "its " if len(set(names)) == 1 else f"{stack.name}: "


def _welded_to(job: Checked, mark: str) -> list[tuple[Solid, float]]:
    """What is welded to a part: what lies against it and is not bolted to it, with the leg of its weld, mm."""
    if mark not in (known := _welds(job)):
        given = {
            other: weld.leg or (weld.throat or 0.0) * math.sqrt(2.0)
            for weld in job.job.weld
            for other in weld.parts
            if mark in weld.parts
        }
        thick = {piece.mark: piece.thickness for piece in job.pieces}
        held = [{layer.mark for layer in stack.layers} for stack in job.plan.bolts]
        known[mark] = [
            (solid, given.get(solid.mark) or min(thick[mark], thick[solid.mark]))
            for solid in job.contacts.seated_on(mark)
            if solid.kind not in ("bush", "link") and not any({mark, solid.mark} <= marks for marks in held)
        ]
    return known[mark]


@once
def _welds(job: Checked) -> dict[str, list[tuple[Solid, float]]]:
    """What is welded to each part, as it is asked for."""
    return {}


@dataclass(frozen=True, slots=True)
class _Press:
    """What lies on the first or last part of a bolt: 'washer' with ' under its nut', or 'nut'; the mark of what it lies
    on, and its width, mm."""

    what: str
    under: str
    on: str
    width: float


def _presses(stack: BoltStack) -> Iterator[_Press]:
    """At the head, then at the nut."""
    choice, head = stack.choice, hexagon_head(stack.choice.thread.bolt)
    if head is None:
        return
    layers = [layer for layer in stack.layers if not layer.open]
    washers = choice.washers_at_head, choice.washers - choice.washers_at_head
    for what, count, layer in zip(("head", "nut"), washers, (layers[0], layers[-1]), strict=True):
        if what == "nut" and choice.nut == "none":
            return
        if count:
            yield _Press("washer", f" under its {what}", layer.mark, WASHER * choice.thread.diameter)
        else:
            yield _Press(what, "", layer.mark, head.across_flats)


def _narrowest(stack: BoltStack, piece: Piece) -> float | None:
    """The hole that a bolt passes in a part: where it stands, else the narrowest that lets it through, mm."""
    taken = max((_width_in(line, piece.mark) for line in stack.lines), default=0.0)
    if taken or not isinstance(piece.shape, FlatPart):
        return taken or None
    widths = [least_width(hole) for hole in piece.shape.all_holes]
    return min((width for width in widths if width >= stack.choice.thread.diameter - 1e-3), default=None)


def _width_in(line: BoltLine, mark: str) -> float:
    """The widest hole that a bolt passes in a part where it stands, mm; 0 of none."""
    passed = (seat.passage for seat in line.seats if seat.passage.mark == mark)
    return max((way.width for passage in passed for way in passage.ways), default=0.0)


RULES = (bolt_flat, bolt_on_weld, bolt_hole_wide)
