"""The tables beside a part's views: its holes, its bends, what sits on it, what is bought for it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from fabgen.documents.drawing.flat.bend_lines import square_axis
from fabgen.documents.drawing.flat.outline_features import outline_features
from fabgen.documents.drawing.flat.point_tables import (
    etched_lines,
    etched_table,
    named_curves,
    points_table,
    tabled_corners,
)
from fabgen.documents.drawing.sheet.views import TableText
from fabgen.documents.drawing.tube.arrivals import FACES
from fabgen.documents.render.set_out_words import NOT_TURNED, SAW_CUT, clock_text, tape_end, turn_text
from fabgen.documents.render.words import degrees, figure
from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import Across, DrilledHole, FaceLanding, FlatBend, FlatPart, Landing, LengthPart, Piece
from fabgen.parts.shape.along_tube import axis_at, job_side
from fabgen.parts.shape.hole_groups import hole_groups, tabled_holes
from fabgen.parts.shape.standing import name_of, standing_on
from fabgen.wording.figures import MILLIMETRES, Figures

_ON_TOP = 0.05
"""A place so near to the top line or to the middle of a side is on it, mm."""


def hole_table(part: FlatPart, figures: Figures = MILLIMETRES) -> TableText | None:
    """The table of the holes that the view names by letters; None when it names none."""
    outline = part.outline
    x0, y0 = (outline.x, outline.y) if isinstance(outline, Circle) else outline.bounds[:2]
    rows = tuple(
        (each.name, figures.size(each.centre[0] - x0), figures.size(each.centre[1] - y0), each.group.label)
        for each in tabled_holes(hole_groups(part, figures))
    )
    origin = "the centre" if isinstance(outline, Circle) else "the lower left corner"
    return TableText(f"Holes, from {origin}", ("hole", "x", "y", "size"), rows) if rows else None


def flat_tables(part: FlatPart, figures: Figures) -> list[TableText]:
    """All tables of a flat that its view refers to: holes, corners, curves, etched lines, bends."""
    outline = part.outline
    origin = (outline.x, outline.y) if isinstance(outline, Circle) else outline.bounds[:2]
    features = outline_features(outline)
    corners = tabled_corners(part, features)
    curves = [] if part.surface else named_curves(part, features)
    points = [
        points_table(title, named, origin, figures)
        for title, named in (
            ("Corners, sharp (from lower left)", corners),
            ("Points of curves (from lower left)", [p for curve in curves for p in curve.points]),
        )
        if named
    ]
    etched = etched_table(etched_lines(part, figures), origin, figures)
    found = (hole_table(part, figures), *points, etched, bend_table(part, figures))
    return [table for table in found if table is not None]


# -- bends ----------------------------------------------------------------------
def bend_table(part: FlatPart, figures: Figures) -> TableText | None:
    """Every bend, those of a rounded part in one row."""
    if not part.bends:
        return None
    rows: list[tuple[str, ...]] = []
    for group in bend_groups(part.bends):
        fold, bend = group.bend, group.bend.bend
        rows.append(
            (
                group.numbers,
                fold.name or "-",
                "up" if fold.up else "down",
                degrees(bend.angle),
                figures.size(bend.radius, 2),
                figure(bend.k, 3),
                figures.size(bend.allowance, 2),
                figures.size(bend.deduction, 2) if bend.angle < math.pi - 1e-6 else "-",
                _bend_place(part, fold, figures) if group.count == 1 else "further sheet",
            )
        )
    heads: tuple[str, ...] = ("bend", "between", "fold", "angle", "in. R", "K", "allow.", "deduct.", "bend line")
    if all(square_axis(bend) is not None for bend in part.bends):
        # The view has the place of each: said twice, it could be changed once.
        heads, rows = heads[:-1], [row[:-1] for row in rows]
    title = f"Bends (angle from flat; up = towards you, flat as drawn{_way_seen(part)})"
    return TableText(title, heads, tuple(rows))


def bend_note(part: FlatPart, figures: Figures) -> str:
    """The same in a sentence where all bends are alike and the view shows their places; '' of others."""
    alike = {(round(each.bend.angle, 6), each.bend.radius, round(each.bend.k, 6)) for each in part.bends}
    if len(alike) != 1 or any(square_axis(each) is None for each in part.bends):
        return ""
    bend = part.bends[0].bend
    deduction = f", deduction {figures.size(bend.deduction, 2)}" if bend.angle < math.pi - 1e-6 else ""
    between = ", ".join(f"{n} {each.name}" for n, each in enumerate(part.bends, 1) if each.name)
    size = f"{degrees(bend.angle)}, inside R{figures.size(bend.radius, 2)}, K {figure(bend.k, 3)}"
    takes = f"allowance {figures.size(bend.allowance, 2)}{deduction}"
    names = f"; {between}" if between else ""
    return f"Bends, from flat, up = towards you, flat as drawn{_way_seen(part)}: {size}, {takes}{names}."


def _way_seen(part: FlatPart) -> str:
    """What 'up' means on the flat: all folds up, and it is drawn seen from inside the folded part."""
    ways = {bend.up for bend in part.bends}
    return "" if len(ways) > 1 else f", seen from {'inside' if True in ways or part.band else 'outside'}"


def _bend_place(part: FlatPart, fold: FlatBend, figures: Figures) -> str:
    x0, y0, _, _ = part.outline.bounds
    axis = square_axis(fold)
    if axis == 0:
        return f"{figures.size(fold.start[0] - x0)} from left"
    if axis == 1:
        return f"{figures.size(fold.start[1] - y0)} from below"
    ends = sorted((fold.start, fold.end), key=lambda p: (p[1], p[0]))
    return " to ".join(f"{figures.size(x - x0)}, {figures.size(y - y0)}" for x, y in ends)


def bend_line_table(part: FlatPart, figures: Figures) -> TableText | None:
    """Both ends of every bend line of rounded parts, to set them out by hand."""
    grouped = {n for group in bend_groups(part.bends) if group.count > 1 for n in range(group.first, group.last + 1)}
    if not grouped:
        return None
    x0, y0, _, _ = part.outline.bounds
    rows = tuple(
        (str(n), *(figures.size(v) for x, y in (fold.start, fold.end) for v in (x - x0, y - y0)))
        for n, fold in enumerate(part.bends, 1)
        if n in grouped
    )
    return TableText("Bend lines, from the lower left corner", ("bend", "from x", "y", "to x", "y"), rows)


# -- what sits on a tube, and what is bought --------------------------------------
def landing_table(main: LengthPart, figures: Figures, tape: str = SAW_CUT) -> TableText | None:
    """A row for each end that sits on the tube, and where there are any, for each way of a drill between them, in the
    order in which they are marked along it; None where nothing sits there.

    Args:
        main: the tube.
        figures: of the job's units.
        tape: where that is held.
    """
    if not main.landings:
        return None
    holes = [hole for hole in main.drilled if not hole.far and hole.slit is None]
    placed = [(each.axes, _landing_row(main, each, figures)) for each in main.landings]
    if holes:
        placed += [(each.along, _hole_row(main, each, figures)) for each in holes]
        placed.sort(key=lambda each: round(each[0], 3))
    heads: tuple[str, ...] = ("mark (end)", "axes meet at", "centre on skin at", *_round_heads(main), "angle")
    what = "Ends that sit here and holes" if holes else "Ends that sit here"
    title = f"{what}, from {tape}"
    bent = "; in a bend: along the centreline" if any(each.bend for each in main.landings) else ""
    return TableText(title + bent, heads, tuple(row for _, row in placed))


def _round_heads(main: LengthPart) -> tuple[str, str]:
    """How a place round a tube is given: of a round one by the clock, of flat sides by their names."""
    return ("round from TOP", "round the skin") if main.section.is_round else ("side", "from its middle")


def round_cells(main: LengthPart, along: float, way: float | None, figures: Figures) -> tuple[str, str]:
    """A place round a tube, under `_round_heads`: '90°', '37.9'; of flat sides 'top', '12.5 to the left'.

    Args:
        main: the tube.
        along: where along it, mm from its start's saw cut.
        way: of a ray from its middle to the place, rad from TOP, clockwise seen from the start; None of none.
        figures: of the job's units.
    """
    section = main.section
    if way is None:
        return "-", "-"
    if section.is_round:
        station = section.width / 2.0 * way
        return degrees(way), figures.tape(0.0 if section.perimeter - station < _ON_TOP else station)
    face, beside = section.face_at(way)
    side = side_words(main, along, face)
    if abs(beside) < _ON_TOP:
        return side, "0"
    beyond = face + math.copysign(math.pi / 2.0, beside)
    toward = "" if main.frame is None else job_side(axis_at(main, along), beyond)
    clock = "clockwise" if beside > 0.0 else "counter-clockwise"
    return side, f"{figures.tape(abs(beside))} {_toward(toward) if toward else clock}"


def side_words(main: LengthPart, along: float, way: float) -> str:
    """A flat side of a tube as the job calls it: 'top', 'left'; '90° from TOP' of one that looks no way of the job's.

    Args:
        main: the tube.
        along: where along it, mm from its start's saw cut.
        way: of the side, rad from TOP, clockwise seen from the start.
    """
    own = "" if main.frame is None else job_side(axis_at(main, along), way)
    return own or f"{clock_text(way)} from TOP"


def _toward(side: str) -> str:
    return {"top": "up", "bottom": "down"}.get(side, f"to the {side}")


def _hole_row(main: LengthPart, hole: DrilledHole, figures: Figures) -> tuple[str, ...]:
    name = f"{hole.name}, {_drilled_size(hole, figures)}"
    return name, "-", figures.tube(hole.along), *_hole_cells(main, hole, figures), "-"


def _hole_cells(main: LengthPart, hole: DrilledHole, figures: Figures) -> tuple[str, str]:
    """A hole's place round the tube, under `_round_heads`."""
    station, along = hole.edge.centre
    _, left, up = hole.skin.frame.inside(hole.skin.at(np.array([station]), np.array([along])))[0].tolist()
    return round_cells(main, hole.along, math.atan2(-left, up) % (2.0 * math.pi), figures)


