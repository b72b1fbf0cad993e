"""What is etched on a wrap: top line, heel, toe, the mark, and the way to the tube's other end.

Three rows below the straight edge, all single strokes, none on the cut line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from fabgen.documents.wrap import Wrap
from fabgen.geometry.lettering import strokes, text_box
from fabgen.geometry.outline import Xy
from fabgen.parts.piece import Piece, WorkedEnd

Stroke = Sequence[Xy]
Span = tuple[float, float]

CLEAR = 1.5
"""Marks keep this far from the cut line, mm."""
_LEAST = 1.5
"""Smallest letters worth etching, mm."""


def wrap_marks(piece: Piece, end: WorkedEnd, wrap: Wrap) -> list[Stroke]:
    """The strokes, in the wrap's own u and v, mm."""
    letter = min(5.0, max(2.5, wrap.width / 25.0))
    rows = [wrap.height - CLEAR - 1.0 - letter * drop for drop in (1.0, 2.6, 4.9)]
    at_seam = not CLEAR < wrap.top < wrap.width - CLEAR
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
    for text, wanted in (("HEEL", heel), ("TOE", wrap.width / 2.0 - text_width("TOE", letter) / 2.0)):
        marks += _row_text(wrap, text, letter, rows[0], wanted, taken)
    # Where the top line is the seam itself it would double the cut edge: the text points to it.
    text, wanted = ("<TOP", CLEAR) if at_seam else ("TOP", wrap.top + CLEAR)
    marks += _row_text(wrap, text, letter, rows[1], wanted, list(line))
    marks += _name_and_arrow(f"{piece.mark} {end.at}", wrap, rows[2], letter * 1.3, line)
    for gap in wrap.gaps():
        marks += _no_contact(gap, letter)
    return marks


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


def _name_and_arrow(text: str, wrap: Wrap, v: float, letter: float, taken: Sequence[Span]) -> Iterator[Stroke]:
    """The mark and, after it, an arrow to the tube's other end; smaller where there is no room."""
    while letter >= _LEAST:
        width = text_width(text, letter)
        head = letter * 0.35
        gap = letter * 0.5
        whole = width + gap + 2.0 * head
        u = nearest_room(whole, (wrap.width - whole) / 2.0, taken, (CLEAR, wrap.width - CLEAR))
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
    if along >= _LEAST:
        return moved(strokes(text, along), (start + finish - text_width(text, along)) / 2.0, CLEAR)
    up = min(letter, room)
    if up < _LEAST:
        return ()
    right = (start + finish + up) / 2.0
    return [[(right - y, CLEAR + x) for x, y in stroke] for stroke in strokes(text, up)]


def nearest_room(width: float, wanted: float, taken: Sequence[Span], limits: Span) -> float | None:
    """Where a thing `width` wide starts: as near `wanted` as nothing taken allows; None without room."""
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
