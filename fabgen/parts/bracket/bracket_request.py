"""A bracket as the job gives it: its bends, notches, hems, legs and the hole of an ear; and its shape as built."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from fabgen.geometry.plane.outline import Corner, Outline, OutlineError, Xy
from fabgen.geometry.sheet.flange_ends import Closing
from fabgen.geometry.sheet.fold_tree_building import NO_RELIEF, FaceSketch, Hinge, HungFace, Relief
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.errors import Path
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.parts.piece import Concern, Fact, Hole
from fabgen.parts.sheet.bend_data import bend_k, inside_radius
from fabgen.parts.sheet.face_axes import FaceAxes
from fabgen.parts.sheet.holes import PlacedHole, bolt_hole
from fabgen.parts.sheet.request import SheetRequest
from fabgen.parts.sheet.seats import Foot
from fabgen.shop.bending.bend_radii import Rolling
from fabgen.shop.bending.bends import COMMON, KFactor
from fabgen.shop.threaded.clearance_holes import clearance
from fabgen.wording.sentence import mm, sentence

KERF_ROOM = 0.5
"""A notch is wider than the job's kerf by this, mm."""
LEAST_NOTCH = 1.5
"""Least width of a notch beside a bend, mm: narrower ones are hard to cut clean (common practice, no source)."""
EAR = 2.0
"""Radius of an ear's end over the bolt's diameter (common practice, no source)."""
MOST_ROUND = 15.0
"""Metal round a plain hole of an ear: as wide as the hole, but not more than this, mm (common practice, no source)."""
FOLDED_ALONG_X = ("angle", "channel", "zed", "hat", "clevis", "saddle")
FOLDED_ALONG_Y = ("tabbed",)
"""Shapes all of whose folds run along the flat's x, and along its y."""
CLOSED_HEM = KFactor(
    0.5, sentence(f"the rule that a closed hem's flat is 0.43 of the thickness under its legs, {COMMON}")
)
"""With K = 0.5 and no inside radius legs less flat is (2 - pi / 2) t = 0.43 t."""


@dataclass(frozen=True, slots=True)
class LegEnd:
    """What ends a leg: a bend, at whose outer skin an outside size ends and at whose inner one an inside size; a
    hem, which is a free edge, is measured over its fold either way."""

    bend: Bend

    def taken(self, outside: bool) -> float:
        """Tangent line to where the size ends, mm."""
        return self.bend.setback if outside or self.bend.is_hem else self.bend.inner


@dataclass(frozen=True, slots=True)
class Leg:
    """One face of a strip: its straight part and its size measured outside and inside, mm."""

    name: str
    straight: float
    outside: float
    inside: float


@dataclass(frozen=True, eq=False)
class BracketShape:
    """A bracket's root leaf; for each face that takes holes its axes; made sizes; the holes that the
    shape itself brings, facts and concerns to tell and lines to etch as (face, points in (u, v)).

    `words` are what the sizes over all are called, along the root's x, y and z; '' = not listed.  `feet` are cut to
    the tubes they sit on.
    """

    leaf: FaceSketch
    axes: Mapping[str, FaceAxes]
    sizes: tuple[tuple[str, float], ...] = ()
    holes: tuple[PlacedHole, ...] = ()
    facts: tuple[Fact, ...] = ()
    lines: tuple[tuple[str, tuple[Xy, ...]], ...] = ()
    concerns: tuple[Concern, ...] = ()
    words: tuple[str, str, str] = ("over all, along x", "over all, along y", "over all, high")
    feet: tuple[Foot, ...] = ()


