"""Long parts drawn short: broken where there is nothing to see, in the manner of ISO 128-3."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from fabgen.documents.render.picture import Stroke, polyline
from fabgen.geometry.plane.outline import Xy

GAP = 4.0
"""Bare paper between the two lines of a break, mm."""
_WORTH = 2.0 * GAP
"""What is shorter than this is not broken out, mm of paper."""
MOST = 2
"""A part of more breaks than this is hard to read: it is drawn smaller."""
_BESIDE = 3.0
"""So much is shown beside a hole, mm of paper: its centre line reaches 2 mm past it."""

Span = tuple[float, float]
"""From where to where along a part, mm."""


def about(along: float, reach: float, scale: float) -> Span:
    """What a hole takes of a part that must not be broken out.

    Args:
        along: where its middle is, mm.
        reach: how far it reaches from there along the part, mm.
        scale: of the view.
    """
    far = reach + _BESIDE / scale
    return along - far, along + far


def shortest(whole: Span, scale: float, kept: Iterable[Span], most: int = MOST) -> float:
    """What a part takes at least, drawn with all its breaks, mm of paper.

    Args:
        whole: the part.
        scale: of the view.
        kept: what of it is to be shown.
        most: breaks that it may have.
    """
    taken = sum((b - a) * scale - GAP for a, b in _bare(whole, scale, kept, most))
    return (whole[1] - whole[0]) * scale - taken


def merged(spans: Iterable[Span]) -> list[Span]:
    """Lengths along a part in order, those that overlap as one.

    Args:
        spans: in any order.
    """
    found: list[Span] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _bare(whole: Span, scale: float, kept: Iterable[Span], most: int) -> list[Span]:
    """The lengths that can be broken out, the longest first."""
    ends = [whole[0], *(s for each in merged(kept) for s in each), whole[1]]
    bare = [(max(a, whole[0]), min(b, whole[1])) for a, b in list(pairwise(ends))[::2]]
    worth = [(a, b) for a, b in bare if (b - a) * scale >= _WORTH]
    # Of equal lengths, however they were reckoned, the first.
    return sorted(worth, key=lambda span: (round(span[0] - span[1], 6), span))[:most]


@dataclass(frozen=True)
class LongAxis:
    """Carries a position along the part (mm), from `first` on, to paper; `breaks` are left out, in their order."""

    scale: float
    first: float
    breaks: tuple[Span, ...] = ()

    @staticmethod
    def fitted(whole: Span, scale: float, room: float, kept: Iterable[Span], most: int = MOST) -> LongAxis:
        """The axis of a part in `room` mm of paper, or as near to that as it comes, with as few breaks as that takes.

        Args:
            whole: the part.
            scale: of the view.
            room: for it, mm of paper.
            kept: what of it is to be shown.
            most: breaks that it may have.
        """
        over = (whole[1] - whole[0]) * scale - room
        if over <= 0.0:
            return LongAxis(scale, whole[0])
        bare = _bare(whole, scale, kept, most)
        count = next((n for n in range(1, len(bare)) if _saved(bare[:n], scale) >= over), len(bare))
        chosen = sorted(bare[:count])
        length = sum(b - a for a, b in chosen)
        share = min(1.0, (over + count * GAP) / scale / length) if chosen else 0.0
        # What need not be left out is shown on both sides of its break.
        rests = [(1.0 - share) * (b - a) / 2.0 for a, b in chosen]
        breaks = tuple((a + rest, b - rest) for (a, b), rest in zip(chosen, rests, strict=True))
        return LongAxis(scale, whole[0], breaks)

    def x(self, s: float) -> float:
        """Position on paper; what lies in a break comes to its farther edge."""
        x = (s - self.first) * self.scale
        for left, right in self.breaks:
            if s > left:
                x += GAP - (min(s, right) - left) * self.scale
        return x

    def at(self, point: Xy) -> Xy:
        return (self.x(point[0]), point[1] * self.scale)

    def leaves_out(self, low: float, high: float) -> bool:
        """Whether a break takes away something of what lies between two places."""
        return any(high > left and low < right for left, right in self.breaks)

    def spans(self, low: float, high: float) -> list[Span]:
        """What is shown between two places."""
        ends = [low, *(s for each in self.breaks for s in each), high]
        pairs = list(pairwise(ends))[::2]
        return [(max(a, low), min(b, high)) for a, b in pairs if min(b, high) > max(a, low)]

    def split(self, a: Xy, b: Xy) -> list[tuple[Xy, Xy]]:
        """A line along the part, on paper, in pieces where it crosses breaks."""
        if b[0] <= a[0]:
            return [(self.at(a), self.at(b))]
        rise = (b[1] - a[1]) / (b[0] - a[0])
        return [
            (self.at((low, a[1] + rise * (low - a[0]))), self.at((high, a[1] + rise * (high - a[0]))))
            for low, high in self.spans(a[0], b[0])
        ]

    def break_lines(self, half: float) -> list[Stroke]:
        """The two zigzag lines of each break across a part `half` mm high (on paper) each way from its axis."""
        strokes = []
        for x in (self.x(s) for each in self.breaks for s in each):
            reach = half + 2.5
            z = min(2.0, half * 0.4)
            points = [(x, -reach), (x, -z), (x - 1.2, -z * 0.35), (x + 1.2, z * 0.35), (x, z), (x, reach)]
            strokes.append(polyline(points, "thin"))
        return strokes


def _saved(bare: Iterable[Span], scale: float) -> float:
    """What breaks save of the paper, mm."""
    return sum((b - a) * scale - GAP for a, b in bare)
