"""Flat covers: caps that close an opening, and panels, also between points in space."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from shapely import LineString

from fabgen.geometry.plane.offset import offset
from fabgen.geometry.plane.outline import Loop, OutlineError
from fabgen.geometry.plane.regions import region
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.sheet.folds import Bend
from fabgen.geometry.sheet.space_panel import SpacePanel, creased, flattened, parts_between, space_panel
from fabgen.geometry.sheet.unfolding import Side
from fabgen.job.errors import InputError
from fabgen.job.tables.cover_tables import corner_pair
from fabgen.parts.cover.cover_outlines import cornered, opening_of
from fabgen.parts.cover.cover_request import STEEPEST, CoverDevelopment, CoverRequest
from fabgen.parts.cover.drains_and_beads import blocked, drain, vent
from fabgen.parts.piece import Concern, Fact, FlatBend, fact
from fabgen.parts.sheet.bend_data import brake_facts
from fabgen.parts.sheet.holes import PlacedHole
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, degrees, joined, mm, number, sentence


def cap(request: CoverRequest) -> CoverDevelopment:
    """The opening's outline moved in by the weld gap, or out by the overlap, with a drain hole."""
    gap = request.job.job.weld_gap if request.given.weld_gap is None else request.given.weld_gap
    return replace(_laid(request, gap, "opening"), closes=True)


def panel(request: CoverRequest) -> CoverDevelopment:
    """The outline as it is given, or moved in by a weld gap or out by an overlap where the job says so."""
    return _laid(request, request.given.weld_gap or 0.0, "panel")


def _laid(request: CoverRequest, gap: float, what: str) -> CoverDevelopment:
    given, closes = _given(request), what == "opening"
    outline = _fitted(request, given.outline, gap)
    folds = tuple(_on_metal(bend, outline) for bend in given.bends)
    drains = drain(request, outline, folds, wanted=closes)
    vents = vent(request, outline, folds, drains)
    x0, y0, x1, y1 = given.outline.bounds
    as_given = outline is given.outline
    return replace(
        given,
        outline=outline,
        own=(*drains, *vents),
        sizes=() if as_given else ((f"{what}, width", x1 - x0), (f"{what}, height", y1 - y0)),
        facts=(*given.facts, _fit_fact(request, gap), *_hole_facts(drains, vents, closes)),
        bends=folds,
        concerns=(*given.concerns, *blocked(request, outline, (*drains, *vents))),
        # The surface of a folded one ends at its points, be some taken off or lapped over.
        frame=given.frame if as_given or not given.surface else None,
    )


def _fitted(request: CoverRequest, outline: Loop, gap: float) -> Loop:
    cover = request.given
    key, distance = ("overlap", cover.overlap) if cover.overlap else ("weld_gap", -gap)
    if not distance:
        return outline
    with request.refusing(key, f"a smaller {key}, or an outline whose fillets and edges are larger than it"):
        return offset(outline, distance)


def _fit_fact(request: CoverRequest, gap: float) -> Fact:
    if overlap := request.given.overlap:
        return fact("fit", "fit", "laps ", mm(overlap, 2).named("overlap"), " over the opening")
    if gap:
        return fact("fit", "fit", "weld gap ", mm(gap, 2).named("weld gap"), " all round")
    return fact("fit", "fit", "as large as given, no gap and no overlap")


def _hole_facts(drains: Sequence[PlacedHole], vents: Sequence[PlacedHole], closes: bool) -> Iterator[Fact]:
    if drains:
        yield fact("drain", "drain", "by the lowest edge as drawn: fit the cover that way up")
    elif closes:
        yield fact("drain", "drain", "none, as the job says")
    if vents:
        yield fact("vent", "vent", "by the highest edge as drawn; leave it open while welding")


def _on_metal(bend: FlatBend, outline: Loop) -> FlatBend:
    """The bend line as long as the moved outline makes it."""
    (ax, ay), (bx, by) = bend.start, bend.end
    length = math.dist(bend.start, bend.end)
    ux, uy = (bx - ax) / length, (by - ay) / length
    line = LineString([(ax - ux * length, ay - uy * length), (bx + ux * length, by + uy * length)])
    parts = line.intersection(region(outline))
    longest = max(getattr(parts, "geoms", [parts]), key=lambda part: part.length)
    (sx, sy), (ex, ey) = longest.coords[0], longest.coords[-1]
    return FlatBend((float(sx), float(sy)), (float(ex), float(ey)), bend.bend, bend.up, bend.name)


