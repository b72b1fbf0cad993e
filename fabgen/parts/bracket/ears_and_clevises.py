"""Brackets that hold a bolt: the ear, the clevis of one piece, and the tabs that keep a bolt's head from turning."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from fabgen.geometry.plane.outline import Corner, Outline, Vertex, Xy
from fabgen.geometry.plane.regions import crossing
from fabgen.geometry.plane.tangent_arcs import RoundedEnd, rounded_end
from fabgen.geometry.sheet.fold_tree_building import FaceSketch, Hinge, HungFace
from fabgen.geometry.space.frame import Frame
from fabgen.parts.bracket.bracket_request import BracketRequest, BracketShape, left_and_right
from fabgen.parts.piece import Fact, fact
from fabgen.parts.shape.outlines import rectangle_corners
from fabgen.parts.sheet.face_axes import FaceAxes
from fabgen.parts.sheet.seats import SeatEdge, foot
from fabgen.shop.bending.bends import ROOM_FOR_BEND
from fabgen.shop.threaded.fasteners import hexagon_head
from fabgen.wording.sentence import Part, degrees, mm, sentence

FARTHER = "a hole farther from the foot, or a smaller end_radius"
TUBE_TICK = 10.0
"""Length of the line that shows where the tube's axis passes under an ear, mm."""


# -- ear ----------------------------------------------------------------------
def ear(request: BracketRequest) -> BracketShape:
    """A lug with a rounded end about its hole; u from its middle, v from the flat or the tube's axis."""
    given = request.given
    assert given.width is not None
    assert given.height is not None
    hole = request.pin()
    radius, half = request.end_radius(hole), given.width / 2.0
    seat = given.sits[0] if given.sits else None
    if given.sits and len(given.sits) > 1:
        raise request.unfit("sits", "an ear sits on one tube", "one table or section")
    below = foot(request, seat, "ear", Frame(np.zeros(3), *np.eye(3)), math.pi / 2.0, "sits")
    if not below.meets(-half, half):
        what = sentence("a foot of ", mm(given.width, 2), " runs past ", below.words)
        room = 2.0 * _room(below, half)
        wider = "a tube whose axis passes under the ear's middle"
        raise request.unfit("width", what, sentence("less than ", mm(room)) if room > 1.0 else wider)
    left, right = ((x, below.height(x)) for x in (-half, half))
    end = _end_about(request, left, right, (0.0, given.height), radius)
    curves = {0: tuple(below.vertices(-half, half)), 2: (Vertex(*end.right, end.bulge),)}
    corners = tuple(Corner(*point) for point in (left, right, end.right, end.left))
    _check_simple(request, corners, curves)
    over = given.height - below.height(0.0)
    sizes = [("foot", given.width), ("rounded end, radius", radius)]
    facts: list[Fact] = []
    lines: tuple[tuple[str, tuple[Xy, ...]], ...] = ()
    if below.edge is not None:
        sizes += [("hole over the tube's axis", given.height), ("hole over the tube's outside", over)]
        square = "; the edge is cut square to the sheet, where the first of its skins touches"
        facts.append(fact("sits-on", "sits on", below.words, square))
        low = below.height(0.0)
        lines = (("ear", ((0.0, low), (0.0, low + TUBE_TICK))),)
    else:
        sizes.append(("hole over the foot", given.height))
    pin = request.pinned(hole, (0.0, given.height), "ear")
    leaf = FaceSketch("ear", corners, curves=curves)
    axes, words = {"ear": FaceAxes()}, ("", "", "")
    return BracketShape(leaf, axes, tuple(sizes), (pin,), tuple(facts), lines, words=words, feet=below.feet)


def _room(below: SeatEdge, half: float) -> float:
    """The greatest half width of a foot that all stands on the tube, mm."""
    on = 0.0
    for _ in range(40):
        middle = (on + half) / 2.0
        on, half = (middle, half) if below.meets(-middle, middle) else (on, middle)
    return on


