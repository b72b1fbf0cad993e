"""Brackets that sit on tubes by their edges: the saddle over one tube, the gusset between two members."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from fabgen.geometry.plane.outline import Corner, Vertex, Xy
from fabgen.geometry.sheet.flange_ends import ORIGIN, FlangeStance
from fabgen.geometry.sheet.fold_tree_building import FaceSketch, Hinge, HungFace
from fabgen.geometry.sheet.folds import Bend
from fabgen.geometry.sheet.tube_seats import PlateEdge
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.solids import RoundBar, RoundedPrism
from fabgen.parts.bracket.bracket_request import BracketRequest, BracketShape, LegEnd, left_and_right
from fabgen.parts.bracket.members import ALIKE, angles_between
from fabgen.parts.piece import Concern, fact
from fabgen.parts.shape.outlines import rectangle_corners
from fabgen.parts.sheet.face_axes import FaceAxes
from fabgen.parts.sheet.seats import Foot, SeatEdge, foot, seat_words, section_of, tube_under
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import degrees, mm, sentence

TRIED = 721
"""Places along a saddle's flange that are tried for whether the tube is there."""
CLEAR = 1e-9
GRAZE, UPRIGHT = 1e-4, 1.0
"""An edge that rises by more than UPRIGHT mm within GRAZE mm runs up a side of the tube."""
LEAST_STEP = 0.01
"""Steps of a saddle's edge smaller than this are left out, mm."""


# -- saddle ---------------------------------------------------------------------
def saddle(request: BracketRequest) -> BracketShape:
    """A channel whose flanges are cut to sit on a tube that lies under its web; as a rule across them."""
    given, fold = request.given, request.fold
    assert given.web is not None
    assert given.length is not None
    assert given.height is not None
    assert given.sits
    web = request.leg("web", ("web",), given.web, LegEnd(fold), LegEnd(fold))
    depth = given.height if given.depth is None else given.depth
    if depth <= fold.setback + 1e-6:
        request.fault(
            "depth", sentence(mm(depth, 2), " is no deeper than the bend"), sentence("more than ", mm(fold.setback, 2))
        )
    if len(given.sits) > 1:
        request.fault("sits", "a saddle sits on one tube", "one table or section")
    request.need_no_faults()
    seat = given.sits[0]
    section = section_of(request, seat.onto, "sits", "onto")
    if section is None:
        raise request.unfit(
            "sits", "a saddle sits on a tube", 'a section or the mark of a tube; on a flat shape = "channel"'
        )
    turn = math.pi / 2.0 if seat.turn is None else seat.turn
    # Seen from the tube the web lies above: its outside is z = 0, the tube's axis at z = height.
    middle = Frame(
        np.array([given.length / 2.0, web.outside / 2.0, given.height]),
        ORIGIN.x,
        -ORIGIN.z,
        ORIGIN.y,
    )
    tube = tube_under(seat, section, middle, turn)
    length, across = given.length, web.outside
    standings = {
        "left": FlangeStance(fold, True, length, fold.setback, math.pi),
        "right": FlangeStance(fold, True, 0.0, across - fold.setback, 0.0),
    }
    hung, axes = left_and_right(
        "web",
        length,
        fold,
        lambda name: _seated(request, name, standings[name].frame, tube, depth - fold.setback),
    )
    sizes = [("length along the folds", length), ("web, outside", web.outside), ("web, inside", web.inside)]
    sizes += [("web's outside to the tube's axis", given.height), ("flanges, outside", depth)]
    square = "; edges are cut square to the sheet, where the first of its skins touches"
    sits = fact("sits-on", "sits on", seat_words(seat, section, turn), square)
    leaf = FaceSketch("web", tuple(rectangle_corners(length, across)), hung)
    lines = (("web", _over_web(middle, turn, seat.offset, length, across)),)
    names = ("", "over all, along the web", "over all, square to the web")
    on = Foot.of(request, seat, section, "web", middle, turn)
    return BracketShape(leaf, axes, tuple(sizes), facts=(sits,), lines=lines, words=names, feet=(on,))


def _over_web(middle: Frame, turn: float, offset: float, length: float, across: float) -> tuple[Xy, Xy]:
    """The line on the web over the tube's axis, as long as the web can be."""
    along = math.cos(turn) * middle.x + math.sin(turn) * middle.z
    aside = math.cos(turn) * middle.z - math.sin(turn) * middle.x
    point, reach = middle.origin + offset * aside, math.hypot(length, across)
    start, end = point - reach * along, point + reach * along
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))


