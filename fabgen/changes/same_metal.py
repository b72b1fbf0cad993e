"""Whether two parts are one piece of metal, whatever they are called and from which side or end they are drawn.

A tube drawn from its other end, a round one whose TOP lies elsewhere, a flat drawn turned or from its other side: who
has cut it need not cut it again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from fabgen.changes.apart import (
    LEAST,
    close,
    close_all,
    close_angle,
    close_sizes,
    ends_apart,
    left_over,
    places,
    same_fold,
    same_hole,
    same_outline,
)
from fabgen.changes.issued_part import (
    LINE_PLACES,
    Corner,
    IssuedBend,
    IssuedEnd,
    IssuedFold,
    IssuedHole,
    IssuedPart,
    Pair,
)
from fabgen.geometry.space.frame import Array

TURNED = 0.3
"""Of a tube whose TOP lies elsewhere: what differs by less is the same, mm, as its lines are kept at so many places
only.  A line that is scribed round a paper is no nearer (common practice, no source)."""

_PLACE = 360.0 / LINE_PLACES
_HAIR = 0.1
"""A TOP that lies elsewhere by less, degrees, is where it was: of a tube of 60 mm 0.05 mm."""


def same_metal(one: IssuedPart, other: IssuedPart) -> bool:
    """Whether what is cut of one serves as the other."""
    if one.material != other.material or one.stock != other.stock or not _same_sizes(one, other):
        return False
    ways = _flat_ways if one.outline else _tube_ways
    return any(_as_drawn(turned, other, least) for turned, least in ways(one, other))


def mirrored_tube(part: IssuedPart) -> IssuedPart:
    """A tube's mirror image, its TOP where it was: what lay clockwise of it lies as far the other way.

    Args:
        part: a tube.
    """

    def end(each: IssuedEnd) -> IssuedEnd:
        return each.model_copy(update={"line_mm": each.line_mm[:1] + each.line_mm[:0:-1]})

    bends = tuple(b.model_copy(update={"from_top_deg": -b.from_top_deg % 360.0}) for b in part.bends)
    holes = tuple(h.model_copy(update={"at_mm": (-h.at_mm[0], h.at_mm[1])}) for h in part.holes)
    return part.model_copy(update={"ends": tuple(map(end, part.ends)), "bends": bends, "holes": holes})


def _same_sizes(one: IssuedPart, other: IssuedPart) -> bool:
    """What is soon found: sizes over all, and how much there is to make."""
    return (
        len(one.holes) == len(other.holes)
        and len(one.folds) == len(other.folds)
        and len(one.bends) == len(other.bends)
        and close_all(sorted(one.flat_mm or ()), sorted(other.flat_mm or ()))
        and close_sizes(one.sizes_mm, other.sizes_mm)
    )


def _as_drawn(one: IssuedPart, other: IssuedPart, least: float) -> bool:
    """Whether two parts of like sizes are one as they are drawn.

    Args:
        least: what differs by less is the same, mm.
    """
    return (
        one.flipped == other.flipped
        and len(one.ends) == len(other.ends)
        and all(_same_end(a, b, least) for a, b in zip(one.ends, other.ends, strict=True))
        and all(_same_bend(a, b) for a, b in zip(one.bends, other.bends, strict=True))
        and _same_holes(one, other, least)
        and left_over(one.folds, other.folds, same_fold, fold_middle) == ([], [])
        and same_outline(one.outline, other.outline, least)
    )


def fold_middle(fold: IssuedFold) -> Pair:
    """The middle of a bend line, mm."""
    return (fold.start_mm[0] + fold.end_mm[0]) / 2.0, (fold.start_mm[1] + fold.end_mm[1]) / 2.0


def _same_end(one: IssuedEnd, other: IssuedEnd, least: float) -> bool:
    return one.form == other.form and close_sizes(one.sizes_mm, other.sizes_mm) and ends_apart(one, other) < least


def _same_bend(one: IssuedBend, other: IssuedBend) -> bool:
    return (
        close(one.at_mm, other.at_mm)
        and close(one.radius_mm, other.radius_mm)
        and close_angle(one.angle_deg, other.angle_deg)
        and close_angle(one.from_top_deg, other.from_top_deg)
    )


def _same_holes(one: IssuedPart, other: IssuedPart, least: float) -> bool:
    def same(a: IssuedHole, b: IssuedHole) -> bool:
        return same_hole(a, b, other.around_mm, least)

    return left_over(one.holes, other.holes, same, hole_place(other)) == ([], [])


def hole_place(part: IssuedPart) -> Callable[[IssuedHole], Pair | tuple[float]]:
    """By what its holes are found: round a tube there is no first place, so along it alone."""
    return (lambda hole: (hole.at_mm[1],)) if part.around_mm else (lambda hole: hole.at_mm)


# -- tubes ----------------------------------------------------------------------------------
def _tube_ways(one: IssuedPart, other: IssuedPart) -> Iterator[tuple[IssuedPart, float]]:
    """The tube `one` as it is and as it might be drawn to be `other`, from its other end or with its TOP elsewhere, and
    what differs by less is the same, mm."""
    yield one, LEAST
    back = _from_other_end(one)
    yield back, LEAST
    for each in (one, back):
        count = each.alike_turned
        turns = [360.0 * step / count for step in range(1, count)] if count else _likely_turns(each, other)
        for turn in turns:
            # By whole places a line is turned exactly; by next to nothing it is drawn as it was.
            places_on = round(turn / _PLACE)
            if abs(turn - places_on * _PLACE) < _HAIR and places_on % LINE_PLACES:
                yield _with_top(each, places_on * _PLACE), LEAST
            elif abs(math.remainder(turn, 360.0)) >= _HAIR:
                yield _with_top(each, turn), TURNED


def _from_other_end(part: IssuedPart) -> IssuedPart:
    """The part drawn from its finish, its TOP where it is."""
    length = part.sizes_mm.get("saw length", 0.0)

    def end(each: IssuedEnd, at: str) -> IssuedEnd:
        # Seen from the other end clockwise is the other way round.
        line = each.line_mm[:1] + each.line_mm[:0:-1]
        return each.model_copy(update={"at": at, "line_mm": line})

    bends = []
    for bend in reversed(part.bends):
        at = length - bend.at_mm - bend.length_mm
        bends.append(bend.model_copy(update={"at_mm": at, "from_top_deg": -bend.from_top_deg % 360.0}))
    across = -1.0 if part.around_mm else 1.0
    holes = [h.model_copy(update={"at_mm": (across * h.at_mm[0], length - h.at_mm[1])}) for h in part.holes]
    ends = (end(part.ends[1], "start"), end(part.ends[0], "finish")) if len(part.ends) == 2 else part.ends
    # Of a profile what was left is right from there.
    worked = bool(part.holes) or any(each.faces_mm for each in part.ends)
    flipped = part.flipped != (worked and not part.around_mm)
    return part.model_copy(update={"ends": ends, "bends": tuple(bends), "holes": tuple(holes), "flipped": flipped})


def _with_top(part: IssuedPart, turn: float) -> IssuedPart:
    """The part with its TOP `turn` degrees farther back, so that all on it lies farther on by as much."""
    station = part.around_mm * turn / 360.0

    def end(each: IssuedEnd) -> IssuedEnd:
        if not each.line_mm:
            return each
        line = _turned(places(each.line_mm), turn)
        return each.model_copy(update={"line_mm": tuple(None if x != x else x for x in line.tolist())})

    return part.model_copy(
        update={
            "ends": tuple(map(end, part.ends)),
            "bends": tuple(b.model_copy(update={"from_top_deg": (b.from_top_deg + turn) % 360.0}) for b in part.bends),
            "holes": tuple(h.model_copy(update={"at_mm": (h.at_mm[0] + station, h.at_mm[1])}) for h in part.holes),
        }
    )


def _turned(line: Array, turn: float) -> Array:
    here = np.arange(LINE_PLACES) * _PLACE
    return np.asarray(np.interp(here - turn, here, line, period=360.0))


def _likely_turns(one: IssuedPart, other: IssuedPart) -> list[float]:
    """By how many degrees the TOP of a round tube may lie elsewhere: what brings one thing on it to its place."""
    for a, b in zip(one.ends, other.ends, strict=False):
        if a.line_mm and b.line_mm and None not in (*a.line_mm, *b.line_mm):
            return _wave_turns(places(a.line_mm), places(b.line_mm))
    if one.bends and other.bends:
        return [other.bends[0].from_top_deg - one.bends[0].from_top_deg]
    if one.holes and one.around_mm:
        first = one.holes[0]
        return [
            (hole.at_mm[0] - first.at_mm[0]) * 360.0 / one.around_mm
            for hole in other.holes
            if close(hole.at_mm[1], first.at_mm[1])
        ]
    return []


def _wave_turns(one: Array, other: Array) -> list[float]:
    """Turns that lay the strongest wave of one line on that of the other, degrees."""
    a, b = np.fft.rfft(one)[1:5], np.fft.rfft(other)[1:5]
    order = int(np.argmax(np.abs(a))) + 1
    if abs(a[order - 1]) < LEAST:
        return []
    turn = -math.degrees(float(np.angle(b[order - 1] / a[order - 1]))) / order
    return [turn + 360.0 * step / order for step in range(order)]


# -- flats ----------------------------------------------------------------------------------
def _flat_ways(one: IssuedPart, _: IssuedPart) -> Iterator[tuple[IssuedPart, float]]:
    """The flat as it is, turned by quarters, and from its other side, its bends then the other way."""
    for each in (one, _from_other_side(one)):
        for _quarter in range(4):
            yield each, LEAST
            each = _quarter_turned(each)


def _from_other_side(part: IssuedPart) -> IssuedPart:
    width = part.flat_mm[0] if part.flat_mm else 0.0
    return _moved(part, lambda x, y: (width - x, y), mirrored=True)


def _quarter_turned(part: IssuedPart) -> IssuedPart:
    width, height = part.flat_mm or (0.0, 0.0)
    turned = _moved(part, lambda x, y: (height - y, x), mirrored=False)
    return turned.model_copy(update={"flat_mm": (height, width)})


def _moved(part: IssuedPart, to: Callable[[float, float], Pair], mirrored: bool) -> IssuedPart:
    def outline(corners: tuple[Corner, ...]) -> tuple[Corner, ...]:
        if not mirrored:
            return tuple((*to(x, y), bulge) for x, y, bulge in corners)
        # The other way round each edge's bulge belongs to the corner at its other end; its sign stays.
        count = len(corners)
        back = [(*corners[-1 - i][:2], corners[(-2 - i) % count][2]) for i in range(count)]
        return tuple((*to(x, y), bulge) for x, y, bulge in back)

    def hole(each: IssuedHole) -> IssuedHole:
        reach = each.reach_mm if mirrored else each.reach_mm[::-1]
        size = each.size_mm if mirrored or each.what != "cut-out" else each.size_mm[::-1]
        return each.model_copy(
            update={"at_mm": to(*each.at_mm), "reach_mm": reach, "size_mm": size, "outline": outline(each.outline)}
        )

    def fold(each: IssuedFold) -> IssuedFold:
        return each.model_copy(
            update={"start_mm": to(*each.start_mm), "end_mm": to(*each.end_mm), "up": each.up != mirrored}
        )

    return part.model_copy(
        update={
            "outline": outline(part.outline),
            "holes": tuple(map(hole, part.holes)),
            "folds": tuple(map(fold, part.folds)),
        }
    )