# -- between points in space ------------------------------------------------------
def _given(request: CoverRequest) -> CoverDevelopment:
    """The opening or panel before it is fitted: from its points in space, or as its outline is given."""
    points = request.given.points
    if points is None:
        return opening_of(request)
    # An opposite hand is made as the part itself, so between the points as that has them, but for where it stands.
    side = [1.0, -1.0 if request.given.opposite_of else 1.0, 1.0]
    try:
        shape = space_panel(np.array([point.xyz for point in points]) * side)
    except (OutlineError, ValueError) as error:
        raise request.unfit("points", str(error), "three corners or more that do not lie in a line") from error
    creases = _creases(request, len(points))
    if creases:
        return _folded(request, shape, creases)
    flat = flattened(shape)
    outline = cornered(request, flat.corners, "points")
    if shape.is_flat:
        plane = fact("points", "points", f"{len(points)} corners in space, in one plane")
        return CoverDevelopment(outline, facts=(plane,), frame=shape.frame)
    pulled = sentence(
        "not flat: ",
        _twist_words(shape),
        "; cut flat, its edges and diagonals change by up to ",
        mm(flat.most).named("change"),
        f" ({flat.side[0] + 1}-{flat.side[1] + 1}) when it is pulled into place",
    )
    fold = f"; or fold it along a diagonal, {_example(len(points))}"
    concern = Concern(Level.WARN, "twist", sentence("the panel is ", pulled, fold))
    return CoverDevelopment(outline, facts=(fact("twist", "twist", pulled),), concerns=(concern,))


def _twist_words(shape: SpacePanel) -> Sentence:
    if len(shape.points) == 4:
        a, b, c, d = shape.points
        across = np.cross(b - a, c - a)
        off = abs(float((d - a) @ across)) / float(np.linalg.norm(across))
        return sentence("corner 4 stands ", mm(off).named("corner 4"), " out of the plane of 1, 2 and 3")
    high = max(range(len(shape.over)), key=lambda i: shape.over[i])
    low = min(range(len(shape.over)), key=lambda i: shape.over[i])
    over, under = mm(shape.over[high]).named(f"corner {high + 1}"), mm(-shape.over[low]).named(f"corner {low + 1}")
    middle = " over the plane nearest to all of them, corner "
    return sentence("corner ", high + 1, " stands ", over, middle, low + 1, " ", under, " under it")


def _example(count: int) -> str:
    return 'creases = ["1-3"] or ["2-4"]' if count == 4 else 'e.g. creases = ["1-3", "3-5"]'


def _creases(request: CoverRequest, count: int) -> list[Side]:
    found: list[Side] = []
    for i, name in enumerate(request.given.creases):
        try:
            pair = corner_pair(name, count)
        except InputError as fault:
            raise request.unfit(("creases", i), fault.said, fault.takes) from fault
        with request.refusing(("creases", i), 'folds between corners that do not cross, e.g. ["1-3", "3-5"]'):
            parts_between(count, [*found, pair])
        found.append(pair)
    return found


def _folded(request: CoverRequest, shape: SpacePanel, creases: list[Side]) -> CoverDevelopment:
    radius, k, t = request.radius, request.k, request.thickness
    with request.refusing("creases", 'folds that leave every part flat, e.g. ["1-3"]'):
        made = creased(shape, creases, request.deduction)
    steep = [side for _, _, angle, side in made.bends if abs(angle) > STEEPEST]
    if steep:
        what = f"the crease {steep[0][0] + 1}-{steep[0][1] + 1} would be folded by more than 150 degrees"
        raise request.unfit("creases", what, "corners in the order one walks round, folds of up to 150 degrees")
    at_crease = frozenset(corner for side in creases for corner in side)
    outline = cornered(request, made.points, "points", sharp=at_crease)
    bends = tuple(
        FlatBend(start, end, Bend(t, radius, abs(angle), k.value), angle < 0.0, f"crease {side[0] + 1}-{side[1] + 1}")
        for start, end, angle, side in made.bends
        if abs(angle) > 1e-6
    )
    folds = joined("; ", (_fold_words(angle, side) for _, _, angle, side in made.bends))
    inside, factor = mm(radius, 2).named("inside radius"), number(k.value, 3).named("K")
    facts = [
        fact("folds", "folds", folds, "; inside radius ", inside, ", K ", factor, " from ", k.source),
        *brake_facts(request, bends),
        fact("points", "points", "corners lie on the middle of the sheet"),
    ]
    surface = _facets(shape, creases, t)
    return CoverDevelopment(outline, bends=bends, surface=surface, facts=tuple(facts), frame=shape.frame)


def _fold_words(angle: float, side: Side) -> Sentence:
    name = f"{side[0] + 1}-{side[1] + 1}"
    return sentence(f"{name} by ", degrees(abs(angle)).named(name), f" {'toward' if angle < 0 else 'away'}")


def _facets(shape: SpacePanel, creases: list[Side], thickness: float) -> tuple[Facet, ...]:
    """Both skins of every part, half the thickness off the corners."""
    facets: list[Facet] = []
    for part in parts_between(len(shape.points), creases):
        points = shape.points[part]
        around = np.cross(points - points[0], np.roll(points, -1, axis=0) - points[0]).sum(axis=0)
        n = around / np.linalg.norm(around) * thickness / 2.0
        drawn = (True,) * len(part)
        facets.append(Facet("top", "", points + n, drawn))
        facets.append(Facet("bottom", "", (points - n)[::-1], drawn))
    return tuple(facets)
