"""What is etched on a wrap: top line, heel, toe, faces, the mark, and the way to the tube's other end.

Three rows below the straight edge, all single strokes, none on the cut line.  A rectangular tube's
fold lines stop below the rows, so that they cross no letter, and show again at the straight edge.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from fabgen.documents.wrap.wrap import FACES, Wrap
from fabgen.geometry.plane.lettering import strokes, text_box
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import Piece, WorkedEnd

Stroke = Sequence[Xy]
Span = tuple[float, float]

CLEAR = 1.5
"""Marks keep this far from the cut line, mm."""
LEAST = 1.5
"""Smallest letters worth etching, mm."""
_SAME = 1.0
"""Fold lines nearer than this to another line, or to an edge, are not drawn, mm."""
TICK = 2.0
"""A fold line's end at the straight edge, mm."""


def wrap_marks(piece: Piece, end: WorkedEnd, wrap: Wrap) -> list[Stroke]:
    """The strokes, in the wrap's own u and v, mm."""
    letter, rows = _rows(wrap)
    at_seam = wrap.top_is_seam
    line: list[Span] = [] if at_seam else [(wrap.top - CLEAR, wrap.top + CLEAR)]
    marks: list[Stroke] = []
    if not at_seam:
        in_gap = any(start <= wrap.top <= finish for start, finish in wrap.gaps())
        foot = CLEAR + (letter + CLEAR if in_gap else _line_height(wrap, wrap.top))
        marks.append([(wrap.top, foot), (wrap.top, wrap.height - CLEAR)])

    taken = list(line)
    # The heel is at the seam: its name stands at the left end, or at the right where that is taken.
    right = wrap.width - CLEAR - text_width("HEEL", letter)
    heel = right if line and line[0][0] < 2.0 * CLEAR + text_width("HEEL", letter) else CLEAR
    named = (("HEEL", heel), ("TOE", wrap.width / 2.0 - text_width("TOE", letter) / 2.0))
    for text, wanted in named if wrap.heel else ():
        marks += _row_text(wrap, text, letter, rows[0], wanted, taken)
    # Where the top line is the seam itself it would double the cut edge: the text points to it.
    text, wanted = ("<TOP", CLEAR) if at_seam else ("TOP", wrap.top + CLEAR)
    taken = list(line)
    marks += _row_text(wrap, text, letter, rows[1], wanted, taken)
    marks += _face_names(wrap, letter, rows[1], taken)
    marks += name_and_arrow(f"{piece.mark} {end.at}", wrap.width, rows[2], letter * 1.3, line)
    for gap in wrap.gaps():
        marks += _no_contact(gap, letter)
    return marks


def fold_lines(wrap: Wrap) -> Iterator[Stroke]:
    """A rectangular tube's tangent points, where a face ends and a corner's arc begins: lines up the
    wrap and their ends at its straight edge."""
    _, rows = _rows(wrap)
    drawn = [0.0, wrap.width, wrap.top]
    for face in wrap.faces():
        for station in (face.start, face.finish):
            u = float(wrap.girth.on_paper(np.array([station]))[0]) % wrap.width
            if all(abs(u - other) > _SAME for other in drawn):
                drawn.append(u)
                foot, top = _line_height(wrap, u) + CLEAR, rows[2] - CLEAR
                if top > foot:
                    yield [(u, foot), (u, top)]
                yield [(u, wrap.height - CLEAR - TICK), (u, wrap.height - CLEAR)]


def _rows(wrap: Wrap) -> tuple[float, list[float]]:
    return letter_rows(wrap.width, wrap.height)


def letter_rows(width: float, height: float) -> tuple[float, list[float]]:
    """Height of the letters, and the rows' base lines, mm.

    Args:
        width: of the wrap, mm.
        height: of its straight edge, mm.
    """
    letter = min(5.0, max(2.5, width / 25.0))
    return letter, [height - CLEAR - TICK - letter * drop for drop in (1.2, 2.7, 4.8)]


