"""Shapes of sheet covers laid flat: cap, skirt and cone, each one function.

A flat is drawn from its outside, the side that shows when the cover is on.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from fabgen.geometry.developments import (
    ConeFlat,
    RoundCut,
    Strip,
    cone_flat,
    cut_curve,
    sector_end,
    sector_outline,
    strip,
)
from fabgen.geometry.offset import offset
from fabgen.geometry.outline import Circle, Loop, OutlineError, Xy
from fabgen.geometry.regions import crossing, region
from fabgen.job.definitions import Cover, Drain, WheelCut
from fabgen.job.errors import Path, Problem
from fabgen.parts import features
from fabgen.parts.features import PlacedHole, Unfit, figure
from fabgen.parts.piece import DRAIN, Hole, Rolled

FULL = 2.0 * math.pi


@dataclass(frozen=True, eq=False)
class Asked:
    """A cover as it is asked for: its definition, the job's weld gap, its own holes, and where faults are told."""

    cover: Cover
    weld_gap: float
    holes: tuple[PlacedHole, ...]
    path: Path
    problems: list[Problem]

    def fault(self, key: str, what: str, accepted: str) -> None:
        self.problems.append(Problem((*self.path, key), what, accepted))


@dataclass(frozen=True, eq=False)
class Laid:
    """A cover laid flat, in the coordinates its holes are given in: a cap's are those of its
    opening, a skirt's and a cone's begin at the lower left corner of the whole sheet.

    `holes` are those the shape itself brings; `lines` are to be etched, e.g. where a lap ends.
    """

    outline: Loop
    holes: tuple[PlacedHole, ...] = ()
    rolled: Rolled | None = None
    sizes: tuple[tuple[str, float], ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    lines: tuple[tuple[Xy, Xy], ...] = ()


# -- cap ----------------------------------------------------------------------
def cap(asked: Asked) -> Laid:
    """The opening's outline moved in by the weld gap, or out by the overlap, with a drain hole."""
    cover = asked.cover
    opening = features.outline_from(cover, asked.path, asked.problems)
    if opening is None:
        raise Unfit
    gap = asked.weld_gap if cover.weld_gap is None else cover.weld_gap
    key, distance = ("overlap", cover.overlap) if cover.overlap else ("weld_gap", -gap)
    try:
        outline = offset(opening, distance)
    except OutlineError as error:
        asked.fault(key, str(error), f"a smaller {key}, or an outline whose fillets and edges are larger than it")
        raise Unfit from error
    drains = _drain(asked, outline)
    fit = f"laps {figure(distance)} mm over the opening" if cover.overlap else f"weld gap {figure(gap)} mm all round"
    drained = "by the lowest edge as drawn: fit the cap that way up" if drains else "none, as the job says"
    x0, y0, x1, y1 = opening.bounds
    return Laid(
        outline,
        drains,
        sizes=(("opening, width", x1 - x0), ("opening, height", y1 - y0)),
        facts=(("fit", fit), ("drain", drained)),
    )


def _drain(asked: Asked, outline: Loop) -> tuple[PlacedHole, ...]:
    if asked.cover.drain == "none":
        return ()
    drain = asked.cover.drain if isinstance(asked.cover.drain, Drain) else Drain()
    at = (drain.at[0], drain.at[1]) if drain.at else _lowest(asked, outline, drain.diameter)
    if at is None:
        what = f"there is no room for a drain hole of {figure(drain.diameter)} mm"
        asked.fault("drain", what, 'a smaller diameter, a place at = [x, y], or drain = "none"')
        return ()
    hole = Hole(Circle(*at, drain.diameter), f"{DRAIN} {figure(drain.diameter)}")
    return (PlacedHole((*asked.path, "drain"), at, hole),)


def _lowest(asked: Asked, outline: Loop, diameter: float) -> Xy | None:
    """The lowest centre with a web of half the hole or twice the sheet to the edge and to other holes."""
    from shapely import LineString, union_all

    reach = diameter / 2.0 + max(diameter / 2.0, 2.0 * asked.cover.thickness)
    taken = union_all([region(item.hole.shape).buffer(reach) for item in asked.holes])
    room = region(outline).buffer(-reach).difference(taken)
    if room.is_empty:
        return None
    x0, low, x1, _ = room.bounds
    level = room.intersection(LineString([(x0 - 1.0, low + 0.005), (x1 + 1.0, low + 0.005)]))
    stretches = [g for g in getattr(level, "geoms", [level]) if g.length > 0.0]
    if not stretches:
        point = room.representative_point()
        return float(point.x), float(point.y)
    longest = max(stretches, key=lambda g: (round(g.length, 3), -g.bounds[0]))
    return float(longest.centroid.x), float(longest.centroid.y)


# -- skirt --------------------------------------------------------------------
def skirt(asked: Asked) -> Laid:
    """A strip as long as the neutral line, which lies in the middle of a rolled sheet."""
    cover = asked.cover
    assert cover.diameter is not None
    assert cover.height is not None
    arc = FULL if cover.arc is None else cover.arc
    middle = _middle(cover, cover.diameter, 1.0)
    if middle <= cover.thickness:
        asked.fault("diameter", f"{figure(cover.diameter)} mm is too small for the sheet", "a larger diameter")
        raise Unfit
    length = middle / 2.0 * arc
    made = _cut_strip(asked, length, middle)
    windows = tuple(
        PlacedHole((*asked.path, "cut_out"), _centre(window), Hole(window, "cut-out")) for window in made.windows
    )
    outside = middle + cover.thickness
    facts = [_roll_fact(cover, f"neutral line {figure(middle)} mm across, {figure(length)} mm long")]
    if cover.cut_out is not None:
        facts.append(_cut_fact(cover.cut_out))
    return Laid(
        made.outline,
        windows,
        Rolled(outside, outside, cover.height, arc),
        sizes=(*_diameters("diameter", middle, cover.thickness), ("height", cover.height)),
        facts=tuple(facts),
        lines=(((length, 0.0), (length, cover.height)),) if cover.seam else (),
    )


def _cut_strip(asked: Asked, length: float, middle: float) -> Strip:
    cover, cut = asked.cover, asked.cover.cut_out
    height = cover.height or 0.0
    radius, half = middle / 2.0, cover.thickness / 2.0
    try:
        curve: list[Xy] = []
        if cut is not None:
            cutter = RoundCut(cut.diameter / 2.0, cut.height, cut.offset, math.remainder(cut.around, FULL))
            curve = cut_curve(cutter, radius - half, radius, radius + half)
        made = strip(length, height, cover.seam, FULL * radius, curve)
    except OutlineError as error:
        asked.fault("cut_out", str(error), "a cut-out narrower than the skirt that leaves it in one part")
        raise Unfit from error
    left = made.outline.area - sum(window.area for window in made.windows)
    if cut is not None and left > (length + cover.seam) * height - 1e-6:
        asked.fault("cut_out", "the cut-out does not reach the sheet", "a height and direction where there is sheet")
        raise Unfit
    return made


# -- cone ---------------------------------------------------------------------
def cone(asked: Asked) -> Laid:
    """A sector of two true arcs.  Diameters are those at the sheet's square-cut edges."""
    cover = asked.cover
    assert cover.bottom is not None
    assert cover.top is not None
    assert cover.height is not None
    arc = FULL if cover.arc is None else cover.arc
    # The wall leans: from skin to neutral line it is half the thickness along the wall's normal, the
    # same at both edges, so the height between edges and the wall's slope are those of the skin.
    upright = cover.height / math.hypot(cover.height, (cover.bottom - cover.top) / 2.0)
    bottom, top = (_middle(cover, size, upright) for size in (cover.bottom, cover.top))
    if min(bottom, top) <= cover.thickness * upright:
        key = "top" if top < bottom else "bottom"
        asked.fault(key, f"{figure(min(cover.bottom, cover.top))} mm is too small for the sheet", "a larger diameter")
        raise Unfit
    wide_below = bottom > top
    try:
        flat = cone_flat(bottom, top, cover.height, arc)
        outline = sector_outline(flat, wide_below, cover.seam)
    except OutlineError as error:
        equal = math.isclose(bottom, top, abs_tol=1e-9)
        accepted = 'shape = "skirt" with its diameter and height' if equal else "a narrower lap"
        asked.fault("top" if equal else "seam", str(error), accepted)
        raise Unfit from error
    if crossing(outline) is not None:
        asked.fault("seam", "the lap runs into the other end of the flat", "a narrower lap, or a smaller arc")
        raise Unfit
    thick = cover.thickness * upright
    left, low = outline.bounds[:2]
    (x0, y0), (x1, y1) = sector_end(flat, wide_below)
    return Laid(
        outline.moved(-left, -low),
        rolled=Rolled(bottom + thick, top + thick, cover.height, arc),
        sizes=(
            *_diameters("bottom", bottom, thick),
            *_diameters("top", top, thick),
            ("height", cover.height),
            ("slant", flat.slant),
        ),
        facts=(_roll_fact(cover, _cone_words(flat, bottom, top)),),
        lines=(((x0 - left, y0 - low), (x1 - left, y1 - low)),) if cover.seam else (),
    )


SHAPES: dict[str, Callable[[Asked], Laid]] = {"cap": cap, "skirt": skirt, "cone": cone}


# -- words --------------------------------------------------------------------
def _middle(cover: Cover, diameter: float, upright: float) -> float:
    """The neutral line's diameter from one measured outside, inside or in the middle, mm."""
    sign = {"outside": -1.0, "inside": 1.0, "middle": 0.0}[cover.measured]
    return diameter + sign * cover.thickness * upright


def _diameters(what: str, middle: float, thick: float) -> tuple[tuple[str, float], ...]:
    return ((f"{what}, outside", middle + thick), (f"{what}, inside", middle - thick))


def _roll_fact(cover: Cover, words: str) -> tuple[str, str]:
    lap = f"; lap {figure(cover.seam)} mm beyond the etched line" if cover.seam else ""
    return ("roll", f"{words}{lap}; drawn from outside")


def _cut_fact(cut: WheelCut) -> tuple[str, str]:
    aside = f", {figure(abs(cut.offset))} mm to the {'right' if cut.offset > 0 else 'left'}" if cut.offset else ""
    around = f", {figure(math.degrees(cut.around))}° round from the middle" if cut.around else ""
    words = f"clears a cylinder of {figure(cut.diameter)} mm, its axis {figure(cut.height)} mm above the lower edge"
    return ("cut-out", words + aside + around)


def _cone_words(flat: ConeFlat, bottom: float, top: float) -> str:
    return (
        f"neutral line {figure(bottom)} mm across below and {figure(top)} mm above; sector of "
        f"{figure(math.degrees(flat.sweep), 3)}°, radii {figure(flat.outer)} and {figure(flat.inner)} mm"
    )


def _centre(loop: Loop) -> Xy:
    x0, y0, x1, y1 = loop.bounds
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0
