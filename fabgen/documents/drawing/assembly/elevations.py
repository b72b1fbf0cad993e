"""The assembly from the side and from above: overall sizes, and where its members lie along, across and in height."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.dimensions import FIGURE, Length
from fabgen.documents.drawing.sheet.lanes import Side, Station, draw_sides
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.views import BETWEEN, HEAD, View, steady
from fabgen.documents.render.pdf import text_width
from fabgen.documents.render.picture import Pen
from fabgen.documents.render.sketch import Panel, Sketch, joined
from fabgen.documents.scene.body_lines import BodiesPicture, bodies_picture
from fabgen.documents.scene.hidden_lines import seen_size
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.parts.piece import LengthPart, LinkPart, Piece, ProfilePart
from fabgen.wording.figures import Figures

SQUARE = math.sin(math.radians(2.0))
"""A member within this of square to a direction lies at one place along it."""
SAME = 0.5
"""Members this near to one another share a figure, mm."""
LARGEST = 0.5
"""Scale at most."""
READABLE = 90.0
"""The longer of the two views reads well when it is so large, mm of paper."""
_ROW = FIGURE * 1.12
"""What a running figure takes along its line, mm of paper."""
_OVERALL, _LINES = 14.0, 9.5
"""What the row of an overall size takes, and running sizes besides their figures, mm of paper."""
_NAMED = 2
"""Of members at one place so many are named …"""
_SHORT = 7
"""… where their marks together are no longer than this."""

SIZES = (
    "Sizes along, across and in height run from the outermost metal, to the middle of each member that lies square to "
    "them. Marks stand by the figures."
)


@dataclass(frozen=True, eq=False)
class _Member:
    """A straight member where it stands: its mark, its direction and middle, (3,), and its length, mm."""

    mark: str
    along: Array
    middle: Array
    length: float


@dataclass(frozen=True, eq=False)
class _Seen:
    """One of the two views: the frame that it is seen in, its title, and whether sizes along stand under it."""

    view: Frame
    title: str
    has_stations: bool


def elevations(
    placed: Sequence[Piece], bodies: Sequence[EdgedMesh], pens: Sequence[Pen], figures: Figures, projection: Projection
) -> View:
    """The longer side and the plan, one over the other as the projection has them.

    Args:
        placed: what has a place.
        bodies: of those, in their order, and of what stands beside them.
        pens: of the bodies.
        figures: the job's units.
        projection: 'first' puts the plan below, 'third' above.
    """
    metal = np.vstack([body.vertices for body in bodies[: len(placed)]])
    every = np.vstack([body.vertices for body in bodies])
    size = metal.max(axis=0) - metal.min(axis=0)
    side, plan = _directions(bool(size[1] > size[0]))
    members = list(_members(placed))

    @cache
    def picture(plain: bool, scale: float) -> BodiesPicture:
        return bodies_picture(bodies, (plan if plain else side).view, scale, pens)

    def one(seen: _Seen, scale: float) -> Panel:
        shown = picture(seen is plan, scale)
        return titled(_dimensioned(shown, seen, members, metal, scale, figures), seen.title)

    def beside(scale: float) -> float:
        return max(_room(members, axis, metal, scale, figures) for axis in (plan.view.y, side.view.y))

    def draw(scale: float) -> Panel:
        upper, lower = (one(each, scale) for each in ((side, plan) if projection == "first" else (plan, side)))
        return joined([upper, lower.moved(0.0, upper.box[1] - BETWEEN - lower.box[3])])

    whole = [seen_size([every], each.view) for each in (side, plan)]

    @cache
    def least(scale: float) -> Xy:
        return (
            scale * max(across for across, _ in whole) + beside(scale),
            scale * sum(up for _, up in whole)
            + _room(members, plan.view.x, metal, scale, figures)
            + BETWEEN
            + 2.0 * HEAD,
        )

    return View(
        "Side and plan", least, steady(draw), largest=LARGEST, readable=READABLE / float(size.max()), small=math.inf
    )


def _directions(is_wide: bool) -> tuple[_Seen, _Seen]:
    """The side and the plan: from the right and from above; of what is wider than long from the front."""
    x, y, z, zero = (*np.eye(3), np.zeros(3))
    if is_wide:
        return (_Seen(Frame(zero, y, z, x), "From the front", False), _Seen(Frame(zero, y, -x, z), "From above", True))
    return (_Seen(Frame(zero, x, z, -y), "From the right", False), _Seen(Frame(zero, x, y, z), "From above", True))


def _members(placed: Sequence[Piece]) -> Iterator[_Member]:
    for piece in placed:
        part = piece.shape
        if isinstance(part, ProfilePart):
            low, high = (side(np.asarray(part.cross.outline.points(0.5)), axis=0) for side in (np.min, np.max))
            aside = (low + high) / 2.0 @ np.vstack((part.frame.y, part.frame.z))
            middle = part.frame.origin + part.axis / 2.0 * part.frame.x + aside
            yield _Member(piece.mark, part.frame.x, middle, part.axis)
        elif isinstance(part, LengthPart) and not isinstance(part, LinkPart) and not part.sleeve_of:
            frames = (part.frame, *part.also) if part.frame is not None and part.path is None else ()
            for frame in frames:
                yield _Member(piece.mark, frame.x, frame.origin + part.axis / 2.0 * frame.x, part.axis)


def _stations(members: Sequence[_Member], axis: Array, metal: Array, scale: float) -> list[tuple[float, list[_Member]]]:
    """Where members that lie square to a direction are along it, from the outermost metal, mm; as many as find room,
    the longer ones first."""
    first, last = float((metal @ axis).min()), float((metal @ axis).max())
    most = max(2, int((last - first) * scale / _ROW))
    found: list[tuple[float, list[_Member]]] = []
    for member in sorted(members, key=lambda each: -each.length):
        if abs(float(member.along @ axis)) > SQUARE:
            continue
        at = float(member.middle @ axis) - first
        if (same := next((each for each in found if abs(each[0] - at) < SAME), None)) is not None:
            same[1].append(member)
        elif len(found) < most:
            found.append((at, [member]))
    return sorted(found, key=lambda each: each[0])


def _text(at: float, members: Sequence[_Member], figures: Figures) -> str:
    """'612.5  T3, T4', or '612.5  T3 and 4 more' of many."""
    marks = list(dict.fromkeys(each.mark for each in members))
    named = marks[:1] if len(marks) > _NAMED or sum(map(len, marks)) > _SHORT else marks
    more = f" and {len(marks) - len(named)} more" if len(marks) > len(named) else ""
    return f"{figures.tape(at)}  {', '.join(named)}{more}"


def _room(members: Sequence[_Member], axis: Array, metal: Array, scale: float, figures: Figures) -> float:
    """What the figures along a direction and the overall size, on the other side, take, mm of paper."""
    texts = [_text(at, named, figures) for at, named in _stations(members, axis, metal, scale)]
    return _OVERALL + max([_LINES + text_width(text, FIGURE) for text in texts], default=0.0)


def _dimensioned(
    shown: BodiesPicture, seen: _Seen, members: Sequence[_Member], metal: Array, scale: float, figures: Figures
) -> Panel:
    sketch = Sketch()
    sketch.draw(*shown.picture.items)
    low, high = (shown.at(corner, seen.view, scale) for corner in _corners(metal, seen.view))
    corner = (high[0], low[1])
    left = Side("left", [Length(low, (low[0], high[1]), figures.tape(_extent(metal, seen.view.y)))])
    right = Side("right", origin=corner)
    right.stations = _drawn_stations(shown, seen, members, metal, scale, figures, upright=True)
    sides = [left, right]
    if seen.has_stations:
        above = Side("above", [Length((low[0], high[1]), high, figures.tape(_extent(metal, seen.view.x)))])
        below = Side("below", origin=low)
        below.stations = _drawn_stations(shown, seen, members, metal, scale, figures, upright=False)
        sides += [above, below]
    draw_sides(sketch, sketch.box, *sides)
    return sketch.panel(1.0)


def _corners(metal: Array, view: Frame) -> tuple[Array, Array]:
    """The lower left and the upper right corner of all metal as it is seen, as points of the job."""
    points = view.inside(metal)
    return view.outside(points.min(axis=0)), view.outside(points.max(axis=0))


def _extent(metal: Array, axis: Array) -> float:
    along = metal @ axis
    return float(along.max() - along.min())


def _drawn_stations(
    shown: BodiesPicture,
    seen: _Seen,
    members: Sequence[_Member],
    metal: Array,
    scale: float,
    figures: Figures,
    upright: bool,
) -> list[Station]:
    """The running sizes of a view: heights at its right, sizes along under it, each from the member's end that is
    nearest to them."""
    axis = seen.view.y if upright else seen.view.x
    found: list[Station] = []
    for at, named in _stations(members, axis, metal, scale):
        ends = [
            shown.at(each.middle + way * each.length / 2.0 * each.along, seen.view, scale)
            for each in named
            for way in (-1.0, 1.0)
        ]
        nearest = max(ends, key=lambda p: p[0]) if upright else min(ends, key=lambda p: p[1])
        if at > SAME:
            found.append(Station(nearest, _text(at, named, figures)))
    return found