def _landing_row(main: LengthPart, landing: Landing, figures: Figures) -> tuple[str, ...]:
    name, angle = f"{landing.branch} ({landing.at})", degrees(landing.angle)
    skin = _skin_words(landing, figures)
    return (name, figures.tape(landing.axes), skin, *round_cells(main, landing.axes, landing.round, figures), angle)


def _skin_words(landing: Landing, figures: Figures) -> str:
    """Where along a tube an end's axis comes through its skin."""
    skin = "beside the axis" if landing.skin is None else figures.tape(landing.skin)
    if landing.bend is None:
        return skin
    place = f"{degrees(landing.bend.into)} into bend {landing.bend.number}"
    return place if landing.skin is not None else f"{skin}, {place}"


@dataclass(frozen=True, slots=True)
class _Arrived:
    """A row of `arrived_table`: where along the tube to sort it, and its cells by their heads."""

    place: float
    cells: dict[str, str]


def arrived_table(carrier: Piece, main: LengthPart, pieces: Iterable[Piece], figures: Figures) -> TableText | None:
    """A row for all that lands on a tube, ends of tubes and profiles and placed parts, from its start on: what one
    marks on it before anything is fitted; None where nothing does.  Columns in which no row has anything are left out.

    Args:
        carrier: the tube.
        main: its shape.
        pieces: all of the job.
        figures: of the job's units.
    """
    heads, rows = _arrived_rows(carrier, main, pieces, figures, 1.0)
    if not rows:
        return None
    bent = "; in a bend: along the centreline" if any(each.bend for each in main.landings) else ""
    title = f"What lands here, from {SAW_CUT}{bent}"
    return TableText(title, heads, rows, _arrived_rows(carrier, main, pieces, figures, -1.0)[1])


