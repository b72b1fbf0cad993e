"""Brackets that hold a bolt: the ear, the clevis of one piece, and the tabs that keep a bolt's head from turning."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from fabgen.geometry.plane.outline import Corner, Outline, OutlineError, Vertex, Xy
from fabgen.geometry.plane.regions import crossing
from fabgen.geometry.plane.rounded_end import RoundedEnd, rounded_end
from fabgen.geometry.sheet.fold_tree_building import Hinge, Hung, Leaf
from fabgen.geometry.space.frame import Frame
from fabgen.parts.bracket.bracket_definition import Asked, Shape, placed
from fabgen.parts.sheet.face_axes import FaceAxes
from fabgen.parts.sheet.features import Unfit, figure
from fabgen.parts.sheet.seats import Foot, foot
from fabgen.shop.fasteners import hexagon_head

TUBE_TICK = 10.0
"""Length of the line that shows where the tube's axis passes under an ear, mm."""


# -- ear ----------------------------------------------------------------------
def ear(asked: Asked) -> Shape:
    """A lug with a rounded end about its hole; u from its middle, v from the flat or the tube's axis."""
    given, thickness = asked.bracket, asked.thickness
    assert given.width is not None
    assert given.height is not None
    hole = asked.pin()
    radius, half = asked.end_radius(hole), given.width / 2.0
    seat = given.sits[0] if given.sits else None
    if given.sits and len(given.sits) > 1:
        asked.fault("sits", "an ear sits on one tube", "one table or section")
        raise Unfit
    path = (*asked.path, "sits")
    below = foot(seat, Frame(np.zeros(3), *np.eye(3)), thickness, asked.job, path, asked.problems, math.pi / 2.0)
    if not below.meets(-half, half):
        what = f"a foot of {figure(given.width)} mm runs past {below.words}"
        room = 2.0 * _room(below, half)
        most = f"less than {figure(room, 1)} mm" if room > 1.0 else "a tube whose axis passes under the ear's middle"
        asked.fault("width", what, most)
        raise Unfit
    left, right = ((x, below.height(x)) for x in (-half, half))
    end = _end_about(asked, left, right, (0.0, given.height), radius)
    curves = {0: tuple(below.vertices(-half, half)), 2: (Vertex(*end.right, end.bulge),)}
    corners = tuple(Corner(*point) for point in (left, right, end.right, end.left))
    _check_simple(asked, corners, curves)
    over = given.height - below.height(0.0)
    sizes = [("foot", given.width), ("rounded end, radius", radius)]
    facts = []
    lines: tuple[tuple[str, tuple[Xy, ...]], ...] = ()
    if below.edge is not None:
        sizes += [("hole over the tube's axis", given.height), ("hole over the tube's outside", over)]
        words = f"{below.words}; the edge is cut square to the sheet, where the first of its skins touches"
        facts.append(("sits on", words))
        low = below.height(0.0)
        lines = (("ear", ((0.0, low), (0.0, low + TUBE_TICK))),)
    else:
        sizes.append(("hole over the foot", given.height))
    pin = placed(hole, (0.0, given.height), "ear", _pin_path(asked))
    return Shape(
        Leaf("ear", corners, curves=curves),
        {"ear": FaceAxes()},
        tuple(sizes),
        (pin,),
        tuple(facts),
        lines,
        ("", "", ""),
    )


def _room(below: Foot, half: float) -> float:
    """The greatest half width of a foot that all stands on the tube, mm."""
    on = 0.0
    for _ in range(40):
        middle = (on + half) / 2.0
        on, half = (middle, half) if below.meets(-middle, middle) else (on, middle)
    return on


def _pin_path(asked: Asked) -> tuple[str | int, ...]:
    return (*asked.path, "bolt" if asked.bracket.bolt is not None else "diameter")


def _end_about(asked: Asked, left: Xy, right: Xy, centre: Xy, radius: float) -> RoundedEnd:
    try:
        end = rounded_end(left, right, centre, radius)
    except OutlineError as error:
        asked.fault("height", str(error), "a hole farther from the foot, or a smaller end_radius")
        raise Unfit from error
    if min(end.right[1] - right[1], end.left[1] - left[1]) < -1e-9:
        what = f"the rounded end of {figure(radius)} mm reaches below the foot"
        asked.fault("height", what, "a hole farther from the foot, or a smaller end_radius")
        raise Unfit
    return end


