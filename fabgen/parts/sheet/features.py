"""What flat parts share: outlines and holes from their definitions, faults, marks, mass."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.plane.outline import Circle, Corner, Loop, Outline, OutlineError, Xy
from fabgen.job.errors import Path, Problem
from fabgen.job.tables.definitions import CornerGiven, HoleFit, HoleGiven, OutlineKeys
from fabgen.parts.piece import FlatBend, Hole, Mark
from fabgen.parts.sheet.hole_groups import hole_name
from fabgen.shop.holes import UnknownBoltError, clearance
from fabgen.shop.materials import Material
from fabgen.wording.figures import figure as shop_figure

MARK_HEIGHTS = (8.0, 6.0, 5.0, 4.0, 3.0, 2.5)
"""Letter heights of etched marks that are tried, mm; the least one is still read on etched steel (common practice, no
source)."""
OWN_HEIGHT = 5.0
"""Letter height of a mark that has its own place, mm."""
MARK_ROOM = 2.0
"""Least metal left clear round an etched mark, mm; half the letter height where that is more."""


class Unfit(Exception):  # noqa: N818 - caught by the family
    """A part whose sizes do not go together; what is wrong is in the list of problems."""


def figure(value: float, places: int = 2) -> str:
    """A figure of a sheet part: two decimals unless told otherwise."""
    return shop_figure(value, places)


# -- outlines -----------------------------------------------------------------
def outline_from(keys: OutlineKeys, path: Path, problems: list[Problem]) -> Loop | None:
    """The outline that `keys` give, in their own coordinates; None, and a problem told, when it will not do."""
    round_shape = "disc" if keys.disc is not None else "stadium" if keys.stadium is not None else ""
    if round_shape and (keys.corner_radius or keys.corner_chamfer):
        key = "corner_radius" if keys.corner_radius else "corner_chamfer"
        problems.append(Problem((*path, key), f"a {round_shape} has no corners", f"leave `{key}` out"))
        return None
    if keys.disc is not None:
        return Circle(0.0, 0.0, keys.disc)
    try:
        if keys.stadium is not None:
            return Outline.stadium(keys.stadium[0], keys.stadium[1])
        outline = Outline.from_corners(_corners(keys))
    except OutlineError as error:
        problems.append(Problem(_corner_path(keys, path, error), error.what, _accepted(keys)))
        return None
    return outline if keys.corners is None or _is_simple(outline, (*path, "corners"), problems) else None


def _corners(keys: OutlineKeys) -> list[Corner]:
    if keys.corners is None:
        width, height = keys.rectangle or (0.0, 0.0)
        box = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
        return [Corner(x, y, keys.corner_radius, keys.corner_chamfer) for x, y in box]
    return [_corner(given, keys) for given in keys.corners]


def _corner(given: CornerGiven, keys: OutlineKeys) -> Corner:
    """The corner as given; one that says nothing of its own (not even 0) takes the outline's radius or chamfer."""
    own = given.model_fields_set & {"radius", "chamfer"}
    radius, chamfer = (given.radius, given.chamfer) if own else (keys.corner_radius, keys.corner_chamfer)
    return Corner(given.at[0], given.at[1], radius, chamfer)


def _corner_path(keys: OutlineKeys, path: Path, error: OutlineError) -> Path:
    if keys.stadium is not None:
        return (*path, "stadium")
    if keys.corners is not None:
        return (*path, "corners", *error.key)
    return (*path, "corner_radius" if keys.corner_radius else "corner_chamfer" if keys.corner_chamfer else "rectangle")


def _accepted(keys: OutlineKeys) -> str:
    if keys.stadium is not None:
        return "[length over all, width], the length the greater; for equal sizes a disc"
    return "corners apart from one another, with a radius or chamfer that leaves the edges between them some length"


def _is_simple(outline: Outline, path: Path, problems: list[Problem]) -> bool:
    from fabgen.geometry.plane.regions import crossing

    spot = crossing(outline)
    if spot is None:
        return True
    what = f"the outline crosses or touches itself near ({figure(spot[0], 1)}, {figure(spot[1], 1)})"
    problems.append(Problem(path, what, "corners in the order in which one walks round the part"))
    return False


# -- holes --------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class PlacedHole:
    """A hole in the coordinates its definition uses, with where it was defined and the face it is on."""

    path: Path
    at: Xy
    hole: Hole
    face: str = ""