def _arrived_rows(
    carrier: Piece, main: LengthPart, pieces: Iterable[Piece], figures: Figures, turn: float
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Heads and rows; `turn` -1.0 counts round the tube the other way."""
    found = [_arrived_end(main, each, figures, turn) for each in main.landings]
    for lies in main.profiles:
        way = FACES[lies.faces[0]] if lies.faces else lies.round
        across = "" if lies.across is None else _across_words(lies.across, figures)
        cells = {_MARK: f"{lies.branch} ({lies.at})", _ALONG: _edges(lies.first, lies.last, figures)}
        way = None if way is None else turn * way
        cells |= {**_round_of_edges(main, lies.first, way, across, figures), _ANGLE: degrees(lies.angle)}
        found.append(_Arrived(lies.first, cells))
    for each, seen in standing_on(carrier.mark, pieces):
        along = f"place at {figures.tape(seen.middle)}" if seen.along is None else _edges(*seen.along, figures)
        name = each.name if (on := name_of(carrier, seen.on_place)) == carrier.mark else f"{each.name} on {on}"
        across = " to ".join(map(figures.tape, sorted(turn * edge for edge in seen.across)))
        way = None if seen.way is None else turn * seen.way
        turned = "" if abs(seen.turn) < NOT_TURNED else turn_text(replace(seen, turn=turn * seen.turn))
        cells = {_MARK: name, _ALONG: along, _TURNED: turned}
        cells |= _round_of_edges(main, seen.middle, way, across, figures)
        found.append(_Arrived(seen.middle if seen.along is None else seen.along[0], cells))
    found.sort(key=lambda each: round(each.place, 3))
    around = (_ROUND,) if main.section.is_round else _round_heads(main)
    order = (_MARK, _ALONG, _AXES, *around, _ACROSS, _ANGLE, _TURNED)
    heads = tuple(head for head in order if any(each.cells.get(head) for each in found))
    return heads, tuple(tuple(each.cells.get(head) or "-" for head in heads) for each in found)


_ROUND = "round"
_MARK, _ALONG, _AXES, _ACROSS, _ANGLE, _TURNED = "mark (end)", "along", "axes at", "across", "angle", "turned"


def _edges(first: float, last: float, figures: Figures) -> str:
    return f"{figures.tape(first)} to {figures.tape(last)}"


def _arrived_end(main: LengthPart, landing: Landing, figures: Figures, turn: float) -> _Arrived:
    """Of a tube's end: where its axis meets the other, said only where it is not where it comes through the skin."""
    cells = {_MARK: f"{landing.branch} ({landing.at})", _ALONG: _skin_words(landing, figures)}
    way = None if landing.round is None else turn * landing.round % (2.0 * math.pi)
    cells |= _round_and_skin(main, landing.axes, way, figures)
    axes = figures.tape(landing.axes)
    cells |= {_AXES: "" if axes == cells[_ALONG] else axes, _ANGLE: degrees(landing.angle)}
    return _Arrived(landing.axes if landing.skin is None else landing.skin, cells)


def _round_of_edges(main: LengthPart, along: float, way: float | None, across: str, figures: Figures) -> dict[str, str]:
    """Round the tube, of what has two edges across as well."""
    first, second = _round_heads(main)
    if way is None:
        return {_ROUND if main.section.is_round else first: "-", _ACROSS: across}
    way %= 2.0 * math.pi
    if not main.section.is_round:
        return {first: side_words(main, along, way), second: across}
    return {**_round_and_skin(main, along, way, figures), _ACROSS: across}


def _round_and_skin(main: LengthPart, along: float, way: float | None, figures: Figures) -> dict[str, str]:
    """Of a round tube both in one cell: '90° = 37.9'."""
    around, skin = round_cells(main, along, way, figures)
    if not main.section.is_round:
        return dict(zip(_round_heads(main), (around, skin), strict=True))
    return {_ROUND: around if way is None else f"{around} = {skin}"}


def face_landing_table(
    landings: Sequence[FaceLanding], figures: Figures, tape: str = SAW_CUT, tube: LengthPart | None = None
) -> TableText | None:
    """A row for each end of a profile or tube that lands on the faces of a part: its near and far edge; None where
    nothing lands there.

    Args:
        landings: those of a profile, or of a tube.
        figures: of the job's units.
        tape: where that is held.
        tube: on which they land; None of a profile.
    """
    if not landings:
        return None
    heads: tuple[str, ...] = ("mark (end)", "on", "from", "to", "across", "angle")
    rows: tuple[tuple[str, ...], ...] = tuple(
        (
            f"{each.branch} ({each.at})",
            _faces_words(each, tube),
            figures.tape(each.first),
            figures.tape(each.last),
            "-" if each.across is None else _across_words(each.across, figures),
            degrees(each.angle),
        )
        for each in landings
    )
    if all(row[4] == "-" for row in rows):
        heads, rows = heads[:4] + heads[5:], tuple(row[:4] + row[5:] for row in rows)
    return TableText(f"What lands here: edges from {tape}", heads, rows)


def _faces_words(landing: FaceLanding, tube: LengthPart | None) -> str:
    if not landing.faces:
        return "-" if landing.round is None else f"{degrees(landing.round)} from TOP"
    if tube is None:
        return " and ".join(landing.faces)
    return " and ".join(side_words(tube, landing.first, FACES[face]) for face in landing.faces)


def _across_words(across: Across, figures: Figures) -> str:
    return f"{figures.length(across.low)} to {figures.length(across.high)} from {across.datum}"


def standing_notes(carrier: Piece, pieces: Iterable[Piece], figures: Figures) -> list[str]:
    """Where each placed part stands on a sheet part or a profile, in a line; how it is turned is in the set-out.

    Args:
        carrier: the piece.
        pieces: all of the job.
        figures: of the job's units.
    """
    said = []
    for each, found in standing_on(carrier.mark, pieces):
        name = each.name if (on := name_of(carrier, found.on_place)) == carrier.mark else f"{each.name} on {on}"
        along = f"place at {figures.tape(found.middle)}" if found.along is None else _edges(*found.along, figures)
        across = " to ".join(map(figures.tape, found.across))
        said.append(
            f"{name} stands on it, {found.face}: {along} from {tape_end(carrier)}, {across} from {found.datum}."
        )
    return said


def drilled_table(main: LengthPart, figures: Figures, tape: str = SAW_CUT) -> TableText | None:
    """A row for each hole of the tube's own in each wall; None where it has none.

    Args:
        main: the tube.
        figures: of the job's units.
        tape: where that is held.
    """
    if not main.drilled:
        return None
    rows = tuple(_drilled_row(main, each, figures) for each in main.drilled)
    heads = ("hole", "size", "along", *_round_heads(main))
    return TableText(f"Holes: along from {tape}", heads, rows)


def _drilled_row(main: LengthPart, hole: DrilledHole, figures: Figures) -> tuple[str, ...]:
    where = _hole_cells(main, hole, figures)
    if main.section.is_round:
        girth = hole.skin.girth
        round_ = hole.station % girth
        where = degrees(hole.way), figures.size(0.0 if girth - round_ < _ON_TOP else round_)
    return (hole.name, _drilled_size(hole, figures), figures.tube(hole.marked_at), *where)


def _drilled_size(hole: DrilledHole, figures: Figures) -> str:
    """'Ø11 for M10', 'slot 30 x 9', 'Ø16.2 for sleeve 16 x 2'."""
    if (slit := hole.slit) is not None:
        bottom = f"hole Ø{figures.size(slit.hole, 2)}" if slit.hole else "square"
        return f"{figures.size(slit.width, 2)} wide, {figures.size(slit.depth)} deep, {bottom}"
    if hole.is_slot:
        return f"slot {figures.size(hole.bore.width)} x {figures.size(hole.bore.depth, 2)}"
    what = f"sleeve {hole.sleeve.words(figures.units)}" if hole.sleeve is not None else hole.bolt
    return f"Ø{figures.size(hole.width, 2)}" + (f" for {what}" if what else "")


def hardware_table(piece: Piece, figures: Figures) -> TableText | None:
    """What is bought for the piece."""
    units = figures.units
    rows = tuple(
        (str(each.quantity), each.item, each.goods.words(units), each.note.words(units)) for each in piece.hardware
    )
    return TableText("Bought parts", ("qty", "what", "size", "note"), rows) if rows else None


@dataclass(frozen=True, slots=True)
class BendGroup:
    """Bends numbered `first` to `last` (from 1) that have a name, a direction, an angle and a radius in common."""

    first: int
    last: int
    bend: FlatBend

    @property
    def numbers(self) -> str:
        """'3', or '3-8'."""
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"

    @property
    def count(self) -> int:
        return self.last - self.first + 1


def bend_groups(bends: Sequence[FlatBend]) -> list[BendGroup]:
    """Neighbours of one name that are alike, in the order of the bends."""

    def alike(numbered: tuple[int, FlatBend]) -> tuple[object, ...]:
        number, fold = numbered
        bend = fold.bend
        return (fold.name or number, fold.up, round(bend.angle, 6), bend.radius, round(bend.k, 6))

    groups = []
    for _, members in groupby(enumerate(bends, 1), key=alike):
        numbered = list(members)
        groups.append(BendGroup(numbered[0][0], numbered[-1][0], numbered[0][1]))
    return groups
