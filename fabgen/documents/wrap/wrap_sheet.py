"""A developed tube end, or the patch of a hole in a tube, as flat lines for a plotter or an engraver.

For vinyl or film: the developed width is the tube's own, with no paper counted.  It lies on the
tube's outside as the printed template does (`wrap.unrolled`, `hole_patch.py`).  `dxf.py` and
`svg_file.py` write it to files.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.documents.render.words import figure
from fabgen.documents.wrap.fold_wrap import FoldWrap
from fabgen.documents.wrap.hole_patch import Patch, patch
from fabgen.documents.wrap.wrap import Wrap, unrolled
from fabgen.documents.wrap.wrap_marks import CLEAR, Stroke, fold_lines, moved, wrap_marks
from fabgen.geometry.plane.lettering import strokes, text_box
from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.parts.piece import DrilledHole, LengthPart, Opening, Piece, WorkedEnd

_SMOOTH = 0.005
_CROSS = 5.0
"""Half the length of the centre cross in a hole, mm; a small hole's is shorter."""

_FOLD_TICK = 2.0
"""A fold line's ends at a patch's edges, mm: between them it would run through hole and letters."""


Shape = Loop | Sequence[Xy]
"""Lines and arcs, or a line from point to point, mm."""


@dataclass(frozen=True, eq=False)
class FlatSheet:
    """What a machine cuts and marks, in mm from the lower left corner: the closed outline `cut`, closed `holes`,
    `folds` (bend lines, or a rectangular tube's tangent points), and `marks` in single strokes or closed curves."""

    name: str
    width: float
    height: float
    cut: Shape
    holes: Sequence[Shape] = ()
    folds: Sequence[Stroke] = ()
    marks: Sequence[Shape] = ()


def wrap_sheet(piece: Piece, end: WorkedEnd) -> FlatSheet:
    """The tube's outside unrolled at one end, closed by a straight edge square to the tube.

    Raises TypeError when the piece is no length of section.
    """
    if not isinstance(piece.shape, LengthPart):
        raise TypeError(f"{piece.mark} is no length of section")
    wrap = unrolled(piece.shape, end)
    return FlatSheet(
        name=f"{piece.mark} {end.at}",
        width=wrap.width,
        height=wrap.height,
        cut=wrap_outline(wrap),
        folds=list(fold_lines(wrap)),
        marks=[*wrap_marks(piece, end, wrap), *([*hole.edge, hole.edge[0]] for hole in wrap.holes)],
    )


def hole_sheet(opening: Opening | DrilledHole, count: int = 1) -> FlatSheet:
    """The patch of a hole in a main.

    Args:
        count: so many places of the tube it serves.
    """
    flat = patch(opening)
    drill = isinstance(opening, DrilledHole)
    x0, y0, _, _ = flat.box
    edge = [(x - x0, y - y0) for x, y in (*flat.edge, flat.edge[0])]
    return FlatSheet(
        name=f"{opening.main} {opening.name}" if drill else f"{opening.main} hole for {opening.name}",
        width=flat.width,
        height=flat.height,
        cut=[(0.0, 0.0), (flat.width, 0.0), (flat.width, flat.height), (0.0, flat.height)],
        holes=[_smoothed(edge)[:-1]],
        folds=[
            [(u - x0, v), (u - x0, v + _FOLD_TICK)]
            for u in flat.folds
            for v in (CLEAR, flat.height - CLEAR - _FOLD_TICK)
        ],
        marks=moved(_hole_marks(flat, count), -x0, -y0),
    )


def wrap_outline(wrap: Wrap | FoldWrap) -> list[Xy]:
    """The closed outline of a wrap: the line, and back along the straight edge."""
    return [*_smoothed(wrap.cut_edge()), (wrap.width, wrap.height), (0.0, wrap.height)]


def _smoothed(points: Sequence[Xy]) -> list[Xy]:
    """The chain without points that lie within 0.005 mm of the line between their neighbours:
    a plotter follows few points more smoothly than many."""
    from shapely import LineString

    return list(LineString(points).simplify(_SMOOTH, preserve_topology=False).coords)


