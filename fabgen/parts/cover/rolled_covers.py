"""Rolled covers laid flat: skirts and cones, with what other cylinders cut out of them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.geometry.plane.outline import OutlineError, Xy
from fabgen.geometry.plane.regions import crossing
from fabgen.geometry.sheet.developments import ConeFlat, cone_flat
from fabgen.geometry.sheet.rolled import RolledFlat, RolledSheet, reaches, rolled_flat
from fabgen.geometry.sheet.wall_cuts import Cutter, Wall, cut_loops
from fabgen.job.tables.cover_tables import Cover, WheelCut
from fabgen.parts.cover.cover_request import CoverDevelopment, CoverRequest
from fabgen.parts.piece import Fact, Hole, Rolled, Sector, fact
from fabgen.parts.shape.hole_groups import centre_of
from fabgen.parts.sheet.holes import PlacedHole
from fabgen.parts.sheet.request import Unfit
from fabgen.wording.sentence import EMPTY, Part, Sentence, degrees, joined, lengths, mm, sentence

FULL = 2.0 * math.pi


# -- skirt --------------------------------------------------------------------
def skirt(request: CoverRequest) -> CoverDevelopment:
    """A strip as long as the neutral line, which lies in the middle of a rolled sheet."""
    cover = request.given
    assert cover.diameter is not None
    assert cover.height is not None
    arc = FULL if cover.arc is None else cover.arc
    middle = _middle(cover, cover.diameter, 1.0)
    if middle <= cover.thickness:
        raise _too_small(request, "diameter", cover.diameter)
    length = middle / 2.0 * arc
    sheet = RolledSheet(
        Wall(middle / 2.0, middle / 2.0, cover.height, cover.thickness), arc, cover.seam, cover.seam_gap
    )
    flat = _cut(request, sheet)
    left = sheet.end(0.0, False)
    outside = middle + cover.thickness
    across, long = mm(middle, 2).named("neutral line, across"), mm(length, 2).named("neutral line, length")
    roll = _roll_fact(cover, sentence("neutral line ", across, " across, ", long, " long"))
    end = length / 2.0 - left
    return CoverDevelopment(
        flat.outline.moved(-left, 0.0),
        own=_windows(request, flat, -left, 0.0),
        rolled=Rolled(outside, outside, cover.height, arc),
        sizes=(*_diameters("diameter", middle, cover.thickness), ("height", cover.height)),
        facts=(roll, *_cut_facts(cover, sheet)),
        runs=(((end, 0.0), (end, cover.height)),) if cover.seam else (),
    )


def _too_small(request: CoverRequest, key: str, diameter: float) -> Unfit:
    return request.unfit(key, sentence(mm(diameter, 2), " is too small for the sheet"), "a larger diameter")


# -- cone ---------------------------------------------------------------------
def cone(request: CoverRequest) -> CoverDevelopment:
    """A sector of two true arcs.  Diameters are those at the sheet's square-cut edges."""
    cover = request.given
    assert isinstance(cover.bottom, float)
    assert isinstance(cover.top, float)
    assert cover.height is not None
    arc = FULL if cover.arc is None else cover.arc
    # The wall leans: from skin to neutral line it is half the thickness along the wall's normal, the
    # same at both edges, so the height between edges and the wall's slope are those of the skin.
    upright = cover.height / math.hypot(cover.height, (cover.bottom - cover.top) / 2.0)
    bottom, top = (_middle(cover, size, upright) for size in (cover.bottom, cover.top))
    if min(bottom, top) <= cover.thickness * upright:
        raise _too_small(request, "top" if top < bottom else "bottom", min(cover.bottom, cover.top))
    with request.refusing("top", 'shape = "skirt" with its diameter and height'):
        flat = cone_flat(bottom, top, cover.height, arc)
    sheet = RolledSheet(Wall(bottom / 2.0, top / 2.0, cover.height, cover.thickness), arc, cover.seam, cover.seam_gap)
    uncut = _whole(request, sheet)
    made = _cut(request, sheet) if cover.cut_outs else uncut
    left, low = uncut.outline.bounds[:2]
    thick = cover.thickness * upright
    return CoverDevelopment(
        made.outline.moved(-left, -low),
        own=_windows(request, made, -left, -low),
        rolled=Rolled(
            bottom + thick, top + thick, cover.height, arc, _sector(flat, bottom > top, cover.seam, (-left, -low))
        ),
        sizes=(
            *_diameters("bottom", bottom, thick),
            *_diameters("top", top, thick),
            ("height", cover.height),
            ("slant", flat.slant),
        ),
        facts=(_roll_fact(cover, _cone_words(flat, bottom, top)), *_cut_facts(cover, sheet)),
        runs=(_end_line(sheet, arc, left, low),) if cover.seam else (),
    )


def _whole(request: CoverRequest, sheet: RolledSheet) -> RolledFlat:
    """The uncut sector, which must not lap over itself on the flat."""
    key = "seam" if request.given.seam or not request.given.seam_gap else "seam_gap"
    with request.refusing(key, "a narrower lap"):
        uncut = rolled_flat(sheet)
    if crossing(uncut.outline) is not None:
        raise request.unfit(key, "the lap runs into the other end of the flat", "a narrower lap, or a smaller arc")
    return uncut


