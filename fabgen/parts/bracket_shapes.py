"""Shapes of folded brackets: angle, channel and hat, each a short function that builds a tree of faces.

Coordinates of a hole are (u, v) on its face: u along the folds from the left end, v from the
outside corner of the fold that the face hangs on.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from fabgen.geometry.folds import Bend, Face, Flange, FoldTree
from fabgen.geometry.outline import Corner, Loop, Outline, OutlineError
from fabgen.job.definitions import Bracket
from fabgen.job.errors import Path, Problem
from fabgen.parts.features import Unfit, figure

Holes = Mapping[str, Sequence[Loop]]
"""The holes of each face, by its name, in (u, v)."""
ToFace = Callable[[Loop], Loop]


@dataclass(frozen=True, slots=True)
class Leg:
    """One face: its straight part and its size measured outside and inside, mm, and what
    carries a shape from (u, v) to the face's own coordinates."""

    name: str
    straight: float
    outside: float
    inside: float
    to_face: ToFace


@dataclass(frozen=True, slots=True)
class Sizes:
    """What the builders need of a bracket, and where its faults are told."""

    bracket: Bracket
    bend: Bend
    path: Path
    problems: list[Problem]

    @property
    def inner(self) -> float:
        """Tangent line to inside mould line, mm."""
        return math.tan(self.bend.angle / 2.0) * self.bend.radius

    def leg(self, name: str, key: Path, size: float, place: str, bends: int = 1, reverse_bends: int = 0) -> Leg:
        """A face of the asked `size` between its free edge or bends.

        At `bends` it has the part's inside on the bend's inside; at `reverse_bends` on its outside
        (the side of a hat at its brim), where inside and outside sizes both end at the same line.
        `place`: 'on' (u along x), 'back' (u against x) or 'root' (v from the upper edge down).
        """
        setback = self.bend.setback
        outside = (bends + reverse_bends) * setback
        inside = bends * self.inner + reverse_bends * setback
        taken = outside if self.bracket.measured == "outside" else inside
        straight = size - taken
        if straight < 1e-6:
            what = f"{figure(size)} mm is too short for its bend{'s' if bends + reverse_bends > 1 else ''}"
            accepted = f"more than {figure(taken)} mm, which the bend alone takes up; or a smaller radius"
            self.problems.append(Problem((*self.path, *key), what, accepted))
        return Leg(name, straight, straight + outside, straight + inside, self._to_face(place, straight))

    def _to_face(self, place: str, straight: float) -> ToFace:
        length, setback = self.bracket.length, self.bend.setback
        if place == "on":
            return lambda shape: shape.moved(0.0, -setback)
        if place == "back":
            return lambda shape: shape.flipped().moved(length, -setback)
        return lambda shape: shape.flipped().turned(math.pi).moved(0.0, straight + setback)

    def face(self, leg: Leg, holes: Holes, free: str = "") -> Face:
        """The face as a rectangle; its free corners ('top' or 'bottom') worked as the bracket says."""
        radius, chamfer = self.bracket.corner_radius, self.bracket.corner_chamfer
        corners = [
            Corner(x, y, radius, chamfer) if free == end else Corner(x, y)
            for x, y, end in (
                (0.0, 0.0, "bottom"),
                (self.bracket.length, 0.0, "bottom"),
                (self.bracket.length, leg.straight, "top"),
                (0.0, leg.straight, "top"),
            )
        ]
        try:
            outline = Outline.from_corners(corners)
        except OutlineError as error:
            key = "corner_radius" if radius else "corner_chamfer"
            what = f'too large for face "{leg.name}", which is {figure(leg.straight)} mm from bend to edge'
            self.problems.append(Problem((*self.path, key), what, "a smaller one"))
            raise Unfit from error
        return Face(leg.name, outline, tuple(leg.to_face(hole) for hole in holes.get(leg.name, ())))

    def on_top(self, parent: Leg, tree: FoldTree, up: bool = True) -> Flange:
        """A flange on the parent's upper edge."""
        return Flange(self.bend, 0.0, parent.straight, 0.0, up, tree)

    def at_bottom(self, tree: FoldTree, up: bool = True) -> Flange:
        """A flange on the parent's lower edge."""
        return Flange(self.bend, self.bracket.length, 0.0, math.pi, up, tree)


@dataclass(frozen=True, eq=False)
class Shape:
    """The faces of a bracket, root first, and the tree built of them with given holes."""

    legs: tuple[Leg, ...]
    tree: Callable[[Holes], FoldTree]


# -- the shapes ---------------------------------------------------------------
def angle(s: Sizes) -> Shape:
    """Two legs; a is the root, b hangs on its upper edge."""
    assert s.bracket.legs is not None
    a = s.leg("a", ("legs", 0), s.bracket.legs[0], "root")
    b = s.leg("b", ("legs", 1), s.bracket.legs[1], "on")

    def tree(holes: Holes) -> FoldTree:
        return FoldTree(s.face(a, holes, "bottom"), (s.on_top(a, FoldTree(s.face(b, holes, "top"))),))

    return Shape((a, b), tree)


def channel(s: Sizes) -> Shape:
    """A web with a flange on either edge, both turned the same way."""
    assert s.bracket.web is not None
    assert s.bracket.flanges is not None
    web = s.leg("web", ("web",), s.bracket.web, "on", bends=2)
    left = s.leg("left", ("flanges", 0), s.bracket.flanges[0], "back")
    right = s.leg("right", ("flanges", 1), s.bracket.flanges[1], "on")

    def tree(holes: Holes) -> FoldTree:
        flanges = [FoldTree(s.face(leg, holes, "top")) for leg in (left, right)]
        return FoldTree(s.face(web, holes), (s.at_bottom(flanges[0]), s.on_top(web, flanges[1])))

    return Shape((web, left, right), tree)


def hat(s: Sizes) -> Shape:
    """A crown, two sides, and brims turned back.

    Outside: crown and height over all of the metal, brims from the inner skin of the sides out.
    Inside: the room under the crown, brims from the outer skin of the sides out.
    """
    assert s.bracket.crown is not None
    assert s.bracket.sides is not None
    assert s.bracket.brims is not None
    crown = s.leg("crown", ("crown",), s.bracket.crown, "on", bends=2)
    pairs = [
        (
            s.leg(f"{hand} side", ("sides", i), s.bracket.sides[i], place, reverse_bends=1),
            s.leg(f"{hand} brim", ("brims", i), s.bracket.brims[i], place),
        )
        for i, (hand, place) in enumerate((("left", "back"), ("right", "on")))
    ]

    def tree(holes: Holes) -> FoldTree:
        left, right = (
            FoldTree(s.face(side, holes), (s.on_top(side, FoldTree(s.face(brim, holes, "top")), up=False),))
            for side, brim in pairs
        )
        return FoldTree(s.face(crown, holes), (s.at_bottom(left), s.on_top(crown, right)))

    return Shape((crown, *pairs[0], *pairs[1]), tree)


SHAPES: dict[str, Callable[[Sizes], Shape]] = {"angle": angle, "channel": channel, "hat": hat}