# -- what is etched on a patch -----------------------------------------------------
def _hole_marks(flat: Patch, count: int) -> Iterator[Stroke]:
    """The two centre lines outside the hole, the cross in it, the main's top line, and what they are."""
    x0, y0, x1, y1 = flat.box
    left, low, right, high = flat.hole
    cross = min(_CROSS, *(0.4 * abs(reach) for reach in flat.hole))
    yield [(-cross, 0.0), (cross, 0.0)]
    yield [(0.0, -cross), (0.0, cross)]
    yield [(x0 + CLEAR, 0.0), (left - CLEAR, 0.0)]
    yield [(right + CLEAR, 0.0), (x1 - CLEAR, 0.0)]
    yield [(0.0, y0 + CLEAR), (0.0, low - CLEAR)]
    yield [(0.0, high + CLEAR), (0.0, y1 - CLEAR)]
    if flat.saw_cut is not None:
        yield [(x0 + CLEAR, flat.saw_cut), (left - CLEAR, flat.saw_cut)]
        yield [(right + CLEAR, flat.saw_cut), (x1 - CLEAR, flat.saw_cut)]
    if flat.top is not None and abs(flat.top) > CLEAR:
        if left - CLEAR < flat.top < right + CLEAR:
            yield [(flat.top, y0 + CLEAR), (flat.top, low - CLEAR)]
            yield [(flat.top, high + CLEAR), (flat.top, y1 - CLEAR)]
        else:
            yield [(flat.top, y0 + CLEAR), (flat.top, y1 - CLEAR)]
    yield from _hole_words(flat, count)


def _hole_words(flat: Patch, count: int) -> Iterator[Stroke]:
    opening = flat.opening
    station, along = opening.edge.centre
    x0, y0, x1, y1 = flat.box
    _, low, right, high = flat.hole
    side = f"{figure(abs(station))} MM {'RIGHT' if station > 0.0 else 'LEFT'} OF TOP" if abs(station) >= 0.05 else "TOP"
    above, below = (high + CLEAR, y1 - CLEAR), (y0 + CLEAR, low - CLEAR)
    right_of_line, left_of_line = _widest(0.0, x1, flat.top), _widest(x0 + 5.5, 0.0, flat.top)
    what = opening.name.upper() if isinstance(opening, DrilledHole) else f"FOR {opening.name}"
    yield from _fitted(f"{opening.main} {what}", right_of_line, above)
    yield from _fitted(side, right_of_line, below)
    yield from _fitted(f"TO {opening.main} FINISH", left_of_line, above)
    foot, tip = high + CLEAR, y1 - CLEAR
    yield [(x0 + 4.0, foot), (x0 + 4.0, tip)]
    yield [(x0 + 2.2, tip - 3.0), (x0 + 4.0, tip), (x0 + 5.8, tip - 3.0)]
    beside = _widest(right, x1, flat.top)
    place = ("FROM START", f"{figure(along)} MM") if count == 1 else ("ALIKE", f"{count} HOLES")
    if flat.saw_cut is not None:
        place = ("FROM CUT", f"{figure(abs(flat.saw_cut))} MM")
    yield from _fitted(place[1], beside, (CLEAR, CLEAR + 4.5))
    yield from _fitted(place[0], beside, (-CLEAR - 4.5, -CLEAR))


def _widest(first: float, last: float, between: float | None) -> tuple[float, float]:
    """The wider of the two parts into which a line parts the way from `first` to `last`, clear of both ends."""
    if between is None or not first < between < last:
        return first + CLEAR, last - CLEAR
    low, high = (first, between) if between - first > last - between else (between, last)
    return low + CLEAR, high - CLEAR


def _fitted(text: str, across: tuple[float, float], up: tuple[float, float], tallest: float = 4.5) -> Iterator[Stroke]:
    """The text as large as there is room for, in the middle; nothing where that would be under 1.5 mm."""
    (x0, x1), (y0, y1) = across, up
    wide = text_box(text, 1.0)[2]
    letter = min(tallest, (x1 - x0) / wide, y1 - y0)
    if letter >= 1.5:
        u, v = (x0 + x1 - letter * wide) / 2.0, (y0 + y1 - letter) / 2.0
        yield from moved(strokes(text, letter), u, v)