def _end_about(request: BracketRequest, left: Xy, right: Xy, centre: Xy, radius: float) -> RoundedEnd:
    with request.refusing("height", FARTHER):
        end = rounded_end(left, right, centre, radius)
    if min(end.right[1] - right[1], end.left[1] - left[1]) < -1e-9:
        what = sentence("the rounded end of ", mm(radius, 2), " reaches below the foot")
        raise request.unfit("height", what, FARTHER)
    return end


def _check_simple(request: BracketRequest, corners: tuple[Corner, ...], curves: dict[int, tuple[Vertex, ...]]) -> None:
    foot_path = curves[0]
    _, right, touch_right, touch_left = corners
    outline = Outline(
        (*foot_path, Vertex(right.x, right.y), *curves[2], Vertex(touch_left.x, touch_left.y))
        if math.dist((right.x, right.y), (touch_right.x, touch_right.y)) > 1e-9
        else (*foot_path, *curves[2], Vertex(touch_left.x, touch_left.y))
    )
    if crossing(outline) is not None:
        what = "the rounded end runs into what the ear sits on"
        raise request.unfit("height", what, FARTHER)


# -- clevis ---------------------------------------------------------------------
def clevis(request: BracketRequest) -> BracketShape:
    """Two rounded ears on a base, one bolt through both; v of an ear from the base's outside."""
    given, thickness, bend = request.given, request.thickness, request.bend(math.pi / 2.0)
    assert given.gap is not None
    assert given.length is not None
    assert given.height is not None
    length, across = given.length, given.gap + 2.0 * thickness
    if across <= 2.0 * bend.setback + 1e-6:
        least = 2.0 * bend.inner
        request.fault(
            "gap", sentence(mm(given.gap, 2), " is too short for its bends"), sentence("more than ", mm(least, 2))
        )
    hole = request.pin()
    radius = request.end_radius(hole)
    if given.height - bend.setback < radius - 1e-9:
        what = sentence("the rounded end of ", mm(radius, 2), " about the hole reaches into the bend")
        request.fault("height", what, sentence(mm(bend.setback + radius, 2), " or more, or a smaller end_radius"))
    request.need_no_faults()
    leaf = _rounded_leaf(request, (length / 2.0, given.height - bend.setback), radius)
    hung, axes = left_and_right("base", length, bend, leaf)
    corners = tuple(rectangle_corners(length, across))
    pins = tuple(request.pinned(hole, (length / 2.0, given.height), name) for name in ("left", "right"))
    sizes = (
        ("clear between the ears", given.gap),
        ("over the ears, outside", across),
        ("length along the folds", length),
        ("hole over the base, outside", given.height),
        ("hole over the base, inside", given.height - thickness),
        ("rounded ends, radius", radius),
    )
    words = ("", "", "over all, high")
    return BracketShape(FaceSketch("base", corners, hung), axes, sizes, pins, words=words)


def _rounded_leaf(request: BracketRequest, centre: Xy, radius: float) -> Callable[[str], Callable[[Hinge], FaceSketch]]:
    """Ears on a hinge, by their name; the clevis is as long as its ears, so that both have the same x."""

    def named(name: str) -> Callable[[Hinge], FaceSketch]:
        def leaf(hinge: Hinge) -> FaceSketch:
            left, right = (hinge.x0, 0.0), (hinge.x1, 0.0)
            end = _end_about(request, left, right, centre, radius)
            corners = tuple(Corner(*point) for point in (left, right, end.right, end.left))
            return FaceSketch(name, corners, curves={2: (Vertex(*end.right, end.bulge),)})

        return leaf

    return named