def _face_names(wrap: Wrap, letter: float, v: float, taken: list[Span]) -> Iterator[Stroke]:
    """The faces' names, each in the middle of its face; the top has its line instead."""
    for face in wrap.faces():
        text = face.name.upper()
        first, last = (float(u) for u in wrap.girth.on_paper(np.array([face.start, face.finish])))
        middle = (first + last) / 2.0 % wrap.width
        small = min(letter, (last - first - 2.0 * CLEAR) / text_width(text, 1.0))
        start = middle - text_width(text, small) / 2.0
        free = all(start + text_width(text, small) <= low or start >= high for low, high in taken)
        if face.name != FACES[0] and small >= LEAST and free and CLEAR <= start <= wrap.width - 2.0 * (middle - start):
            yield from moved(strokes(text, small), start, v)


def _line_height(wrap: Wrap, u: float) -> float:
    """Highest point of the line near u, mm."""
    near = (wrap.u > u - CLEAR) & (wrap.u < u + CLEAR)
    heights = wrap.filled()
    return float(heights[near].max()) if near.any() else float(heights.max())


def _row_text(wrap: Wrap, text: str, letter: float, v: float, wanted: float, taken: list[Span]) -> Iterator[Stroke]:
    width = text_width(text, letter)
    u = nearest_room(width, wanted, taken, (CLEAR, wrap.width - CLEAR))
    if u is not None:
        taken.append((u - CLEAR, u + width + CLEAR))
        yield from moved(strokes(text, letter), u, v)


def name_and_arrow(text: str, across: float, v: float, letter: float, taken: Sequence[Span]) -> Iterator[Stroke]:
    """The mark and, after it, an arrow to the other end; smaller where there is no room.

    Args:
        text: what is etched.
        across: width of the wrap, mm.
        v: its base line, mm.
        letter: height of its letters, mm.
        taken: (u, u) where it cannot stand, mm.
    """
    while letter >= LEAST:
        width = text_width(text, letter)
        head = letter * 0.35
        gap = letter * 0.5
        whole = width + gap + 2.0 * head
        u = nearest_room(whole, (across - whole) / 2.0, taken, (CLEAR, across - CLEAR))
        if u is not None:
            yield from moved(strokes(text, letter), u, v)
            tip = (u + width + gap + head, v + letter)
            yield [(tip[0], v), (tip[0], tip[1])]
            yield [(tip[0] - head, tip[1] - 1.5 * head), tip, (tip[0] + head, tip[1] - 1.5 * head)]
            return
        letter *= 0.85


def _no_contact(gap: Span, letter: float) -> Sequence[Stroke]:
    """'NO CONTACT' over the part of the saw cut that the line leaves alone, along it or up the tube."""
    start, finish = gap
    room = finish - start - 2.0 * CLEAR
    text = "NO CONTACT"
    along = min(letter, room / text_width(text, 1.0))
    if along >= LEAST:
        return moved(strokes(text, along), (start + finish - text_width(text, along)) / 2.0, CLEAR)
    up = min(letter, room)
    if up < LEAST:
        return ()
    right = (start + finish + up) / 2.0
    return [[(right - y, CLEAR + x) for x, y in stroke] for stroke in strokes(text, up)]


def nearest_room(width: float, wanted: float, taken: Sequence[Span], limits: Span) -> float | None:
    """Where a mark `width` wide starts: free, and as near `wanted` as it can be; None without room."""
    places = [wanted, limits[0], limits[1] - width]
    places += [place for low, high in taken for place in (low - width, high)]
    free = [
        place
        for place in places
        if limits[0] - 1e-9 <= place
        and place + width <= limits[1] + 1e-9
        and all(place + width <= low + 1e-9 or place >= high - 1e-9 for low, high in taken)
    ]
    return min(free, key=lambda place: abs(place - wanted), default=None)


def text_width(text: str, letter: float) -> float:
    return text_box(text, letter)[2]


def moved(lines: Iterable[Stroke], dx: float, dy: float) -> list[Stroke]:
    return [[(x + dx, y + dy) for x, y in line] for line in lines]