def _end_line(sheet: RolledSheet, arc: float, left: float, low: float) -> tuple[Xy, Xy]:
    """Where the lap begins: the sheet's right-hand end without it."""
    at = arc / 2.0 * sheet.wall.largest
    (x0, y0), (x1, y1) = sheet.on_flat((at, 0.0)), sheet.on_flat((at, sheet.wall.slant))
    return (x0 - left, y0 - low), (x1 - left, y1 - low)


def _sector(flat: ConeFlat, wide_below: bool, lap: float, apex: Xy) -> Sector:
    """The sector with its lap; without a gap at the seam."""
    more = math.asin(lap / flat.outer) if lap else 0.0
    quarter = math.pi / 2.0
    start = -quarter - flat.sweep / 2.0 if wide_below else quarter - flat.sweep / 2.0 - more
    return Sector(apex, flat.outer, flat.inner, start, flat.sweep + more)


# -- cut-outs -----------------------------------------------------------------
def _cut(request: CoverRequest, sheet: RolledSheet) -> RolledFlat:
    """The sheet less its cut-outs; raises Unfit at one that misses it or leaves it in pieces."""
    cover = request.given
    loops: list[list[Xy]] = []
    key: tuple[str | int, ...] = ("cut_out",)
    try:
        for i, cut in enumerate(cover.cut_outs):
            key = ("cut_out", i) if isinstance(cover.cut_out, list) else ("cut_out",)
            cutter = Cutter(
                cut.diameter / 2.0 + cut.clearance, cut.height, cut.offset, math.remainder(cut.around, FULL), cut.tilt
            )
            taken = cut_loops(sheet.wall, cutter)
            if not any(reaches(sheet, loop) for loop in taken):
                raise request.unfit(
                    key, "the cut-out does not reach the sheet", "a height and direction where there is sheet"
                )
            loops += taken
            made = rolled_flat(sheet, loops)
        return made if loops else rolled_flat(sheet)
    except OutlineError as error:
        at = key if cover.cut_outs else "seam"
        raise request.unfit(at, error.said, "a cut-out narrower than the skirt that leaves it in one part") from error


def _windows(request: CoverRequest, flat: RolledFlat, dx: float, dy: float) -> tuple[PlacedHole, ...]:
    moved = [window.moved(dx, dy) for window in flat.windows]
    return tuple(PlacedHole((*request.path, "cut_out"), centre_of(window), Hole(window, "cut-out")) for window in moved)


# -- words --------------------------------------------------------------------
def _middle(cover: Cover, diameter: float, upright: float) -> float:
    """The neutral line's diameter from one measured outside, inside or in the middle, mm."""
    sign = {"outside": -1.0, "inside": 1.0, "middle": 0.0}[cover.measured]
    return diameter + sign * cover.thickness * upright


def _diameters(what: str, middle: float, thick: float) -> tuple[tuple[str, float], ...]:
    return ((f"{what}, outside", middle + thick), (f"{what}, inside", middle - thick))


def _roll_fact(cover: Cover, words: Sentence) -> Fact:
    return fact("roll", "roll", words, seam_words(cover), "; drawn from outside")


def seam_words(cover: Cover) -> Sentence:
    """How the two ends meet, to follow other words."""
    if cover.seam:
        return sentence("; lap ", mm(cover.seam, 2).named("lap"), " beyond the etched line")
    if cover.seam_gap:
        return sentence("; gap at the seam ", mm(cover.seam_gap, 2).named("gap at the seam"), ", to weld")
    return EMPTY


def _cut_facts(cover: Cover, sheet: RolledSheet) -> Sequence[Fact]:
    wall = sheet.wall
    lift = wall.thickness / 2.0 * abs(wall.bottom - wall.top) / wall.slant
    cuts = [_cut_words(cut, lift) for cut in cover.cut_outs]
    return [fact("cut-out", "cut-out" if len(cuts) == 1 else "cut-outs", joined("; ", cuts))] if cuts else []


def _cut_words(cut: WheelCut, lift: float) -> Sentence:
    """A cut-out; `lift`: how far the middle of a cone's square-cut lower edge stands above the bench, mm."""
    parts: list[Part] = ["clears a cylinder of ", mm(cut.diameter, 2).named("diameter")]
    if cut.clearance:
        parts += [" by ", mm(cut.clearance, 2).named("clearance")]
    parts += [", its axis ", mm(cut.height, 2).named("height"), " above the lower edge"]
    if lift > 0.005:
        on_bench = mm(cut.height + lift, 2).named("height over the bench")
        parts += [" at the middle of the sheet's thickness, ", on_bench, " over the bench the cone stands on"]
    if cut.offset:
        side = "right" if cut.offset > 0 else "left"
        parts += [", ", mm(abs(cut.offset), 2).named(f"to the {side}"), f" to the {side}"]
    if cut.around:
        parts += [", ", degrees(cut.around, 2).named("around"), " round from the middle"]
    if cut.tilt:
        way = "rising" if cut.tilt > 0.0 else "falling"
        parts += [f", {way} outward by ", degrees(abs(cut.tilt), 2).named(way)]
    return sentence(*parts)


def _cone_words(flat: ConeFlat, bottom: float, top: float) -> Sentence:
    below, above = mm(bottom, 2).named("neutral line, below"), mm(top, 2).named("neutral line, above")
    sweep, radii = degrees(flat.sweep, 3).named("sector"), lengths((flat.outer, flat.inner), " and ", 2).named("radii")
    parts = ("neutral line ", below, " across below and ", above, " above; sector of ", sweep, ", radii ", radii)
    return sentence(*parts)