def _check_simple(asked: Asked, corners: tuple[Corner, ...], curves: dict[int, tuple[Vertex, ...]]) -> None:
    foot_path = curves[0]
    _, right, touch_right, touch_left = corners
    outline = Outline(
        (*foot_path, Vertex(right.x, right.y), *curves[2], Vertex(touch_left.x, touch_left.y))
        if math.dist((right.x, right.y), (touch_right.x, touch_right.y)) > 1e-9
        else (*foot_path, *curves[2], Vertex(touch_left.x, touch_left.y))
    )
    if crossing(outline) is not None:
        what = "the rounded end runs into what the ear sits on"
        asked.fault("height", what, "a hole farther from the foot, or a smaller end_radius")
        raise Unfit


# -- clevis ---------------------------------------------------------------------
def clevis(asked: Asked) -> Shape:
    """Two rounded ears on a base, one bolt through both; v of an ear from the base's outside."""
    given, thickness, bend = asked.bracket, asked.thickness, asked.bend(math.pi / 2.0)
    assert given.gap is not None
    assert given.length is not None
    assert given.height is not None
    length, across = given.length, given.gap + 2.0 * thickness
    if across <= 2.0 * bend.setback + 1e-6:
        least = 2.0 * bend.inner
        asked.fault("gap", f"{figure(given.gap)} mm is too short for its bends", f"more than {figure(least)} mm")
    hole = asked.pin()
    radius = asked.end_radius(hole)
    if given.height - bend.setback < radius - 1e-9:
        what = f"the rounded end of {figure(radius)} mm about the hole reaches into the bend"
        asked.fault("height", what, f"{figure(bend.setback + radius)} mm or more, or a smaller end_radius")
    asked.need_legs()
    leaf = _rounded_leaf(asked, (length / 2.0, given.height - bend.setback), radius)
    axes = {
        "base": FaceAxes(),
        "left": FaceAxes(-1.0, 1.0, length, -bend.setback),
        "right": FaceAxes(dy=-bend.setback),
    }
    hung = tuple(
        Hung(name, edge, bend, bend.setback, leaf(name)) for name, edge in (("left", 0), ("right", 2))
    )  # fmt: skip
    corners = tuple(Corner(x, y) for x, y in ((0.0, 0.0), (length, 0.0), (length, across), (0.0, across)))
    pins = tuple(placed(hole, (length / 2.0, given.height), name, _pin_path(asked)) for name in ("left", "right"))
    sizes = (
        ("clear between the ears", given.gap),
        ("over the ears, outside", across),
        ("length along the folds", length),
        ("hole over the base, outside", given.height),
        ("hole over the base, inside", given.height - thickness),
        ("rounded ends, radius", radius),
    )
    words = ("", "", "over all, high")
    return Shape(Leaf("base", corners, hung), axes, sizes, pins, words=words)


def _rounded_leaf(asked: Asked, centre: Xy, radius: float) -> Callable[[str], Callable[[Hinge], Leaf]]:
    """Ears on a hinge, by their name; the clevis is as long as its ears, so that both have the same x."""

    def named(name: str) -> Callable[[Hinge], Leaf]:
        def leaf(hinge: Hinge) -> Leaf:
            left, right = (hinge.x0, 0.0), (hinge.x1, 0.0)
            end = _end_about(asked, left, right, centre, radius)
            corners = tuple(Corner(*point) for point in (left, right, end.right, end.left))
            return Leaf(name, corners, curves={2: (Vertex(*end.right, end.bulge),)})

        return leaf

    return named


