"""The outline of an opening or a panel, by any of the ways to give one: as for a plate, taped, by stations."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.geometry.plane.measured_edge import bulge_of_bow, edge_through
from fabgen.geometry.plane.outline import Corner, Outline, Vertex, Xy
from fabgen.geometry.plane.tangent_arcs import filleted
from fabgen.geometry.sheet.taped_polygon import Adjusted, Measure, TapedError, adjusted, out_of_plane
from fabgen.job.tables.cover_tables import Baseline, are_neighbours, corner_pair
from fabgen.parts.cover.cover_request import CoverDevelopment, CoverRequest
from fabgen.parts.piece import Concern, fact
from fabgen.parts.shape.outlines import crossing_words
from fabgen.parts.sheet.request import outline_of
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, number, sentence

SIGHT = 1.5
"""Taped measures that stand out by more than this many times the tape's reading do not agree: three standard
deviations, a reading being two of them (common practice, no source)."""
BEYOND = 2.5
"""By more than this, five standard deviations, they are no chance (fewer than one reading in a million, by the normal
distribution's tails): the part stops, for it would be cut off what was taped."""

STRAIGHT = 0.01
"""A side that bows no more than this is straight, mm."""


def opening_of(request: CoverRequest) -> CoverDevelopment:
    """The opening or panel as it is given, before it is fitted: its outline, how that came about, and what of it needs
    a second look.

    Raises:
        Unfit: the outline will not do.
    """
    cover = request.given
    if cover.sides is not None:
        return _taped(request, cover.sides)
    if cover.baseline is not None:
        return _measured(request, cover.baseline)
    return CoverDevelopment(outline_of(request, cover))


def cornered(request: CoverRequest, corners: Sequence[Xy], key: str, sharp: frozenset[int] = frozenset()) -> Outline:
    """An outline through corners, with the cover's corner radius or chamfer at all but the `sharp` ones."""
    cover = request.given
    worked = [
        Corner(x, y, 0.0 if i in sharp else cover.corner_radius, 0.0 if i in sharp else cover.corner_chamfer)
        for i, (x, y) in enumerate(corners)
    ]
    own = "corner_radius" if cover.corner_radius else "corner_chamfer" if cover.corner_chamfer else key
    with request.refusing(own, "a smaller one, which leaves the edges some length"):
        outline = Outline.from_corners(worked)
    return simple(request, outline, key)


def simple(request: CoverRequest, outline: Outline, key: str) -> Outline:
    """The outline counter-clockwise; raises Unfit when it crosses itself."""
    if what := crossing_words(outline):
        raise request.unfit(key, what, "measures in the order in which one walks round the part")
    return outline.counter_clockwise()


# -- taped ----------------------------------------------------------------------
def _taped(request: CoverRequest, sides: Sequence[float]) -> CoverDevelopment:
    cover, count = request.given, len(sides)
    taped = {(min(i, (i + 1) % count), max(i, (i + 1) % count)): side for i, side in enumerate(sides)}
    taped |= {corner_pair(name, count): length for name, length in cover.diagonals.items()}
    try:
        found = adjusted(count, taped, frozenset(corner - 1 for corner in cover.inward))
    except TapedError as error:
        raise request.unfit("diagonals" if cover.diagonals else "sides", str(error), _advice(error, count)) from error
    outline = _bowed(request, found) if cover.bows else cornered(request, found.corners, "sides")
    return CoverDevelopment(
        outline,
        facts=(fact("taped", "taped", _taped_words(found)),),
        concerns=tuple(_taped_concerns(found, cover.tape, taped)),
    )


def _advice(error: TapedError, count: int) -> str:
    if error.missing:
        names = [f'"{a + 1}-{b + 1}"' for a, b in error.missing if not are_neighbours((a, b), count)]
        return f"a further diagonal: {' or '.join(names[:6])}"
    if error.pairs:
        return "measures that close: tape these three again"
    if "points inward" in str(error):
        return "inward = [numbers of the corners that point inward], as taped"
    return "sides in the order in which one walks round, each diagonal between the corners it names"


def _bowed(request: CoverRequest, found: Adjusted) -> Outline:
    """The outline with its bowed sides as arcs."""
    cover, count = request.given, len(found.corners)
    if cover.corner_chamfer:
        raise request.unfit(
            "corner_chamfer", "corners beside bowed sides take a radius, no chamfer", "corner_radius, or no bows"
        )
    bulges: dict[int, float] = {}
    for name, bow in cover.bows.items():
        a, b = corner_pair(name, count)
        first = a if b - a == 1 else b
        start, end = found.corners[first], found.corners[(first + 1) % count]
        if abs(bow) > 0.5 * math.dist(start, end):
            what = sentence(mm(bow, 2), " is more than half of the side's ", mm(math.dist(start, end), 2))
            accepted = "how far the middle of the side stands out from the straight line between its corners"
            raise request.unfit(("bows", name), what, accepted)
        bulges[first] = bulge_of_bow(start, end, bow) if abs(bow) > STRAIGHT else 0.0
    vertices = tuple(Vertex(x, y, bulges.get(i, 0.0)) for i, (x, y) in enumerate(found.corners))
    outline = simple(request, Outline(vertices), "bows")
    if not cover.corner_radius:
        return outline
    with request.refusing("corner_radius", "a smaller one, which leaves the sides some length"):
        outline = filleted(outline, cover.corner_radius)
    return simple(request, outline, "corner_radius")


def _taped_words(found: Adjusted) -> Sentence:
    count = len(found.corners)
    diagonals = len(found.measures) - count
    words = f"{count} sides" + (f" and {diagonals} diagonal{'s' if diagonals > 1 else ''}" if diagonals else "")
    if found.spare == 0:
        return sentence(f"{words}, as many as are needed and none to check them by")
    worst = found.worst
    taped, made = mm(worst.taped).named("taped"), mm(worst.made).named("made")
    return sentence(
        f"{words}, {found.spare} more than needed; adjusted together, none is changed by more than ",
        mm(abs(worst.correction)).named("most changed"),
        f" ({_named(worst, count)}: taped ",
        taped,
        ", made ",
        made,
        ")",
    )


def _named(measure: Measure, count: int) -> str:
    a, b = measure.pair
    side = are_neighbours(measure.pair, count)
    if side and b - a != 1:
        a, b = b, a
    return f"{'side' if side else 'diagonal'} {a + 1}-{b + 1}"


def _taped_concerns(found: Adjusted, tape: float, taped: dict[tuple[int, int], float]) -> list[Concern]:
    if found.spare == 0:
        enough = (
            "the taped sides and diagonals are just enough for the outline: a slip of the tape does not show; "
            "one more diagonal checks them all"
        )
        return [Concern(Level.NOTE, "taped", sentence(enough), "common practice, no source")]
    out = max(measure.stands_out for measure in found.measures)
    if out <= SIGHT * tape:
        return []
    count, worst, suspect = len(found.corners), found.worst, found.suspect
    comes_out = f"the taped measures do not agree: made to fit, {_named(worst, count)} comes out at "
    text = sentence(comes_out, mm(worst.made), ", taped ", mm(worst.taped))
    if suspect is not None:
        text = sentence(
            *(text, f"; most suspect is {_named(suspect, count)}: the others make it "),
            *(mm(suspect.without), f", not {figure(suspect.taped, 1)}"),
        )
    else:
        text = sentence(text, "; these measures do not show which one is wrong: tape them again, or one more diagonal")
    text = sentence(text, _twisted(count, taped))
    if out <= BEYOND * tape:
        return [Concern(Level.WARN, "taped", text, "W. Baarda, 1968, data snooping, from memory")]
    text = sentence(
        *(text, "; that is ", number(2.0 * out / tape), " times the chance error of a tape read within ", mm(tape, 2)),
        ": do not cut it before it is taped again, or a true `tape` is given",
    )
    source = "W. Baarda, 1968, data snooping, from memory; beyond 5 by chance once in a million"
    return [Concern(Level.STOP, "taped", text, source)]


def _twisted(count: int, taped: dict[tuple[int, int], float]) -> Sentence:
    """Whether four corners out of one plane would explain the misfit."""
    if count != 4 or len(taped) != 6:
        return sentence()
    lift = out_of_plane(taped)
    if lift is None:
        return sentence("; an opening that is not flat would not explain it")
    explain = " out of the plane of the others would explain it as well"
    return sentence("; an opening with one corner ", mm(lift, 0), explain)


# -- stations -------------------------------------------------------------------
def _measured(request: CoverRequest, line: Baseline) -> CoverDevelopment:
    """Along the right-hand stations or the baseline, and back along the left-hand ones."""
    left = _chain(request, line, "stations", line.stations, 1.0)
    below = line.right
    between = line.between
    right = [(0.0, 0.0), (line.length, 0.0)] if below is None else _chain(request, line, "right", below, -1.0)
    chains = (
        ("right", right, "straight" if below is None else line.right_between or between),
        ("stations", left[::-1], between),
    )
    vertices: list[Vertex] = []
    for key, chain, way in chains:
        with request.refusing(("baseline", key), "each station once"):
            made = edge_through(chain, way)
        vertices += [*made, Vertex(*chain[-1])]
    kept = [
        v
        for i, v in enumerate(vertices)
        if math.hypot(v.x - vertices[i - 1].x, v.y - vertices[i - 1].y) > 1e-6 or vertices[i - 1].bulge
    ]
    outline = simple(request, Outline(tuple(kept)), "baseline")
    curves = {"straight": "straight lines", "spline": "a batten's curve, as arcs", "arc": "arcs"}[between]
    more = "" if below is None else f"; {len(below)} stations on its right"
    along = f"{len(line.stations)} stations along a baseline of "
    stations = fact("stations", "stations", along, mm(line.length, 2), f", {curves} between them{more}")
    return CoverDevelopment(outline, facts=(stations,))


def _chain(
    request: CoverRequest, line: Baseline, key: str, stations: Sequence[Sequence[float]], way: float
) -> list[Xy]:
    """The stations of one side as points; raises Unfit where they go back or past the baseline."""
    strictly = (line.between if key == "stations" else line.right_between or line.between) == "spline"
    before = -math.inf
    for i, (along, _) in enumerate(stations):
        if not -1e-9 <= along <= line.length + 1e-9:
            what = sentence(mm(along, 2), " lies off the baseline, which is ", mm(line.length, 2), " long")
            raise request.unfit(("baseline", key, i), what, sentence("0 to ", mm(line.length, 2), " along it"))
        if along < before - 1e-9 or (strictly and along <= before + 1e-9):
            what = sentence("the station at ", mm(along, 2), " does not lie beyond the one before, at ", mm(before, 2))
            accepted = "stations in the order in which they come along the baseline"
            raise request.unfit(("baseline", key, i), what, accepted)
        before = along
    return [(along, way * offset) for along, offset in stations]