def _seated(
    request: BracketRequest, name: str, frame: Frame, tube: RoundBar | RoundedPrism, reach: float
) -> Callable[[Hinge], FaceSketch]:
    """A flange down to `reach` mm from its tangent line, or to the tube where that comes first."""

    def leaf(hinge: Hinge) -> FaceSketch:
        # Turned half round, so that the flange's body lies above its edge.
        turned = Frame(frame.origin, -frame.x, -frame.y, frame.z)
        edge = PlateEdge(turned, request.thickness, tube)
        path = _edge_path(edge, -hinge.x1, -hinge.x0, -reach)
        heights = edge.heights(np.linspace(-hinge.x1, -hinge.x0, TRIED))
        # Not the path's vertices: half a round is one arc, both of whose ends may lie at the level.
        if not np.nanmax(heights, initial=-math.inf) > CLEAR - reach:
            what = f"the {name} flange does not reach the tube"
            raise request.unfit(
                "depth" if request.given.depth else "height", what, "a flange that comes down to the tube"
            )
        if np.nanmax(heights, initial=-math.inf) > -CLEAR:
            raise request.unfit("height", "the tube reaches into the bends", "a web farther from the tube")
        far = tuple(Vertex(-vertex.x, -vertex.y, vertex.bulge) for vertex in path)
        corners = (
            Corner(hinge.x0, 0.0),
            Corner(hinge.x1, 0.0),
            Corner(far[0].x, far[0].y),
            Corner(far[-1].x, far[-1].y),
        )
        return FaceSketch(name, corners, curves={2: far[:-1]})

    return leaf


def _edge_path(edge: PlateEdge, start: float, end: float, level: float) -> list[Vertex]:
    """The lower edge of a plate from x = `start` to `end`, both ends included: at y = `level`, and on the
    tube wherever the plate meets that above this level."""
    places = np.array(sorted({*np.linspace(start, end, TRIED), *edge.stops(start, end)}))
    on = _above(edge, places, level)
    path = [] if on[0] else [Vertex(start, level)]
    i = 0
    while i < len(places):
        if not on[i]:
            i += 1
            continue
        last = i
        while last + 1 < len(places) and on[last + 1]:
            last += 1
        a = _boundary(edge, places[i - 1], places[i], level) if i > 0 else start
        b = _boundary(edge, places[last + 1], places[last], level) if last + 1 < len(places) else end
        path += [] if a == start else [Vertex(a, level)]
        path += [*edge.vertices(a, b), Vertex(b, edge.height(b))]
        path += [] if b == end else [Vertex(b, level)]
        i = last + 1
    path += [] if on[-1] else [Vertex(end, level)]
    # Of vertices nearer than can be cut the later one stays, with the edge that leaves it.
    steps = pairwise(path)
    return [v for v, after in steps if math.dist((v.x, v.y), (after.x, after.y)) > LEAST_STEP] + path[-1:]


def _above(edge: PlateEdge, x: Array, level: float) -> Array:
    heights = edge.heights(x)
    return np.asarray(~np.isnan(heights) & (np.nan_to_num(heights, nan=-math.inf) > level))


def _boundary(edge: PlateEdge, off: float, on: float, level: float) -> float:
    """Where between two places the tube first comes above the level, at the place that is on it."""
    start = on
    for _ in range(9):
        places = np.linspace(off, on, 33)
        first = max(1, int(np.argmax(_above(edge, places, level))))
        off, on = float(places[first - 1]), float(places[first])
    # On an upright side of the tube the very last place may graze it lower down only.
    inside = on + math.copysign(GRAZE, start - off)
    return float(inside if edge.height(inside) - level > UPRIGHT else on)


# -- gusset ---------------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Side:
    """One member's edge of a gusset: what it sits on, and where its x and y lie in the gusset's plane."""

    foot: SeatEdge
    x: Xy
    y: Xy

    def point(self, along: float, over: float | None = None) -> Xy:
        """The point of the edge at its own x, or one at y = `over` above it."""
        y = self.foot.height(along) + (0.0 if over is None else over)
        return along * self.x[0] + y * self.y[0], along * self.x[1] + y * self.y[1]

    def path(self, start: float, end: float, origin: Xy) -> tuple[Vertex, ...]:
        return tuple(
            Vertex(
                v.x * self.x[0] + v.y * self.y[0] - origin[0], v.x * self.x[1] + v.y * self.y[1] - origin[1], v.bulge
            )
            for v in self.foot.vertices(start, end)
        )