# -- tabbed -----------------------------------------------------------------------
def tabbed(asked: Asked) -> Shape:
    """A base with a bolt in it, and a tab folded up on either side of its head.

    The metal between the tabs and the base's edge beside them is cut away.  Where no radius is given it
    is the thickness, or what keeps the bends clear of the bolt's hole.
    """
    given, thickness = asked.bracket, asked.thickness
    assert given.base is not None
    width, height = (each for each in given.base if isinstance(each, float))
    hole = asked.pin()
    across, tall, source = _head(asked, hole.bolt)
    x, y = given.bolt_at or (width / 2.0, height / 2.0)
    room = across + given.clearance
    spare = room / 2.0 - hole.shape.bounds[2]
    bend = asked.bend(math.pi / 2.0, min(thickness, 0.9 * spare) if given.radius is None else None)
    long = across if given.tab_length is None else given.tab_length
    # The head cannot sink into the bends: it stands on a washer as thick as their inside radius.
    high = bend.radius + tall if given.tab_height is None else given.tab_height
    straight = thickness + high - bend.setback
    if straight < 1e-6:
        least = figure(bend.setback - thickness)
        asked.fault("tab_height", f"{figure(high)} mm is too short for its bend", f"more than {least} mm")
    insets = {"right tab": width - (x + room / 2.0 - bend.inner), "left tab": x - room / 2.0 + bend.inner}
    for name, inset in insets.items():
        if inset < bend.setback - 1e-9:
            what = f"the {name} would stand {figure(bend.setback - inset)} mm outside the base"
            needed = f"{figure(room + 2.0 * thickness)} mm of width at the bolt for head, clearance and tabs"
            asked.fault("base", what, needed)
    if bend.inner > spare - 1e-6:
        what = f"with an inside radius of {figure(bend.radius)} mm the tabs' bends reach into the bolt's hole"
        asked.fault("radius", what, f"less than {figure(spare)} mm, or more clearance")
    if y - long / 2.0 < -1e-6 or y + long / 2.0 > height + 1e-6:
        what = f"tabs {figure(long)} mm long leave the base"
        asked.fault("tab_length", what, "a shorter tab_length, or a base that is higher at the bolt")
    asked.need_legs()
    ends = {
        "right tab": (y - long / 2.0, y + long / 2.0),
        "left tab": (height - y - long / 2.0, height - y + long / 2.0),
    }
    hung = tuple(
        Hung(name, edge, bend, insets[name], asked.strip(name, straight), True, *ends[name], asked.relief())
        for name, edge in (("right tab", 1), ("left tab", 3))
    )
    axes = {
        "base": FaceAxes(),
        "right tab": FaceAxes(-1.0, 1.0, height, -bend.setback),
        "left tab": FaceAxes(dy=-bend.setback),
    }
    box = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    radius, chamfer = given.corner_radius, given.corner_chamfer
    corners = asked.corners("base", [Corner(px, py, radius, chamfer) for px, py in box], height)
    turns = _play(across, room)
    swing = f"the head turns {figure(math.degrees(turns), 1)}° at most" if turns is not None else "the head can turn"
    words = (
        f"{figure(room)} mm between the tabs for {figure(across)} mm across flats ({source}): {swing}; put a washer "
        f"{figure(bend.radius)} mm thick or more under it, or it rides on the bends' inside radius"
    )
    sizes = (("between the tabs, inside", room), ("tabs over the base's upper side", high))
    pin = placed(hole, (x, y), "base", (*asked.path, "bolt"))
    return Shape(Leaf("base", corners, hung), axes, sizes, (pin,), (("boxed bolt", words),))


def _head(asked: Asked, bolt: str) -> tuple[float, float, str]:
    """Width across flats and height of the bolt's head, mm, and where the width comes from."""
    known = hexagon_head(bolt)
    own = asked.bracket.across_flats
    if known is None and (own is None or asked.bracket.tab_height is None):
        what = f"the head of an {bolt} bolt is in no table"
        asked.fault("bolt", what, "across_flats and tab_height beside it")
        raise Unfit
    if known is None:
        return own or 0.0, asked.bracket.tab_height or 0.0, "as given"
    return (known.across_flats, known.height, known.source) if own is None else (own, known.height, "as given")


def _play(across: float, room: float) -> float | None:
    """How far a hexagon turns between two parallel faces, rad each way; None where they do not hold it.

    Turned by a its width is across (cos a + sin a / sqrt 3), greatest at 30 degrees.
    """
    reach = across * 2.0 / math.sqrt(3.0)
    return None if room >= reach else math.radians(30.0) - math.acos(room / reach)
