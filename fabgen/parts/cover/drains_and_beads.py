"""What goes on covers besides their shape: drain and vent holes, and stiffening beads."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import LineString, Polygon, union_all

from fabgen.geometry.plane.outline import Circle, Loop, Xy
from fabgen.geometry.plane.regions import cut_region, region
from fabgen.job.tables.cover_tables import Drain
from fabgen.parts.cover.cover_request import CoverDevelopment, CoverRequest
from fabgen.parts.piece import Concern, Fact, FlatBend, Hole, Purpose, fact
from fabgen.parts.sheet.holes import PlacedHole
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import lengths, mm, sentence

COMMON = "common practice, no source"
INSET = 15.0
"""The centre of a drain or vent hole lies this far inside the opening's edge where there is room: clear of the weld
and of what the cover sits on (common practice, no source), mm."""


# -- drain and vent ---------------------------------------------------------------
def drain(request: CoverRequest, outline: Loop, bends: Sequence[FlatBend], wanted: bool) -> tuple[PlacedHole, ...]:
    """The drain hole at the lowest edge or where the job says; none where it says so, or says nothing and `wanted` is
    False."""
    given = request.given.drain
    if given == "none" or (given is None and not wanted):
        return ()
    hole = given if isinstance(given, Drain) else Drain()
    at = (
        (hole.at[0], hole.at[1]) if hole.at else _outermost(request, outline, hole.diameter, request.holes, bends, -1.0)
    )
    return _placed(request, Purpose.DRAIN, at, hole.diameter, ', or drain = "none"')


def vent(
    request: CoverRequest, outline: Loop, bends: Sequence[FlatBend], drains: Sequence[PlacedHole]
) -> tuple[PlacedHole, ...]:
    """The vent hole at the highest edge, or where the job says, clear of the drain; none where it says none."""
    given = request.given.vent
    if given is None:
        return ()
    others = (*request.holes, *drains)
    at = (given.at[0], given.at[1]) if given.at else _outermost(request, outline, given.diameter, others, bends, 1.0)
    return _placed(request, Purpose.VENT, at, given.diameter, "")


def _placed(
    request: CoverRequest, purpose: Purpose, at: Xy | None, diameter: float, otherwise: str
) -> tuple[PlacedHole, ...]:
    if at is None:
        what = sentence(f"there is no room for a {purpose} hole of ", mm(diameter, 2))
        request.fault(purpose.value, what, f"a smaller diameter, a place at = [x, y]{otherwise}")
        return ()
    hole = Hole(Circle(*at, diameter), f"{purpose} {figure(diameter, 2)}", purpose=purpose)
    return (PlacedHole((*request.path, purpose.value), at, hole),)


def _outermost(
    request: CoverRequest,
    outline: Loop,
    diameter: float,
    others: Sequence[PlacedHole],
    bends: Sequence[FlatBend],
    way: float,
) -> Xy | None:
    """The lowest centre (highest for `way` 1), INSET from the opening's edge, or as far as there is room: then with
    a web of half the hole or twice the sheet.  That web is left to other holes and to bends, too."""
    thickness, lap = request.given.thickness, request.given.overlap
    reach = diameter / 2.0 + max(diameter / 2.0, 2.0 * thickness)
    folds = [LineString([b.start, b.end]).buffer(b.bend.allowance / 2.0 + 2.0 * thickness) for b in bends]
    taken = union_all([*(region(item.hole.shape).buffer(reach) for item in others), *folds])
    for inset in (max(INSET, reach), reach):
        room = region(outline).buffer(-inset - lap).difference(taken)
        if not room.is_empty:
            break
    else:
        return None
    x0, low, x1, high = room.bounds
    height = high - 0.005 if way > 0.0 else low + 0.005
    level = room.intersection(LineString([(x0 - 1.0, height), (x1 + 1.0, height)]))
    stretches = [g for g in getattr(level, "geoms", [level]) if g.length > 0.0]
    if not stretches:
        point = room.representative_point()
        return float(point.x), float(point.y)
    longest = max(stretches, key=lambda g: (round(g.length, 3), -g.bounds[0]))
    return float(longest.centroid.x), float(longest.centroid.y)


def blocked(request: CoverRequest, outline: Loop, holes: Sequence[PlacedHole]) -> list[Concern]:
    """Drain and vent holes, placed by the job, that the metal under the lap closes."""
    lap = request.given.overlap
    if not lap:
        return []
    inside = region(outline).buffer(-lap)
    return [
        Concern(
            Level.WARN,
            "drain",
            sentence(
                f"the hole {item.hole.label} lies on the lap of ",
                mm(lap, 2),
                ", where the metal under it closes it: put it farther in",
            ),
            COMMON,
        )
        for item in holes
        if not inside.contains(region(item.hole.shape))
    ]


# -- beads ------------------------------------------------------------------------
def bead_lines(request: CoverRequest, laid: CoverDevelopment) -> list[tuple[Xy, ...]]:
    """The middle lines of the beads; faults where one leaves the metal or doubles back."""
    if not request.given.beads:
        return []
    metal = cut_region(laid.outline, (hole.shape for hole in laid.holes))
    lines: list[tuple[Xy, ...]] = []
    for i, bead in enumerate(request.given.beads):
        points = tuple((x, y) for x, y in bead.line)
        line = LineString(points)
        if not line.is_simple or line.length < 1e-6:
            request.fault(("beads", i), "the bead crosses itself or has no length", "points in order along the bead")
        elif not metal.contains_properly(line):
            what = "the bead leaves the outline or runs into a hole"
            request.fault(("beads", i), what, "points on the metal, in the coordinates of the holes")
        else:
            lines.append(points)
    return lines


def bead_facts(request: CoverRequest) -> list[Fact]:
    """The beads in words."""
    beads = request.given.beads
    if not beads:
        return []
    widths = lengths(sorted({bead.width for bead in beads}), " and ", 2)
    words = " wide, to be rolled or pressed after cutting; their middle lines are etched: the sheet draws in a little "
    words += "along them, so roll them before trimming to fit"
    return [fact("beads", "beads", len(beads), ", ", widths, words)]


def bead_concerns(request: CoverRequest, laid: CoverDevelopment) -> list[Concern]:
    """Beads that come too near to an edge, a hole, a bend or one another."""
    found: list[Concern] = []
    strips: list[Polygon] = []
    folds = union_all([LineString([b.start, b.end]).buffer(max(b.bend.allowance / 2.0, 0.01)) for b in laid.bends])
    # The bead's own edge needs metal beside it to stand on.
    beside = 2.0 * request.given.thickness
    metal = cut_region(laid.outline, (hole.shape for hole in laid.holes)).buffer(-beside)
    for i, bead in enumerate(request.given.beads, 1):
        strip = LineString(bead.line).buffer(bead.width / 2.0)
        near = []
        if not metal.contains(strip):
            near.append("an edge or a hole")
        if strip.intersects(folds):
            near.append("a bend")
        if any(strip.buffer(beside).intersects(other) for other in strips):
            near.append("another bead")
        strips.append(strip)
        if near:
            text = f"bead {i} comes within twice the thickness of {' and '.join(near)}: it will pull it out of true"
            found.append(Concern(Level.WARN, "bead", sentence(text), COMMON))
    return found