# -- tabbed -----------------------------------------------------------------------
def tabbed(request: BracketRequest) -> BracketShape:
    """A base with a bolt in it, and a tab folded up on either side of its head.

    The metal between the tabs and the base's edge beside them is cut away.  Where no radius is given it
    is the usual one, or what keeps the bends clear of the bolt's hole.
    """
    given, thickness = request.given, request.thickness
    assert given.base is not None
    width, height = (each for each in given.base if isinstance(each, float))
    hole = replace(request.pin(), boxed=True, drilled=given.drilled is not False)
    across, tall, source = _head(request, hole.bolt)
    x, y = given.bolt_at or (width / 2.0, height / 2.0)
    room = across + given.clearance
    spare = room / 2.0 - hole.shape.bounds[2]
    usual = request.bend(math.pi / 2.0)
    bend = (
        usual
        if given.radius is not None or usual.radius <= ROOM_FOR_BEND * spare
        else request.bend(radius=ROOM_FOR_BEND * spare)
    )
    long = across if given.tab_length is None else given.tab_length
    # The head cannot sink into the bends: it stands on a washer as thick as their inside radius.
    high = bend.radius + tall if given.tab_height is None else given.tab_height
    straight = thickness + high - bend.setback
    if straight < 1e-6:
        least = sentence("more than ", mm(bend.setback - thickness, 2))
        request.fault("tab_height", sentence(mm(high, 2), " is too short for its bend"), least)
    insets = {"right tab": width - (x + room / 2.0 - bend.inner), "left tab": x - room / 2.0 + bend.inner}
    for name, inset in insets.items():
        if inset < bend.setback - 1e-9:
            what = sentence(f"the {name} would stand ", mm(bend.setback - inset, 2), " outside the base")
            needed = sentence(mm(room + 2.0 * thickness, 2), " of width at the bolt for head, clearance and tabs")
            request.fault("base", what, needed)
    if bend.inner > spare - 1e-6:
        what = sentence("with an inside radius of ", mm(bend.radius, 2), " the tabs' bends reach into the bolt's hole")
        request.fault("radius", what, sentence("less than ", mm(spare, 2), ", or more clearance"))
    if y - long / 2.0 < -1e-6 or y + long / 2.0 > height + 1e-6:
        what = sentence("tabs ", mm(long, 2), " long leave the base")
        request.fault("tab_length", what, "a shorter tab_length, or a base that is higher at the bolt")
    request.need_no_faults()
    ends = {
        "right tab": (y - long / 2.0, y + long / 2.0),
        "left tab": (height - y - long / 2.0, height - y + long / 2.0),
    }
    hung = tuple(
        HungFace(name, edge, bend, insets[name], request.strip(name, straight), True, *ends[name], request.relief())
        for name, edge in (("right tab", 1), ("left tab", 3))
    )
    axes = {
        "base": FaceAxes(),
        "right tab": FaceAxes.of_flange(bend.setback, against=height),
        "left tab": FaceAxes.of_flange(bend.setback),
    }
    box = rectangle_corners(width, height, given.corner_radius, given.corner_chamfer)
    corners = request.corners("base", box, height)
    turns = _play(across, room)
    swing: Part = "the head can turn"
    if turns is not None:
        swing = sentence("the head turns ", degrees(turns).named("head turns"), " at most")
    boxed = fact(
        "boxed-bolt",
        "boxed bolt",
        mm(room, 2).named("between the tabs"),
        " between the tabs for ",
        mm(across, 2).named("across flats"),
        f" across flats ({source}): ",
        swing,
        "; put a washer ",
        mm(bend.radius, 2).named("washer"),
        " thick or more under it, or it rides on the bends' inside radius",
    )
    sizes = (("between the tabs, inside", room), ("tabs over the base's upper side", high))
    pin = request.pinned(hole, (x, y), "base")
    return BracketShape(FaceSketch("base", corners, hung), axes, sizes, (pin,), (boxed,))


def _head(request: BracketRequest, bolt: str) -> tuple[float, float, str]:
    """Width across flats and height of the bolt's head, mm, and where the width comes from."""
    known = hexagon_head(bolt)
    own = request.given.across_flats
    if known is None and (own is None or request.given.tab_height is None):
        what = f"the head of an {bolt} bolt is in no table"
        raise request.unfit("bolt", what, "across_flats and tab_height beside it")
    if known is None:
        return own or 0.0, request.given.tab_height or 0.0, "as given"
    return (known.across_flats, known.height, known.source) if own is None else (own, known.height, "as given")


def _play(across: float, room: float) -> float | None:
    """How far a hexagon turns between two parallel faces, rad each way; None where they do not hold it.

    Turned by a its width is across (cos a + sin a / sqrt 3), greatest at 30 degrees.
    """
    reach = across * 2.0 / math.sqrt(3.0)
    return None if room >= reach else math.radians(30.0) - math.acos(room / reach)