@dataclass(frozen=True, eq=False)
class BracketRequest(SheetRequest[Bracket]):
    """A bracket as the job gives it, with what its builders make of its keys."""

    factors: dict[Bend, KFactor] = field(default_factory=dict)
    """K of every bend that was made, and where it comes from."""

    @property
    def outside(self) -> bool:
        return self.given.measured == "outside"

    def taken(self, bend: Bend) -> float:
        """What of a leg's size, as the part is measured, lies beyond the bend's tangent line, mm."""
        return LegEnd(bend).taken(self.outside)

    # -- bends ----------------------------------------------------------------
    def bend(self, angle: float | None = None, radius: float | None = None) -> Bend:
        """A bend of the part; what is not given is the part's."""
        given = self.given
        if angle is None:
            angle = math.pi / 2.0 if given.bend_angle is None else given.bend_angle
        if radius is None:
            radius = inside_radius(self, self.rolling, angle) if given.radius is None else given.radius
        return self._with_k(angle, radius, bend_k(self, radius))

    @property
    def rolling(self) -> Rolling:
        """How the folds lie to the sheet's rolling direction; 'along', the harder way, unless all run across it."""
        runs_across = {"across": FOLDED_ALONG_X, "along": FOLDED_ALONG_Y}.get(self.given.grain or "", ())
        return "across" if self.given.shape in runs_across else "along"

    def hem(self, gap: float) -> Bend:
        """A hem with that much room inside."""
        if gap > 0.0:
            return self.bend(math.pi, gap / 2.0)
        own = self.given.k
        return self._with_k(math.pi, 0.0, CLOSED_HEM if own is None else KFactor(own, sentence("the job file")))

    def _with_k(self, angle: float, radius: float, found: KFactor) -> Bend:
        bend = Bend(self.thickness, radius, angle, found.value)
        self.factors[bend] = found
        return bend

    # -- notches and corners --------------------------------------------------------
    def relief(self, kind: str | None = None) -> Relief:
        """The notch beside a bend's end."""
        given = self.given
        name = kind or given.relief or "round"
        if name == "none":
            return NO_RELIEF
        # Whoever cuts it himself cannot cut a notch narrower than the kerf.
        kerf = self.job.job.kerf_offset
        usual = max(self.thickness, LEAST_NOTCH, kerf + KERF_ROOM if kerf else 0.0)
        width = usual if given.relief_width is None else given.relief_width
        depth = width / 2.0 if given.relief_depth is None else given.relief_depth
        if name == "rectangular":
            return Relief("rectangular", width, depth)
        return Relief("round", width, max(depth, width / 2.0))

    @property
    def closing(self) -> Closing:
        kind = self.given.corner or "open"
        usual = 0.5 if kind == "gap" else 0.0
        return Closing(kind, usual if self.given.corner_gap is None else self.given.corner_gap)

    # -- legs -------------------------------------------------------------------
    @cached_property
    def fold(self) -> Bend:
        """The bend that all folds of a plain shape are."""
        return self.bend()

    @cached_property
    def free(self) -> tuple[LegEnd, ...]:
        """What ends a leg at a free edge: nothing, or a hem."""
        if self.given.hem is None:
            return ()
        return (LegEnd(self.hem(self.given.hem_gap or 0.0)),)

    def leg(self, name: str, key: Path, size: float, *ends: LegEnd) -> Leg:
        """A face of the given `size` between its `ends` and free edges."""
        taken = sum(end.taken(self.outside) for end in ends)
        straight = size - taken
        if straight < 1e-6:
            what = sentence(mm(size, 2), f" is too short for its bend{'s' if len(ends) > 1 else ''}")
            accepted = sentence("more than ", mm(taken, 2), ", which the bend alone takes up; or a smaller radius")
            self.fault(key, what, accepted)
        outside, inside = (sum(end.taken(way) for end in ends) for way in (True, False))
        return Leg(name, straight, straight + outside, straight + inside)

    # -- leaves -------------------------------------------------------------------
    def corners(self, name: str, corners: Sequence[Corner], height: float) -> tuple[Corner, ...]:
        """The corners, once it is sure that their radius or chamfer finds room on the face."""
        try:
            Outline.from_corners(corners)
        except OutlineError as error:
            key = "corner_radius" if self.given.corner_radius else "corner_chamfer"
            what = sentence(f'too large for face "{name}", which is ', mm(height, 2), " from bend to edge")
            raise self.unfit(key, what, "a smaller one") from error
        return tuple(corners)

    def strip(self, name: str, height: float, beyond: HungFace | None = None) -> Callable[[Hinge], FaceSketch]:
        """A plain flange, `height` mm from its tangent line to its free edge, or to the mould line of
        what hangs on its far edge."""
        radius, chamfer = self.given.corner_radius, self.given.corner_chamfer

        def leaf(hinge: Hinge) -> FaceSketch:
            if beyond is None:
                return FaceSketch(name, self.corners(name, hinge.strip(height, radius, chamfer), height))
            corners, far = hinge.strip(height), hinge.far_edge(height)
            return FaceSketch(name, corners, (replace(beyond, edge=far, first=corners[far + 1].x),))

        return leaf

    def hung_hem(self, name: str, up: bool, edge: int = 0) -> HungFace | None:
        """The part's hem to hang on a free edge of the face `name`, whose inside is up or down; None without one."""
        if not self.free:
            return None
        bend, length = self.free[0].bend, self.given.hem or 0.0
        straight = length - bend.setback
        if straight < 1e-6:
            what = sentence(mm(length, 2), " is too short for its fold")
            raise self.unfit("hem", what, sentence("more than ", mm(bend.setback, 2), ", over the fold"))
        way = up if self.given.hem_fold != "out" else not up
        return HungFace(f"{name} hem", edge, bend, bend.setback, self.strip(f"{name} hem", straight), way)

    # -- the hole of an ear ---------------------------------------------------------
    def pin(self) -> Hole:
        """The hole that the shape itself has, at (0, 0), by `bolt` or `diameter`.  Raises Unfit."""
        return bolt_hole(self, self.given)

    def end_radius(self, hole: Hole) -> float:
        """Radius of the rounded end about that hole, mm."""
        x0, _, x1, _ = hole.shape.bounds
        usual = (x1 - x0) / 2.0 + min(x1 - x0, MOST_ROUND)
        if hole.bolt:
            usual = EAR * clearance(hole.bolt).nominal
        radius = usual if self.given.end_radius is None else self.given.end_radius
        if radius < (x1 - x0) / 2.0 + 1e-6:
            what = sentence("a rounded end of ", mm(radius, 2), " leaves no metal about a hole of ", mm(x1 - x0, 2))
            raise self.unfit("end_radius", what, "1.5 times the hole's diameter or more")
        return radius

    def pinned(self, hole: Hole, at: Xy, face: str) -> PlacedHole:
        """That hole at (u, v) of a face."""
        key = next(key for key in ("bolt", "bush", "diameter") if getattr(self.given, key) is not None)
        return PlacedHole((*self.path, key), at, replace(hole, shape=hole.shape.moved(*at)), face)


def left_and_right(
    root: str, length: float, bend: Bend, leaf: Callable[[str], Callable[[Hinge], FaceSketch]]
) -> tuple[tuple[HungFace, ...], dict[str, FaceAxes]]:
    """Flanges "left" and "right" on the lower and upper edge of the face `root`, which is `length` mm long, each
    with its leaf by its name; and the axes of all three."""
    hung = tuple(HungFace(name, edge, bend, bend.setback, leaf(name)) for name, edge in (("left", 0), ("right", 2)))
    back, on = FaceAxes.of_flange(bend.setback, against=length), FaceAxes.of_flange(bend.setback)
    return hung, {root: FaceAxes(), "left": back, "right": on}
