"""Brackets that are a strip with all folds parallel: angle, channel, zed and hat.

Each is a short function that builds a leaf.  Coordinates of a hole are (u, v) on its face: u along the
folds from the left end, v from the outside corner of the fold that the face hangs on.
"""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.geometry.sheet.fold_tree_building import FaceSketch, HungFace
from fabgen.parts.bracket.bracket_request import BracketRequest, BracketShape, Leg, LegEnd
from fabgen.parts.shape.outlines import rectangle_corners
from fabgen.parts.sheet.face_axes import FaceAxes

BELOW, ABOVE = 0, 2
"""Numbers of a root's lower and upper edge."""


def angle(request: BracketRequest) -> BracketShape:
    """Two legs; a is the root, b hangs on its upper edge."""
    sizes = request.given.legs
    assert sizes is not None
    fold = LegEnd(request.fold)
    a = request.leg("a", ("legs", 0), sizes[0], fold, *request.free)
    b = request.leg("b", ("legs", 1), sizes[1], fold, *request.free)
    hung = [_flange(request, b, ABOVE), request.hung_hem("a", True, BELOW)]
    axes = {"a": FaceAxes(up=-1.0, dy=a.outside), "b": _on(request)}
    return _strip(request, (a, b), hung, axes, "leg ")


def channel(request: BracketRequest) -> BracketShape:
    """A web with a flange on either edge, both turned the same way."""
    given, fold = request.given, LegEnd(request.fold)
    assert given.web is not None
    web = request.leg("web", ("web",), given.web, fold, fold)
    left, right = (
        request.leg(name, ("flanges", i), _length(given.flanges, i), fold, *request.free)
        for i, name in enumerate(("left", "right"))
    )
    hung = [_flange(request, left, BELOW), _flange(request, right, ABOVE)]
    return _strip(request, (web, left, right), hung, {"web": FaceAxes(), "left": _back(request), "right": _on(request)})


def zed(request: BracketRequest) -> BracketShape:
    """A web with a leg on either edge, turned opposite ways; its outside size is over both legs."""
    given, fold = request.given, LegEnd(request.fold)
    assert given.web is not None
    assert given.legs is not None
    web = request.leg("web", ("web",), given.web, fold, fold)
    a, b = (request.leg(name, ("legs", i), given.legs[i], fold, *request.free) for i, name in enumerate("ab"))
    hung = [_flange(request, a, BELOW), _flange(request, b, ABOVE, up=False)]
    return _strip(request, (web, a, b), hung, {"web": FaceAxes(), "a": _back(request), "b": _on(request)})


def hat(request: BracketRequest) -> BracketShape:
    """A crown, two sides, and brims turned back."""
    given, fold = request.given, LegEnd(request.fold)
    assert given.crown is not None
    assert given.sides is not None
    assert given.brims is not None
    crown = request.leg("crown", ("crown",), given.crown, fold, fold)
    legs, hung, axes = [crown], [], {"crown": FaceAxes()}
    for i, (hand, edge, face_axes) in enumerate((("left", BELOW, _back(request)), ("right", ABOVE, _on(request)))):
        side = request.leg(f"{hand} side", ("sides", i), given.sides[i], fold, fold)
        brim = request.leg(f"{hand} brim", ("brims", i), given.brims[i], fold, *request.free)
        hung.append(_flange(request, side, edge, beyond=_flange(request, brim, 0, up=False)))
        legs += [side, brim]
        axes |= {side.name: face_axes, brim.name: face_axes}
    return _strip(request, legs, hung, axes)


# -- what they share ----------------------------------------------------------
def _length(value: object, index: int) -> float:
    """One of a pair of lengths; the job reader has seen to it that it is one."""
    assert isinstance(value, list)
    length = value[index]
    assert isinstance(length, float)
    return length


def _on(request: BracketRequest) -> FaceAxes:
    return FaceAxes.of_flange(request.fold.setback)


def _back(request: BracketRequest) -> FaceAxes:
    """Of a face below the root: its own x runs against u."""
    return FaceAxes.of_flange(request.fold.setback, against=request.given.length or 0.0)


def _flange(request: BracketRequest, leg: Leg, edge: int, up: bool = True, beyond: HungFace | None = None) -> HungFace:
    """The leg as a flange on an edge of its parent, with what hangs on its own far edge: a hem, if nothing else."""
    beyond = beyond or request.hung_hem(leg.name, up)
    height = leg.outside - request.fold.setback
    return HungFace(leg.name, edge, request.fold, request.fold.setback, request.strip(leg.name, height, beyond), up)


def _strip(
    request: BracketRequest,
    legs: Sequence[Leg],
    hung: Sequence[HungFace | None],
    axes: dict[str, FaceAxes],
    word: str = "",
) -> BracketShape:
    request.need_no_faults()
    root, length = legs[0], request.given.length or 0.0
    hangs = tuple(each for each in hung if each is not None)
    taken = {each.edge for each in hangs}
    sharp = rectangle_corners(length, root.outside)
    worked = rectangle_corners(length, root.outside, request.given.corner_radius, request.given.corner_chamfer)
    edges = (BELOW, BELOW, ABOVE, ABOVE)
    corners = [a if edge in taken else b for a, b, edge in zip(sharp, worked, edges, strict=True)]
    leaf = FaceSketch(root.name, request.corners(root.name, corners, root.outside - request.fold.setback), hangs)
    sizes = [("length along the folds", length)]
    for leg in legs:
        sizes += [(f"{word}{leg.name}, outside", leg.outside), (f"{word}{leg.name}, inside", leg.inside)]
    name = word + root.name
    words = ("", f"over all, along the {name}", f"over all, square to the {name}")
    return BracketShape(leaf, axes, tuple(sizes), words=words)
