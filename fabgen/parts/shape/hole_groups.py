"""A flat part's holes as a drawing names them: like ones together, patterns, a name for each that needs one.

Checks and documents use the same words, so that what a check says can be found on the drawing.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from fabgen.geometry.plane.outline import Circle, Loop, Xy
from fabgen.parts.piece import Fact, FlatPart, Hole, fact
from fabgen.wording.figures import MILLIMETRES, Figures, figure
from fabgen.wording.sentence import Sentence, joined, sentence, sizes

NEAR = 0.05
"""Positions closer than this are one position, mm."""
MANY_HOLES = 6
"""More holes than this outside patterns are named by letters, their places given in a table."""


@dataclass(frozen=True)
class BoltCircle:
    """Like holes evenly spaced on a circle; `start` is the direction of one of them, rad."""

    centre: Xy
    diameter: float
    start: float


@dataclass(frozen=True)
class Lattice:
    """Like holes in rows and columns of even pitch; a single row has one pitch of 0."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]


@dataclass(frozen=True)
class HoleGroup:
    """Holes alike in shape, size and direction; `label` is what each is called."""

    label: str
    holes: tuple[Hole, ...]
    pattern: BoltCircle | Lattice | None
    figures: Figures = MILLIMETRES

    @property
    def centres(self) -> list[Xy]:
        return [centre_of(hole.shape) for hole in self.holes]

    @property
    def callout(self) -> str:
        count = len(self.holes)
        text = f"{count} x {self.label}" if count > 1 else self.label
        if isinstance(self.pattern, BoltCircle):
            text += f" on Ø{self.figures.size(self.pattern.diameter)}"
            turn = math.degrees(self.pattern.start)
            if min(turn % 90.0, 90.0 - turn % 90.0) > 0.05:
                text += f", one at {figure(turn)}°"
        return text


@dataclass(frozen=True)
class Slot:
    """A hole with straight sides and round ends: length over all, width, direction (rad, 0 to pi)."""

    length: float
    width: float
    turn: float


def as_slot(shape: Loop) -> Slot | None:
    """The slot that the outline is, or None."""
    if isinstance(shape, Circle) or len(shape.vertices) != 4:
        return None
    edges = list(shape.edges())
    caps = [e for e in edges if e.is_arc and abs(abs(e.sweep) - math.pi) < 1e-3]
    sides = [e for e in edges if not e.is_arc]
    if len(caps) != 2 or len(sides) != 2:
        return None
    (x0, y0), (x1, y1) = sides[0].start, sides[0].end
    width = 2.0 * caps[0].radius
    return Slot(sides[0].chord + width, width, math.atan2(y1 - y0, x1 - x0) % math.pi)


def centre_of(shape: Loop) -> Xy:
    if isinstance(shape, Circle):
        return (shape.x, shape.y)
    x0, y0, x1, y1 = shape.bounds
    return ((x0 + x1) / 2.0, (y0 + y1) / 2.0)


def hole_name(hole: Hole, figures: Figures = MILLIMETRES) -> str:
    """'Ø13.5 for M12', 'slot 30 x 13.5 for M12', 'cut-out 40 x 25'."""
    shape = hole.shape
    if isinstance(shape, Circle) and hole.drilled:
        return f"{_for_bolt(f'Ø{figures.size(shape.diameter, 2)}', hole.bolt or hole.bush)}, drilled last"
    if isinstance(shape, Circle):
        text = _for_bolt(f"Ø{figures.size(shape.diameter, 2)}", hole.bolt or hole.bush)
        return f"{text} {hole.purpose}" if hole.purpose else text
    slot = as_slot(shape)
    if slot is not None:
        text = f"slot {figures.size(slot.length)} x {figures.size(slot.width, 2)}{_askew(slot)}"
        return _for_bolt(text, hole.bolt or hole.bush)
    x0, y0, x1, y1 = shape.bounds
    return f"cut-out {figures.size(x1 - x0)} x {figures.size(y1 - y0)}"


def hole_words(hole: Hole) -> Sentence:
    """The same with its figures as values, which are in inches, with mm beside, in inch jobs."""
    shape, bolt = hole.shape, _for_bolt("", hole.bolt or hole.bush)
    if isinstance(shape, Circle):
        use = ", drilled last" if hole.drilled else f" {hole.purpose}" if hole.purpose else ""
        return sentence("Ø", sizes(shape.diameter), bolt + use)
    slot = as_slot(shape)
    if slot is None:
        x0, y0, x1, y1 = shape.bounds
        return sentence("cut-out ", sizes(x1 - x0, y1 - y0, decimals=1))
    return sentence("slot ", sizes(slot.length, decimals=1), " x ", sizes(slot.width), _askew(slot), bolt)


