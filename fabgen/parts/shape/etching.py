"""What is etched on sheet parts: the part's number, and which way each bend folds.

All are lines, arcs and single-stroke text, clear of edges, holes and bend zones.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from fabgen.geometry.plane.lettering import text_box
from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.plane.regions import cut_region, region
from fabgen.parts.piece import FlatBend, Hole, Mark
from fabgen.wording.sentence import EMPTY, Sentence, mm, sentence

NUMBER_HEIGHTS = (8.0, 6.0, 5.0, 4.0, 3.0, 2.5)
"""Letter heights of part numbers that are tried, mm; the least one is still read on etched steel (common practice, no
source)."""
OWN_HEIGHT = 5.0
"""Letter height of a number that has its own place, mm."""
MARK_ROOM = 2.0
"""Least metal left clear round an etched text, mm; half the letter height where that is more."""
LETTERS = (4.0, 3.0)
"""Heights of fold texts that are tried, mm."""
TICK = 6.0
"""Length of the ticks at the ends of a bend line, mm, a quarter of the bend at most."""
CROSS = 3.0
"""Half the length of the lines that cross where a hole is to be drilled, mm."""
LINE_ROOM = 1.0
"""An etched line ends this far from the edge of the metal, mm."""
PLACES = (-0.42, -0.38, -0.34, -0.3, -0.25, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3, 0.4)
"""Where along a bend its text is tried, as a share of its length from its middle: by its left end first, so
that the middle stays free."""


@dataclass(frozen=True, eq=False)
class Metal:
    """The flat that is etched on, its lower left corner at the origin."""

    outline: Loop
    holes: Sequence[Hole]
    bends: Sequence[FlatBend] = ()

    def clipped(self, line: Sequence[Xy]) -> Iterator[Mark]:
        """The parts of a line that lie on flat metal, well off its edges."""
        on_metal = shapely.LineString(line).intersection(self.flat(LINE_ROOM))
        for part in getattr(on_metal, "geoms", [on_metal]):
            if part.length > LINE_ROOM:
                yield Mark(line=tuple((float(x), float(y)) for x, y in part.coords))

    def bears(self, loop: Loop) -> bool:
        """Whether all of a closed line lies on flat metal."""
        ring = shapely.LinearRing(loop.points(0.01))
        return bool(self.flat(LINE_ROOM).contains(ring))

    def flat(self, space: float) -> shapely.Polygon:
        """The metal outside bend zones, `space` mm off its edges."""
        metal = cut_region(self.outline, (hole.shape for hole in self.holes)).buffer(-space)
        return metal.difference(shapely.union_all([_zone(bend) for bend in self.bends])) if self.bends else metal


def _zone(bend: FlatBend) -> shapely.Polygon:
    line = shapely.LineString([bend.start, bend.end])
    return line.buffer(bend.bend.allowance / 2.0, cap_style="flat")


def centre_cross(metal: Metal, hole: Hole) -> Iterator[Mark]:
    """The cross that a hole is drilled by."""
    x0, y0, x1, y1 = hole.shape.bounds
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    yield from metal.clipped([(x - CROSS, y), (x + CROSS, y)])
    yield from metal.clipped([(x, y - CROSS), (x, y + CROSS)])


# -- folds ----------------------------------------------------------------------
def fold_marks(metal: Metal, taken: Sequence[Mark]) -> tuple[Mark, ...]:
    """'UP 90' or 'DOWN 90' beside each bend where there is room for it, and ticks at both ends of the bend
    lines that fold up.

    Up is toward the etched side, which is the hollow of the bend; on the outside of one that folds down a
    tick could start a crack, so there the text alone is etched.
    """
    marks = list(taken)
    made: list[Mark] = []
    for bend in metal.bends:
        ticks = _ticks(bend) if bend.up and not bend.bend.is_hem else []
        text = _fold_text(metal, bend, marks)
        made += [*ticks, *([] if text is None else [text])]
        marks += [] if text is None else [text]
    return tuple(made)


def fold_words(bend: FlatBend) -> str:
    """'UP 90', 'HEM DOWN'."""
    way = "UP" if bend.up else "DOWN"
    return f"HEM {way}" if bend.bend.is_hem else f"{way} {math.degrees(bend.bend.angle):.3g}"


def _ticks(bend: FlatBend) -> list[Mark]:
    length = math.dist(bend.start, bend.end)
    long = min(TICK, length / 4.0)
    ux, uy = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    (x0, y0), (x1, y1) = bend.start, bend.end
    ends = (((x0, y0), (x0 + long * ux, y0 + long * uy)), ((x1 - long * ux, y1 - long * uy), (x1, y1)))
    return [Mark(line=line) for line in ends]


def _fold_text(metal: Metal, bend: FlatBend, taken: Sequence[Mark]) -> Mark | None:
    """The text beside a bend, as near its left end as there is room on either side."""
    text, length = fold_words(bend), math.dist(bend.start, bend.end)
    ux, uy = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    middle = ((bend.start[0] + bend.end[0]) / 2.0, (bend.start[1] + bend.end[1]) / 2.0)
    others = shapely.union_all([_box_of(mark) for mark in taken])
    for height in LETTERS:
        left, low, right, high = text_box(text, height)
        width, tall = right - left, high - low
        space = max(MARK_ROOM, height / 2.0)
        room = metal.flat(space).difference(others.buffer(space))
        shapely.prepare(room)
        off = bend.bend.allowance / 2.0 + space + abs(uy) * width / 2.0 + abs(ux) * tall / 2.0
        for share in PLACES:
            for way in (1.0, -1.0):
                cx = middle[0] + share * length * ux - way * (off + 0.01) * uy
                cy = middle[1] + share * length * uy + way * (off + 0.01) * ux
                box = shapely.box(cx - width / 2.0, cy - tall / 2.0, cx + width / 2.0, cy + tall / 2.0)
                if room.contains(box):
                    return Mark((cx - width / 2.0 - left, cy - tall / 2.0 - low), text, height)
    return None


def _box_of(mark: Mark) -> shapely.Polygon:
    if mark.text:
        x0, y0, x1, y1 = text_box(mark.text, mark.height)
        return shapely.box(mark.at[0] + x0, mark.at[1] + y0, mark.at[0] + x1, mark.at[1] + y1)
    points = mark.line or tuple((float(x), float(y)) for x, y in mark.curve.points(0.1)) if mark.curve else mark.line
    return shapely.LineString(points).buffer(0.1)


# -- the part's number ----------------------------------------------------------
Strip = tuple[Sequence[Xy], float]
"""A line that a text keeps clear of, and half its width, mm."""


def etched_number(
    text: str, metal: Metal, lines: Sequence[Mark] = (), strips: Sequence[Strip] = ()
) -> tuple[tuple[Mark, ...], Sentence]:
    """The part's number near the middle of the metal's lower half, clear of edges, holes and bends.

    Args:
        lines: other marks, and `strips`, lines with half their width, that it keeps clear of as well.
    Returns: the mark, if any, and words that say so where no letter height finds room.
    """
    if not text.strip():
        return (), EMPTY
    zones: list[Strip] = [((bend.start, bend.end), bend.bend.allowance / 2.0) for bend in metal.bends]
    zones += [(mark.line or _ring(mark), 0.0) for mark in lines]
    taken = [region(hole.shape, 0.1) for hole in metal.holes]
    taken += [shapely.LineString(line).buffer(half) for line, half in (*zones, *strips)]
    cut = shapely.union_all(taken)
    mark = _number(text, metal.outline, cut)
    if mark is not None:
        return (mark,), EMPTY
    # One letter more never fits where fewer do not.
    fits = bisect_left(range(1, len(text)), True, key=lambda n: _number(text[:n], metal.outline, cut) is None)
    of_it = f"its first {fits} letters would fit" if fits > 1 else f"{'one letter' if fits else 'no letter'} would fit"
    return (), sentence(f'none: no room for "{text}" ', mm(NUMBER_HEIGHTS[-1]), f" high; {of_it}")


def _ring(mark: Mark) -> list[Xy]:
    points = [] if mark.curve is None else [(float(x), float(y)) for x, y in mark.curve.points(0.1)]
    return points + points[:1]


def _number(text: str, outline: Loop, cut: shapely.Geometry) -> Mark | None:
    """The text as high as there is room for it on the outline less `cut`."""
    metal = region(outline, 0.1)
    x0, y0, x1, y1 = outline.bounds
    most = max(NUMBER_HEIGHTS[-2], min(x1 - x0, y1 - y0) / 8.0)
    for height in (h for h in NUMBER_HEIGHTS if h <= most):
        left, low, right, high = text_box(text, height)
        width, tall = right - left, high - low
        if width > x1 - x0 or tall > y1 - y0:
            continue
        space = max(MARK_ROOM, height / 2.0)
        room = metal.buffer(-space).difference(cut.buffer(space))
        shapely.prepare(room)
        grid = np.meshgrid(np.linspace(x0, x1 - width, 25), np.linspace(y0, y1 - tall, 25))
        across, up = grid[0].ravel(), grid[1].ravel()
        clear = shapely.contains(room, shapely.box(across, up, across + width, up + tall))
        if clear.any():
            # Nearest to the middle of the lower half: out of the way, and well off the edge.
            aside = np.hypot(across + width / 2.0 - (x0 + x1) / 2.0, up + tall / 2.0 - (0.75 * y0 + 0.25 * y1))
            best = int(np.argmin(np.where(clear, np.round(aside, 6), np.inf)))
            return Mark((float(across[best]) - left, float(up[best]) - low), text, height)
    return None
