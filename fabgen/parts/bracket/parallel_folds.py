"""Brackets that are a strip with all folds parallel: angle, channel, zed and hat.

Each is a short function that builds a leaf.  Coordinates of a hole are (u, v) on its face: u along the
folds from the left end, v from the outside corner of the fold that the face hangs on.
"""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.geometry.plane.outline import Corner
from fabgen.geometry.sheet.fold_tree_building import Hung, Leaf
from fabgen.parts.bracket.bracket_definition import Asked, End, Leg, Shape
from fabgen.parts.sheet.face_axes import FaceAxes

BELOW, ABOVE = 0, 2
"""Numbers of a root's lower and upper edge."""


def angle(asked: Asked) -> Shape:
    """Two legs; a is the root, b hangs on its upper edge."""
    sizes = asked.bracket.legs
    assert sizes is not None
    fold = End(asked.fold)
    a = asked.leg("a", ("legs", 0), sizes[0], fold, *asked.free)
    b = asked.leg("b", ("legs", 1), sizes[1], fold, *asked.free)
    hung = [_flange(asked, b, ABOVE), asked.hung_hem("a", True, BELOW)]
    axes = {"a": FaceAxes(up=-1.0, dy=a.outside), "b": _on(asked)}
    return _strip(asked, (a, b), hung, axes, "leg ")


def channel(asked: Asked) -> Shape:
    """A web with a flange on either edge, both turned the same way."""
    given, fold = asked.bracket, End(asked.fold)
    assert given.web is not None
    web = asked.leg("web", ("web",), given.web, fold, fold)
    left, right = (
        asked.leg(name, ("flanges", i), _length(given.flanges, i), fold, *asked.free)
        for i, name in enumerate(("left", "right"))
    )
    hung = [_flange(asked, left, BELOW), _flange(asked, right, ABOVE)]
    return _strip(asked, (web, left, right), hung, {"web": FaceAxes(), "left": _back(asked), "right": _on(asked)})


def zed(asked: Asked) -> Shape:
    """A web with a leg on either edge, turned opposite ways; its outside size is over both legs."""
    given, fold = asked.bracket, End(asked.fold)
    assert given.web is not None
    assert given.legs is not None
    web = asked.leg("web", ("web",), given.web, fold, fold)
    a, b = (asked.leg(name, ("legs", i), given.legs[i], fold, *asked.free) for i, name in enumerate("ab"))
    hung = [_flange(asked, a, BELOW), _flange(asked, b, ABOVE, up=False)]
    return _strip(asked, (web, a, b), hung, {"web": FaceAxes(), "a": _back(asked), "b": _on(asked)})


def hat(asked: Asked) -> Shape:
    """A crown, two sides, and brims turned back.

    Outside: crown and height over all of the metal, brims from the inner skin of the sides out.
    Inside: the room under the crown, brims from the outer skin of the sides out.
    """
    given, fold, back = asked.bracket, End(asked.fold), End(asked.fold, reverse=True)
    assert given.crown is not None
    assert given.sides is not None
    assert given.brims is not None
    crown = asked.leg("crown", ("crown",), given.crown, fold, fold)
    legs, hung, axes = [crown], [], {"crown": FaceAxes()}
    for i, (hand, edge, face_axes) in enumerate((("left", BELOW, _back(asked)), ("right", ABOVE, _on(asked)))):
        side = asked.leg(f"{hand} side", ("sides", i), given.sides[i], fold, back)
        brim = asked.leg(f"{hand} brim", ("brims", i), given.brims[i], fold, *asked.free)
        hung.append(_flange(asked, side, edge, beyond=_flange(asked, brim, 0, up=False)))
        legs += [side, brim]
        axes |= {side.name: face_axes, brim.name: face_axes}
    return _strip(asked, legs, hung, axes)


# -- what they share ----------------------------------------------------------
def _length(value: object, index: int) -> float:
    """One of a pair of lengths; the job reader has seen to it that it is one."""
    assert isinstance(value, list)
    length = value[index]
    assert isinstance(length, float)
    return length


def _on(asked: Asked) -> FaceAxes:
    return FaceAxes(dy=-asked.fold.setback)


def _back(asked: Asked) -> FaceAxes:
    """Of a face below the root: its own x runs against u."""
    return FaceAxes(-1.0, 1.0, asked.bracket.length or 0.0, -asked.fold.setback)


def _flange(asked: Asked, leg: Leg, edge: int, up: bool = True, beyond: Hung | None = None) -> Hung:
    """The leg as a flange on an edge of its parent, with what hangs on its own far edge: a hem, if nothing else."""
    beyond = beyond or asked.hung_hem(leg.name, up)
    height = leg.outside - asked.fold.setback
    return Hung(leg.name, edge, asked.fold, asked.fold.setback, asked.strip(leg.name, height, beyond), up)


def _strip(
    asked: Asked, legs: Sequence[Leg], hung: Sequence[Hung | None], axes: dict[str, FaceAxes], word: str = ""
) -> Shape:
    asked.need_legs()
    root, length = legs[0], asked.bracket.length or 0.0
    hangs = tuple(each for each in hung if each is not None)
    radius, chamfer = asked.bracket.corner_radius, asked.bracket.corner_chamfer
    taken = {each.edge for each in hangs}
    corners = [
        Corner(x, y, *(() if edge in taken else (radius, chamfer)))
        for x, y, edge in (
            (0.0, 0.0, BELOW),
            (length, 0.0, BELOW),
            (length, root.outside, ABOVE),
            (0.0, root.outside, ABOVE),
        )
    ]
    leaf = Leaf(root.name, asked.corners(root.name, corners, root.outside - asked.fold.setback), hangs)
    sizes = [("length along the folds", length)]
    for leg in legs:
        sizes += [(f"{word}{leg.name}, outside", leg.outside), (f"{word}{leg.name}, inside", leg.inside)]
    name = word + root.name
    words = ("", f"over all, along the {name}", f"over all, square to the {name}")
    return Shape(leaf, axes, tuple(sizes), words=words)