def _askew(slot: Slot) -> str:
    """' at 30°' of a slot that lies neither level nor upright."""
    turn = math.degrees(slot.turn)
    return f" at {figure(turn)}°" if min(turn % 90.0, 90.0 - turn % 90.0) > 0.05 else ""


def hole_facts(holes: Sequence[Hole]) -> list[Fact]:
    """The holes in words, like ones counted."""
    counts = Counter(hole_words(hole) for hole in holes)
    words = joined(", ", [sentence(f"{n} x ", name) if n > 1 else name for name, n in counts.items()])
    last = " (drilled last: not cut, its centre marked; drill it when the part is folded)"
    return [fact("holes", "holes", words, last if any(hole.drilled for hole in holes) else "")] if counts else []


def _for_bolt(text: str, bolt: str) -> str:
    return f"{text} for {bolt}" if bolt else text


def hole_groups(part: FlatPart, figures: Figures = MILLIMETRES) -> list[HoleGroup]:
    """Like holes together, in the order they are first met; slots apart by direction."""
    found: dict[tuple[str, int], list[Hole]] = {}
    for hole in part.all_holes:
        slot = as_slot(hole.shape)
        direction = round(math.degrees(slot.turn)) % 180 if slot else 0
        found.setdefault((hole_name(hole, figures), direction), []).append(hole)
    groups: list[HoleGroup] = []
    for (label, _), holes in found.items():
        centres = [centre_of(hole.shape) for hole in holes]
        round_ = bolt_circle(centres, isinstance(part.outline, Circle) or _round_a_hole(centres, part.all_holes))
        groups.append(HoleGroup(label, tuple(holes), round_ or lattice(centres), figures))
    return groups


def _round_a_hole(centres: Sequence[Xy], holes: Sequence[Hole]) -> bool:
    """Whether a round hole stands in the middle of the points."""
    middle = (sum(p[0] for p in centres) / len(centres), sum(p[1] for p in centres) / len(centres))
    return any(isinstance(hole.shape, Circle) and math.dist(centre_of(hole.shape), middle) < NEAR for hole in holes)


def bolt_circle(centres: Sequence[Xy], on_disc: bool = False) -> BoltCircle | None:
    """The circle that the points stand on evenly, three or more; four at the corners of an upright
    square are taken for a grid unless the part is a disc or a hole stands in their middle (`on_disc`)."""
    count = len(centres)
    if count < 3:
        return None
    cx, cy = sum(p[0] for p in centres) / count, sum(p[1] for p in centres) / count
    radii = [math.hypot(x - cx, y - cy) for x, y in centres]
    if max(radii) - min(radii) > NEAR or min(radii) < NEAR:
        return None
    turns = sorted(math.atan2(y - cy, x - cx) % (2.0 * math.pi) for x, y in centres)
    step = 2.0 * math.pi / count
    if any(abs(b - a - step) * radii[0] > NEAR for a, b in pairwise(turns)):
        return None
    if count == 4 and not on_disc and abs(math.remainder(turns[0] - math.pi / 4.0, math.pi / 2.0)) < 1e-3:
        return None
    return BoltCircle((cx, cy), 2.0 * radii[0], turns[0])


def lattice(centres: Sequence[Xy]) -> Lattice | None:
    """Rows and columns that the points fill, evenly pitched where there are three or more."""
    xs, ys = distinct(p[0] for p in centres), distinct(p[1] for p in centres)
    if len(centres) < 3 or len(xs) * len(ys) != len(centres):
        return None
    if not (_even(xs) and _even(ys)):
        return None
    return Lattice(tuple(xs), tuple(ys))


def _even(values: Sequence[float]) -> bool:
    steps = [b - a for a, b in pairwise(values)]
    return not steps or max(steps) - min(steps) <= NEAR


def distinct(values: Iterable[float]) -> list[float]:
    """Ascending, with values closer than NEAR taken as one."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > NEAR:
            kept.append(value)
    return kept


# -- names ---------------------------------------------------------------------
@dataclass(frozen=True)
class TabledHole:
    """A hole whose position is given in the table: its name there, e.g. 'A3'."""

    name: str
    group: HoleGroup
    hole: Hole
    centre: Xy


def tabled_holes(groups: Sequence[HoleGroup]) -> list[TabledHole]:
    """The holes that stand in no pattern, when they are too many to dimension one by one; else none."""
    loose = [group for group in groups if group.pattern is None]
    if sum(len(group.holes) for group in loose) <= MANY_HOLES:
        return []
    return [
        TabledHole(f"{_letter(g)}{i + 1}", group, hole, centre)
        for g, group in enumerate(loose)
        for i, (hole, centre) in enumerate(zip(group.holes, group.centres, strict=True))
    ]


def _letter(index: int) -> str:
    return "ABCDEFGHJKLMNPRSTUVWXYZ"[index % 23] * (1 + index // 23)