def holes_from(
    given: Sequence[HoleGiven], path: Path, fit: HoleFit, problems: list[Problem], faces: Sequence[str] = ()
) -> list[PlacedHole]:
    """Every hole of every entry, patterns spread out; faults are told in `problems`.

    `faces` are the faces of a folded part, one of which every hole must name.
    """
    placed: list[PlacedHole] = []
    for i, entry in enumerate(given):
        where = (*path, i)
        if faces and entry.face not in faces:
            accepted = "face = " + " or ".join(f'"{face}"' for face in faces)
            problems.append(Problem(where, "the hole does not say which face it is on", accepted))
        else:
            spread = _spread(entry, where, fit, problems)
            placed += [PlacedHole(where, at, hole, entry.face or "") for at, hole in spread]
    return placed


def _spread(given: HoleGiven, path: Path, fit: HoleFit, problems: list[Problem]) -> Iterator[tuple[Xy, Hole]]:
    bolt, label = "", ""
    if given.bolt is not None:
        try:
            size = clearance(given.bolt, given.fit or fit)
        except UnknownBoltError as error:
            problems.append(Problem.of((*path, "bolt"), error))
            return
        diameter, bolt, label = size.diameter, size.bolt, f" for {size.bolt}"
    else:
        diameter = given.diameter or 0.0
    if given.length is None:
        label = figure(diameter) + label
        yield from ((at, Hole(Circle(*at, diameter), label, bolt)) for at in _centres(given))
    elif given.length <= diameter:
        what = f"a slot {figure(given.length)} mm long is no longer than it is wide ({figure(diameter)} mm)"
        problems.append(Problem((*path, "length"), what, "the length over all, more than the width"))
    else:
        slot = Outline.stadium(given.length, diameter).turned(given.turn)
        label = f"slot {figure(given.length)} x {figure(diameter)}{label}"
        yield from ((at, Hole(slot.moved(*at), label, bolt)) for at in _centres(given))


def _centres(given: HoleGiven) -> Iterator[Xy]:
    x, y = given.at
    if given.row is not None:
        dx, dy = given.row.pitch * math.cos(given.row.turn), given.row.pitch * math.sin(given.row.turn)
        yield from ((x + dx * i, y + dy * i) for i in range(given.row.count))
    elif given.grid is not None:
        px, py = given.grid.pitch
        yield from ((x + px * i, y + py * j) for j in range(given.grid.rows) for i in range(given.grid.columns))
    elif given.circle is not None:
        r, count, start = given.circle.diameter / 2.0, given.circle.count, given.circle.start
        turns = (start + 2.0 * math.pi * i / count for i in range(count))
        yield from ((x + r * math.cos(a), y + r * math.sin(a)) for a in turns)
    else:
        yield x, y


def check_inside(
    placed: Iterable[tuple[PlacedHole, Loop]], outline: Loop, leaves: str, accepted: str, problems: list[Problem]
) -> bool:
    """Whether every loop lies inside `outline`; the first of each definition that does not is told."""
    from fabgen.geometry.plane.regions import inside

    told: set[Path] = set()
    for item, loop in placed:
        if item.path not in told and not inside(loop, outline):
            told.add(item.path)
            problems.append(Problem(item.path, f"the hole {_where(item)} {leaves}", accepted))
    return not told


def check_apart(placed: Sequence[tuple[PlacedHole, Loop]], problems: list[Problem]) -> bool:
    """Whether no two holes cross or touch; the first pair of each definition is told."""
    from shapely import STRtree

    from fabgen.geometry.plane.regions import region

    shapes = [region(loop) for _, loop in placed]
    told: set[Path] = set()
    pairs = STRtree(shapes).query(shapes, predicate="intersects").T if shapes else []
    for i, j in sorted((int(i), int(j)) for i, j in pairs if i < j):
        first, second = placed[i][0], placed[j][0]
        if second.path not in told:
            told.add(second.path)
            what = f"the hole {_where(second)} crosses the hole {_where(first)}"
            problems.append(Problem(second.path, what, "holes with metal between them"))
    return not told


def _where(item: PlacedHole) -> str:
    return f"{item.hole.label} at ({figure(item.at[0])}, {figure(item.at[1])})"


def check_flat_holes(placed: Sequence[PlacedHole], outline: Loop, problems: list[Problem]) -> bool:
    """Whether all holes of a flat part lie inside its outline and apart."""
    pairs = [(item, item.hole.shape) for item in placed]
    accepted = "holes with metal all round, `at` in the outline's own coordinates"
    return check_inside(pairs, outline, "leaves the outline", accepted, problems) and check_apart(pairs, problems)


