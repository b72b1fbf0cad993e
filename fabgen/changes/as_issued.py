"""Pieces as their papers have them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from fabgen.changes.issued_part import (
    LINE_PLACES,
    Corner,
    IssuedBend,
    IssuedEnd,
    IssuedFold,
    IssuedHole,
    IssuedPart,
    Pair,
)
from fabgen.changes.issued_places import issued_places
from fabgen.geometry.plane.outline import Circle, Loop
from fabgen.geometry.tube.penetration import Penetration
from fabgen.parts.piece import (
    ENDS,
    BarEnd,
    DrilledHole,
    EyeSetup,
    FlatPart,
    FlattenedEnd,
    Hole,
    LegHole,
    LengthPart,
    LinkPart,
    Opening,
    Piece,
    ProfileEnd,
    ProfilePart,
    ThreadedEnd,
    WorkedEnd,
)
from fabgen.parts.shape.hole_groups import as_slot, centre_of
from fabgen.shop.section import Section

_INSIDE = ", inside"

_SQUARE = 0.005
"""A line that runs straight round to this is sawn square, and a section as wide as high to this is square, mm."""


def as_issued(pieces: Iterable[Piece]) -> tuple[IssuedPart, ...]:
    """The pieces in their order, with what of each is sawn, cut, folded and drilled, and where it stands."""
    return tuple(_part(piece) for piece in pieces)


def _part(piece: Piece) -> IssuedPart:
    common = {
        "mark": piece.mark,
        "kind": piece.kind,
        "quantity": piece.quantity,
        "material": piece.material,
        "made": not piece.is_to_make,
        "state": piece.state if piece.as_it_is else "",
        "bought": _bought(piece),
        "places": issued_places(piece),
    }
    shape = piece.shape
    if isinstance(shape, FlatPart):
        own = _flat(shape)
    elif isinstance(shape, ProfilePart):
        own = _profile(shape)
    else:
        own = _length(shape)
    return IssuedPart.model_validate(common | own)


def _bought(piece: Piece) -> dict[str, int]:
    counts: dict[str, int] = {}
    for each in piece.hardware:
        name = f"{each.item} {each.goods.words()}"
        counts[name] = counts.get(name, 0) + each.quantity
    return counts


def _figure(value: float) -> float:
    return round(float(value), 4) + 0.0


def _pair(values: Sequence[float]) -> Pair:
    return _figure(values[0]), _figure(values[1])


def _turn(angle: float, whole: float) -> float:
    """An angle, rad, in degrees in [0, `whole`): a hair below 0 is 0, not the whole turn."""
    return _figure(math.degrees(angle) % whole) % whole


# -- lengths ------------------------------------------------------------------------------
def _length(part: LengthPart) -> dict[str, object]:
    section = part.section.nominal
    sizes = {"saw length": part.length} | (_of_link(part) if isinstance(part, LinkPart) else {})
    return {
        "stock": str(section),
        "stock_in": section.words("in"),
        "sizes_mm": {name: _figure(size) for name, size in sizes.items()},
        "around_mm": _figure(part.section.perimeter),
        "alike_turned": _alike_turned(part.section),
        "ends": tuple(_end(end) for end in part.ends),
        "bends": tuple(
            IssuedBend(
                at_mm=_figure(bend.at),
                length_mm=_figure(bend.length),
                radius_mm=_figure(bend.radius),
                angle_deg=_figure(math.degrees(bend.angle)),
                from_top_deg=_turn(bend.from_top, 360.0),
            )
            for bend in part.bends
        ),
        "holes": (*map(_bore, part.holes), *map(_drilled, part.drilled)),
    }


def _of_link(part: LinkPart) -> dict[str, float]:
    sizes = {"pin to pin": part.pin_to_pin, "sight hole, diameter": part.sight_hole}
    for at, side in zip(ENDS, part.sides, strict=True):
        if isinstance(side, EyeSetup):
            sizes |= {f"{at}, sleeve's width": side.width, f"{at}, sleeve off the axis": side.offset}
            continue
        sight = side.sight_hole() if part.sight_hole else None
        sizes |= {f"{at}, sight hole from the end": sight or 0.0, f"{at}, turned for a thread": side.turned}
        sizes[f"{at}, tapped"] = 0.0 if part.bungs else side.tapped
    return {name: size for name, size in sizes.items() if size}


def _alike_turned(section: Section) -> int:
    if section.is_round:
        return 0
    return 4 if abs(section.width - section.depth) < _SQUARE else 2


def _end(end: WorkedEnd) -> IssuedEnd:
    line = _line(end)
    form, sizes = _form(end.form)
    how, angles = _how(end, bool(line))
    return IssuedEnd(
        at=end.at,
        how=how,
        angles_deg=tuple(sorted(_figure(math.degrees(angle)) for angle in angles)),
        form=form,
        sizes_mm={name: _figure(size) for name, size in sizes.items()},
        line_mm=line,
        onto=_onto(*(seat.onto for seat in end.seats), end.stands_on),
    )


def _onto(*marks: str) -> tuple[str, ...]:
    return tuple(sorted({*marks} - {"", "plane"}))


def _how(end: WorkedEnd, worked: bool) -> tuple[str, list[float]]:
    """How the end is cut, and the angles, rad: of a saw from square, of a cope between the axes."""
    if not worked:
        return "sawn square", []
    if end.flats:
        return "sawn slanted", [flat.from_square for flat in end.flats]
    if end.plane_angle is not None:
        return "sawn slanted", [math.pi / 2.0 - end.plane_angle]
    return "coped", [joint.angle for joint in end.joints]


def _line(end: WorkedEnd) -> tuple[float | None, ...]:
    """Where it is cut, as `IssuedEnd` has it."""
    if not end.line.misses and float(np.ptp(end.line.x)) < _SQUARE:
        return ()
    way = 1.0 if end.at == "start" else -1.0
    clock = np.arange(LINE_PLACES) * (2.0 * np.pi / LINE_PLACES)
    x = end.line.at(np.asarray((end.top + way * clock) % (2.0 * np.pi), dtype=float)) - end.line.longest
    return tuple(None if value != value else _figure(value) for value in x.tolist())


def _form(form: BarEnd) -> tuple[str, dict[str, float]]:
    if isinstance(form, ThreadedEnd):
        return f"thread {form.thread}", {"thread length": form.length}
    if isinstance(form, FlattenedEnd):
        sizes = {
            "flattened length": form.length,
            "flattened to": form.thickness,
            "hole": form.hole,
            "hole from the end": form.at if form.hole else 0.0,
            "from flat to round": form.transition,
        }
        return "flattened", {name: size for name, size in sizes.items() if size}
    return "", {}


def _bore(hole: Opening) -> IssuedHole:
    sizes = (hole.bore.width,) if hole.bore.is_round else (hole.bore.width, hole.bore.depth)
    return _on_tube("hole" if hole.bore.is_round else "cut-out", hole.edge, sizes)


def _drilled(hole: DrilledHole) -> IssuedHole:
    if hole.slit is not None:
        return _on_tube("slit", hole.edge, (hole.slit.depth, hole.slit.width, hole.slit.hole))
    if hole.is_slot:
        return _on_tube("slot", hole.edge, (hole.bore.width, hole.bore.depth), _turn(hole.turn, 180.0))
    return _on_tube("hole", hole.edge, (hole.bore.width,))


def _on_tube(what: str, edge: Penetration, size: Sequence[float], turn: float = 0.0) -> IssuedHole:
    """A hole by its edge; where it runs past the tube, by what of the edge there is."""
    hit = ~np.isnan(edge.station + edge.along)
    station, along = (edge.station[hit], edge.along[hit]) if hit.any() else (np.zeros(1), np.zeros(1))
    middle = (float(np.mean(station)), float(np.mean(along))) if np.isnan(edge.centre).any() else edge.centre
    return IssuedHole(
        what=what,
        at_mm=_pair(middle),
        size_mm=tuple(map(_figure, size)),
        reach_mm=_pair((np.ptp(station), np.ptp(along))),
        turn_deg=turn,
    )


# -- profiles -----------------------------------------------------------------------------
def _profile(part: ProfilePart) -> dict[str, object]:
    section = part.section.nominal
    ends = tuple(_profile_end(end) for end in part.ends)
    return {
        "stock": str(section),
        "stock_in": section.words("in"),
        "sizes_mm": {"saw length": _figure(part.length)},
        "ends": ends,
        "holes": tuple(_in_leg(hole, part) for hole in part.holes),
        # A length that is sawn square and has no holes has no hand.
        "flipped": part.flipped and bool(part.holes or any(end.faces_mm for end in ends)),
    }


def _in_leg(hole: LegHole, part: ProfilePart) -> IssuedHole:
    middle = hole.station - part.cross.face(hole.face).width / 2.0
    size = (hole.length, hole.width) if hole.is_slot else (hole.width,)
    return IssuedHole(
        what="slot" if hole.is_slot else "hole",
        at_mm=_pair((-middle if part.flipped else middle, hole.along)),
        size_mm=tuple(map(_figure, size)),
        reach_mm=_pair((2.0 * hole.reach, 2.0 * hole.ahead + hole.width)),
        leg=hole.leg_name,
        turn_deg=_turn(hole.turn, 180.0) if hole.is_slot else 0.0,
    )


def _profile_end(end: ProfileEnd) -> IssuedEnd:
    how = "notched" if end.is_notched else "sawn square" if end.is_square else "sawn slanted"
    lines = {} if how == "sawn square" else end.face_lines
    return IssuedEnd(
        at=end.at,
        how=how,
        angles_deg=(_figure(math.degrees(end.cut.sawn.from_square)),) if how == "sawn slanted" else (),
        sizes_mm=_profile_end_sizes(end),
        faces_mm={name: tuple(map(_pair, line.tolist())) for name, line in lines.items()},
        onto=_onto(*end.onto),
    )


def _profile_end_sizes(end: ProfileEnd) -> dict[str, float]:
    found = {"holes at the notch's corners": _figure(end.cut.hole)} if end.is_notched and end.cut.hole else {}
    for bevel in end.bevels:
        found[f"bevel of {' and '.join(bevel.faces)}"] = _figure(bevel.back)
    return found


# -- flats --------------------------------------------------------------------------------
def _flat(part: FlatPart) -> dict[str, object]:
    sizes = [("thickness", part.thickness)] if part.bar is None else []
    # A flat that stays flat has no sizes but those of its outline.
    sizes += _made_sizes(part) if part.bends or part.rolled is not None or part.band is not None else ()
    if part.rolled is not None:
        rolled = part.rolled
        sizes += [("diameter", rolled.bottom), ("diameter at the top", rolled.top), ("height", rolled.height)]
    bar = part.bar.nominal if part.bar is not None else None
    return {
        "stock": f"flat bar {bar}" if bar is not None else "",
        "stock_in": f"flat bar {bar.words('in')}" if bar is not None else "",
        "sizes_mm": dict(_named(sizes)),
        "flat_mm": _pair(part.size),
        "outline": _corners(part.outline),
        "folds": tuple(
            IssuedFold(
                name=fold.name,
                start_mm=_pair(fold.start),
                end_mm=_pair(fold.end),
                radius_mm=_figure(fold.bend.radius),
                angle_deg=_figure(math.degrees(fold.bend.angle)),
                up=fold.up,
            )
            for fold in part.bends
        ),
        "holes": tuple(map(_flat_hole, part.all_holes)),
    }


def _made_sizes(part: FlatPart) -> Iterator[tuple[str, float]]:
    """Its sizes outside, and inside only where it has none outside: the two change together."""
    names = {name for name, _ in part.sizes}
    for name, size in part.sizes:
        if not name.endswith(_INSIDE) or name.removesuffix(_INSIDE) + ", outside" not in names:
            yield name, size


def _named(sizes: Iterable[tuple[str, float]]) -> Iterator[tuple[str, float]]:
    """Each size with a name of its own: of those that share one all but the first are numbered."""
    seen: dict[str, int] = {}
    for name, size in sizes:
        seen[name] = seen.get(name, 0) + 1
        yield (name if seen[name] == 1 else f"{name} {seen[name]}"), _figure(size)


def _corners(loop: Loop) -> tuple[Corner, ...]:
    """The outline's vertices; of a circle two, with half of it from one to the other."""
    if isinstance(loop, Circle):
        x, y, r = loop.x, loop.y, loop.diameter / 2.0
        return ((_figure(x - r), _figure(y), 1.0), (_figure(x + r), _figure(y), 1.0))
    return tuple((_figure(v.x), _figure(v.y), round(v.bulge, 6) + 0.0) for v in loop.vertices)


def _flat_hole(hole: Hole) -> IssuedHole:
    shape = hole.shape
    x0, y0, x1, y1 = shape.bounds
    slot = as_slot(shape)
    if isinstance(shape, Circle):
        what, size = "hole", [shape.diameter]
    elif slot is not None:
        what, size = "slot", [slot.length, slot.width]
    else:
        what, size = "cut-out", [x1 - x0, y1 - y0]
    return IssuedHole(
        what=what,
        at_mm=_pair(centre_of(shape)),
        size_mm=tuple(map(_figure, size)),
        reach_mm=_pair((x1 - x0, y1 - y0)),
        outline=() if isinstance(shape, Circle) else _corners(shape),
    )
