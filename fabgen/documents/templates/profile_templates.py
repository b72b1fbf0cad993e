"""The templates of profiles' notched ends; ends that are cut alike share one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from fabgen.documents.render.words import end_text, profile_saw_text, with_unit
from fabgen.documents.templates.fold_template import FoldTemplate
from fabgen.documents.wrap.fold_wrap import FoldPaper, FoldWrap
from fabgen.documents.wrap.profile_wraps import end_wraps
from fabgen.parts.piece import Piece, ProfileEnd, ProfilePart, profile_parts, to_make
from fabgen.parts.shape.alike import names

_SAME = 0.02
"""Lines that differ by no more than this are cut alike, mm."""
_MOST = 6
"""A template names so many ends that it serves, and of more how many there are."""


@dataclass
class _Served:
    """A wrap and the ends that it serves."""

    wrap: FoldWrap
    part: ProfilePart
    parted: bool
    ends: list[tuple[Piece, ProfileEnd]] = field(default_factory=list)


def profile_templates(pieces: Sequence[Piece], paper: FoldPaper) -> Iterator[tuple[str, FoldTemplate]]:
    """The templates, each with the mark of the first piece that it serves.

    Args:
        pieces: of the job; what is made already needs none.
        paper: to print on.
    """
    served: list[_Served] = []
    for piece, part in profile_parts(to_make(pieces)):
        for end in part.ends:
            wraps = end_wraps(part, end, paper)
            for wrap in wraps:
                known = next((each for each in served if _alike(each, wrap, part)), None)
                if known is None:
                    known = _Served(wrap, part, len(wraps) > 1)
                    served.append(known)
                known.ends.append((piece, end))
    for each in served:
        yield each.ends[0][0].mark, _template(each, paper.units)


def _alike(known: _Served, wrap: FoldWrap, part: ProfilePart) -> bool:
    one = known.wrap
    return (
        part.section == known.part.section
        and one.words == wrap.words
        and one.u.shape == wrap.u.shape
        and bool(np.abs([one.u - wrap.u, one.v - wrap.v]).max() < _SAME)
        and [len(hole.edge) for hole in one.holes] == [len(hole.edge) for hole in wrap.holes]
        and all(np.abs(np.subtract(a.edge, b.edge)).max() < _SAME for a, b in zip(one.holes, wrap.holes, strict=True))
    )


def _template(served: _Served, units: str) -> FoldTemplate:
    (piece, end), *more = served.ends
    faces = f" {served.wrap.words}" if served.parted else ""
    name = f"{piece.mark} {end.at}{faces}"
    count = sum(each.quantity for each, _ in served.ends)
    ways = {each.at for _, each in served.ends}
    other = "other end" if len(ways) > 1 else "finish" if end.at == "start" else "start"
    titles = {each.title for each, _ in served.ends}
    return FoldTemplate(
        name=name,
        short=f"{name} +{len(more)}" if more else name,
        title=piece.title if len(titles) == 1 else "",
        quantity=f"make {count}" if count > 1 else "",
        wrap=served.wrap,
        units=units,
        said=tuple(_said(served, units)),
        other=other,
        serves=tuple(f"{each.mark} {own.at}{faces}" for each, own in served.ends),
    )


def _said(served: _Served, units: str) -> Iterator[str]:
    _, end = served.ends[0]
    materials = dict.fromkeys(piece.material for piece, _ in served.ends)
    yield f"{served.part.section.words(units)}, {' or '.join(materials)}"
    yield end_text(end)
    if len(served.ends) > 1:
        yield f"alike: {names([_called(piece, each, end) for piece, each in served.ends], _MOST)}"
    if not end.is_square:
        yield f"saw first: {profile_saw_text(end)}"
    lengths = {round(part.length, 1) for piece, _ in served.ends if (part := piece.profile_part) is not None}
    if len(lengths) == 1:
        yield f"saw length {with_unit(served.part.length, units)} between longest points"
    else:
        yield "saw lengths: see the cut list"


def _called(piece: Piece, end: ProfileEnd, first: ProfileEnd) -> str:
    """'A2 finish', and what it sits on where that is not what the first sits on."""
    on = "" if end.onto == first.onto else f" on {' and '.join(end.onto)}"
    return f"{piece.mark} {end.at}{on}"