def moved_holes(holes: Iterable[Hole], dx: float, dy: float) -> tuple[Hole, ...]:
    return tuple(replace(hole, shape=hole.shape.moved(dx, dy)) for hole in holes)


def hole_facts(holes: Sequence[Hole]) -> list[tuple[str, str]]:
    """The holes in words, like ones counted."""
    counts = Counter(hole_name(hole) for hole in holes)
    return [("holes", ", ".join(f"{n} x {name}" if n > 1 else name for name, n in counts.items()))] if counts else []


# -- marks and mass -----------------------------------------------------------
def etched(
    text: str,
    outline: Loop,
    holes: Sequence[Hole],
    bends: Sequence[FlatBend] = (),
    lines: Sequence[Mark] = (),
    at: Sequence[float] | None = None,
    strips: Sequence[tuple[Sequence[Xy], float]] = (),
) -> tuple[tuple[Mark, ...], list[tuple[str, str]]]:
    """The mark to etch: at its own place `at`, else clear of edges, holes, bends, `lines` and `strips` (a line and
    half its width, mm); a fact that says so when there is no room."""
    if not text.strip():
        return (), []
    if at is not None:
        return (Mark((at[0], at[1]), text, OWN_HEIGHT),), []
    zones: list[tuple[Sequence[Xy], float]] = [((bend.start, bend.end), bend.bend.allowance / 2.0) for bend in bends]
    zones += [(mark.line or _ring(mark), 0.0) for mark in lines]
    zones += strips
    mark = _mark(text, outline, holes, zones)
    if mark is not None:
        return (mark,), []
    # One letter more never fits where fewer do not.
    fits = bisect_left(range(1, len(text)), True, key=lambda n: _mark(text[:n], outline, holes, zones) is None)
    of_it = f"its first {fits} letters would fit" if fits > 1 else f"{'one letter' if fits else 'no letter'} would fit"
    return (), [("etched mark", f'none: no room for "{text}" {MARK_HEIGHTS[-1]:g} mm high; {of_it}')]


def _ring(mark: Mark) -> list[Xy]:
    points = [] if mark.curve is None else [(float(x), float(y)) for x, y in mark.curve.points(0.1)]
    return points + points[:1]


def _mark(text: str, outline: Loop, holes: Sequence[Hole], zones: Sequence[tuple[Sequence[Xy], float]]) -> Mark | None:
    """`zones` are lines that the text keeps clear of, each with half its width."""
    import shapely

    from fabgen.geometry.plane.lettering import text_box
    from fabgen.geometry.plane.regions import region

    metal = region(outline, 0.1)
    taken = [region(hole.shape, 0.1) for hole in holes]
    taken += [shapely.LineString(line).buffer(half) for line, half in zones]
    cut = shapely.union_all(taken)
    x0, y0, x1, y1 = outline.bounds
    most = max(MARK_HEIGHTS[-2], min(x1 - x0, y1 - y0) / 8.0)
    for height in (h for h in MARK_HEIGHTS if h <= most):
        left, low, right, high = text_box(text, height)
        width, tall = right - left, high - low
        if width > x1 - x0 or tall > y1 - y0:
            continue
        space = max(MARK_ROOM, height / 2.0)
        room = metal.buffer(-space).difference(cut.buffer(space))
        shapely.prepare(room)
        grid = np.meshgrid(np.linspace(x0, x1 - width, 25), np.linspace(y0, y1 - tall, 25))
        across, up = grid[0].ravel(), grid[1].ravel()
        clear = shapely.contains(room, shapely.box(across, up, across + width, up + tall))
        if clear.any():
            # Nearest to the middle of the lower half: out of the way, and well off the edge.
            aside = np.hypot(across + width / 2.0 - (x0 + x1) / 2.0, up + tall / 2.0 - (0.75 * y0 + 0.25 * y1))
            best = int(np.argmin(np.where(clear, np.round(aside, 6), np.inf)))
            return Mark((float(across[best]) - left, float(up[best]) - low), text, height)
    return None


def sheet_mass(area: float, thickness: float, material: Material) -> float:
    """Mass of a flat part, kg, from its net area (mm2) and thickness (mm)."""
    return area * thickness * material.density * 1e-9
