"""The developed faces of a profile's end as flat lines for a plotter or an engraver, as `wrap_sheet.py` has a tube's.

For vinyl or film: the faces have the profile's own widths, with no paper counted.
"""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.documents.wrap.fold_wrap import FoldWrap
from fabgen.documents.wrap.wrap_marks import (
    CLEAR,
    LEAST,
    TICK,
    Stroke,
    letter_rows,
    moved,
    name_and_arrow,
    text_width,
)
from fabgen.documents.wrap.wrap_sheet import FlatSheet, wrap_outline
from fabgen.geometry.plane.lettering import strokes


def fold_sheet(name: str, wrap: FoldWrap) -> FlatSheet:
    """The faces of one end.

    Args:
        name: what is etched on it, 'A1 start'.
        wrap: with no paper counted.
    """
    # Where the longest point is on other faces, a T's, these begin above it.
    low = float(wrap.v.min())
    marks = [*_marks(name, wrap), *([*hole.edge, hole.edge[0]] for hole in wrap.holes)]
    return FlatSheet(
        name=name,
        width=wrap.width,
        height=wrap.height - low,
        cut=moved([wrap_outline(wrap)], 0.0, -low)[0],
        folds=moved(_folds(wrap), 0.0, -low),
        marks=moved(marks, 0.0, -low),
    )


def _folds(wrap: FoldWrap) -> Iterator[Stroke]:
    """Lines up the faces that stop below the letters, and their ends at the straight edge."""
    _, rows = letter_rows(wrap.width, wrap.height)
    for fold in wrap.folds:
        near = (wrap.u > fold - CLEAR) & (wrap.u < fold + CLEAR)
        foot, top = float(wrap.v[near].max(initial=0.0)) + CLEAR, rows[2] - CLEAR
        if top > foot:
            yield [(fold, foot), (fold, top)]
        yield [(fold, wrap.height - CLEAR - TICK), (fold, wrap.height - CLEAR)]


def _marks(name: str, wrap: FoldWrap) -> Iterator[Stroke]:
    """The faces' names, what the left and the right edge lie on, and the mark."""
    letter, rows = letter_rows(wrap.width, wrap.height)
    left, right = wrap.faces[0].left.upper(), wrap.faces[-1].right.upper()
    small = min(letter, (wrap.width - 4.0 * CLEAR) / text_width(left + right, 1.0))
    if small >= LEAST:
        yield from moved(strokes(left, small), CLEAR, rows[0])
        yield from moved(strokes(right, small), wrap.width - CLEAR - text_width(right, small), rows[0])
    for face in wrap.faces:
        word = face.word.upper()
        small = min(letter, (face.width - 2.0 * CLEAR) / text_width(word, 1.0))
        if small >= LEAST:
            yield from moved(strokes(word, small), (face.start + face.finish - text_width(word, small)) / 2.0, rows[1])
    yield from name_and_arrow(name, wrap.width, rows[2], letter * 1.3, ())