def gusset(request: BracketRequest) -> BracketShape:
    """A plate between two members at an angle; u and v from its inner corner, u along the first member."""
    given, thickness = request.given, request.thickness
    assert given.legs is not None
    angle, concerns = _angle(request, given.legs)
    lip = None if given.lip is None else request.fold
    one, other = _sides(request, angle)
    a0, b0 = _inner_corner(request, one, other)
    a, b = a0 + given.legs[0], b0 - given.legs[1]

    def beside(nose: float) -> tuple[float, float]:
        near, far = one.point(a, nose), other.point(b, nose)
        return _behind(one.point(a), near, far), _behind(other.point(b), near, far)

    nose = _usual_nose(thickness, lip, beside) if given.nose is None else given.nose
    for i, (side, start, end) in enumerate(((one, a0, a), (other, b, b0))):
        if not side.foot.meets(start, end):
            request.fault(
                ("legs", i), f"the leg runs past {side.foot.words.words()}", "a leg that all stands on its member"
            )
    if given.snipe >= min(given.legs):
        request.fault("snipe", "the snipe takes all of a leg", "less than the shorter leg")
    request.need_no_faults()
    origin = one.point(a0)
    snipe = given.snipe
    path_a, path_b = one.path(a0 + snipe, a, origin), other.path(b, b0 - snipe, origin)
    ends = [one.point(a), one.point(a, nose), other.point(b, nose), other.point(b), other.point(b0 - snipe)]
    toe_a, nose_a, nose_b, toe_b, inner = ((px - origin[0], py - origin[1]) for px, py in ends)
    free_worked = () if lip else (given.corner_radius, given.corner_chamfer)
    points = [Corner(path_a[0].x, path_a[0].y), Corner(*toe_a)]
    points += [Corner(*nose_a, *free_worked)] if nose > 0.0 else []
    free = len(points) - 1
    points += [Corner(*nose_b, *free_worked)] if nose > 0.0 else []
    second = len(points)
    points += [Corner(*toe_b)] + ([Corner(*inner)] if snipe > 0.0 else [])
    curves = {0: path_a, second: path_b}
    hung: tuple[HungFace, ...] = ()
    axes = {"gusset": FaceAxes()}
    if lip is not None and given.lip is not None:
        hung = (_lip(request, lip, given.lip, free),)
        for which, room in zip(("first", "second"), beside(nose), strict=True):
            if room < lip.setback:
                what = f"the lip's bend takes all of the nose of the {which} leg"
                raise request.unfit(
                    "nose", what, sentence("another nose than ", mm(nose, 2), ", legs more alike, or a smaller radius")
                )
        axes["lip"] = FaceAxes.of_flange(lip.setback)
    sizes = [("leg on the first member", given.legs[0]), ("leg on the second member", given.legs[1])]
    facts = [fact("angle", "angle", degrees(angle, 2), " between the members")]
    if one.foot.edge is not None or other.foot.edge is not None:
        sizes.append(("inner corner from the axes' crossing, along the first member", origin[0]))
        sizes.append(("inner corner over the first member's axis", origin[1]))
    if lip is not None and given.lip is not None:
        sizes.append(("lip, outside", given.lip + lip.setback - request.taken(lip)))
    for word, side in (("first member", one), ("second member", other)):
        if side.foot.edge is not None:
            facts.append(fact("member", word, side.foot.words))
    leaf = FaceSketch("gusset", tuple(points), hung, curves=curves)
    words = ("", "", "over all, high" if lip else "")
    inward = np.array([-origin[0], -origin[1], 0.0])
    feet = tuple(
        replace(on.moved(inward), name=f"{which} leg's foot")
        for which, side in (("first", one), ("second", other))
        for on in side.foot.feet
    )
    return BracketShape(leaf, axes, tuple(sizes), facts=tuple(facts), concerns=concerns, words=words, feet=feet)


MEANT = math.radians(5.0)
"""Of two angles that tubes make, the one nearer than this to what is given is meant (common practice, no source)."""


def _angle(request: BracketRequest, legs: Sequence[float]) -> tuple[float, tuple[Concern, ...]]:
    """The angle between the members, rad: that of the tubes of the job, where both are named; a concern where the
    part gives another one.  Raises Unfit where the part must say which of two is meant."""
    given, seats = request.given.angle, request.given.sits or []
    tubes = {tube.mark: tube for tube in request.job.tube}
    named = [seat.onto for seat in seats if isinstance(seat.onto, str) and seat.onto in tubes]
    stand = [] if len(set(named)) < 2 else angles_between(tubes[named[0]], tubes[named[1]], legs)
    if not stand:
        return math.pi / 2.0 if given is None else given, ()
    marks = f"{named[0]} and {named[1]}"
    angle = stand[0] if given is None else min(stand, key=lambda each: abs(each - given))
    if len(stand) > 1 and (given is None or abs(angle - given) > MEANT):
        both = " or ".join(f"angle = {figure(math.degrees(each), 2)}" for each in stand)
        raise request.unfit("angle", f"{marks} make two angles where they cross", both)
    if given is None:
        return angle, ()
    if abs(angle - given) <= ALIKE:
        return angle, ()
    differs = sentence(degrees(given, 2), f" given, but {marks} stand at ", degrees(angle, 2), " to one another")
    advice = ": it is cut to that; mend the angle, or the points, or give sections instead of the marks"
    return angle, (Concern(Level.WARN, "gusset-angle", sentence(differs, advice)),)


def _lip(request: BracketRequest, bend: Bend, size: float, edge: int) -> HungFace:
    """The lip of that size, mm, on the gusset's edge of that number."""
    taken = request.taken(bend)
    if size < taken + 1e-6:
        what = sentence(mm(size, 2), " is too short for its bend")
        raise request.unfit("lip", what, sentence("more than ", mm(taken, 2)))
    return HungFace("lip", edge, bend, taken, request.strip("lip", size - taken))


def _usual_nose(thickness: float, lip: Bend | None, beside: Callable[[float], tuple[float, float]]) -> float:
    """Three thicknesses; with a lip as much more as lets its bend, and some metal beside it, run out over both noses
    (`beside` a nose: how far either toe then lies from the free edge), or as nearly as any nose does."""
    usual = 3.0 * thickness + (0.0 if lip is None else lip.setback)
    if lip is None:
        return usual
    tried = (usual * step for step in (1.0, 1.2, 1.45, 1.75, 2.1, 2.5))
    room = {nose: min(beside(nose)) for nose in tried}
    most = max(room, key=lambda nose: room[nose])
    return next((nose for nose in room if room[nose] > lip.setback + 0.5 * thickness), most)


def _behind(toe: Xy, start: Xy, end: Xy) -> float:
    """How far a toe lies behind the free edge, which runs from the first nose's corner to the second's, mm."""
    along, back = (end[0] - start[0], end[1] - start[1]), (toe[0] - start[0], toe[1] - start[1])
    return (along[0] * back[1] - along[1] * back[0]) / math.hypot(*along)


def _sides(request: BracketRequest, angle: float) -> tuple[_Side, _Side]:
    """The two edges: the first member along the plane's x, the second at the angle to it; the second
    edge's own x runs back to where the members' axes cross."""
    seats = list(request.given.sits or [])
    both = [seats[0] if seats else None, seats[-1] if seats else None]
    c, s = math.cos(angle), math.sin(angle)
    planes: list[tuple[Xy, Xy]] = [((1.0, 0.0), (0.0, 1.0)), ((-c, -s), (s, -c))]
    made = []
    for i, (seat, (x, y)) in enumerate(zip(both, planes, strict=True)):
        frame = Frame(np.zeros(3), np.array([*x, 0.0]), np.array([*y, 0.0]), np.array([0.0, 0.0, 1.0]))
        below = ("sits", i) if len(seats) > 1 else ("sits",)
        made.append(_Side(foot(request, seat, "gusset", frame, 0.0, *below), x, y))
    return made[0], made[1]


def _inner_corner(request: BracketRequest, one: _Side, other: _Side) -> tuple[float, float]:
    """Where the two edges meet, in the own x of each.  Newton's method on the crossing of two curves."""
    found = np.zeros(2)
    for _ in range(40):
        p, q = np.array(one.point(found[0])), np.array(other.point(found[1]))
        if np.isnan(p).any() or np.isnan(q).any():
            break
        if np.linalg.norm(p - q) < 1e-10:
            return float(found[0]), float(found[1])
        step = 1e-4
        dp = (np.array(one.point(found[0] + step)) - p) / step
        dq = (np.array(other.point(found[1] + step)) - q) / step
        found = found - np.linalg.solve(np.column_stack((dp, -dq)), p - q)
    raise request.unfit(
        "sits", "the two edges do not meet on their members", "members nearer to the plane of the gusset"
    )
