"""The assembly sheet: all placed parts in one picture, each with its mark, and the list of all parts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from fabgen.documents.drawing.assembly.elevations import SIZES, elevations
from fabgen.documents.drawing.assembly.weld_symbol import place_symbol, weld_words
from fabgen.documents.drawing.sheet.balloons import Named, balloons
from fabgen.documents.drawing.sheet.sheet_frame import Projection
from fabgen.documents.drawing.sheet.views import Content, DrawnView, TableText, View
from fabgen.documents.drawing.tables_of_a_part import drilled_table, face_landing_table, landing_table
from fabgen.documents.render.picture import Pen
from fabgen.documents.render.set_out_words import tape_end
from fabgen.documents.render.sketch import Panel, Sketch
from fabgen.documents.render.words import figure
from fabgen.documents.scene.bodies import body
from fabgen.documents.scene.body_lines import BodiesPicture, bodies_picture
from fabgen.documents.scene.hidden_lines import isometric, seen_size
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import FlatPart, Piece, drilled_to_make, face_landings_on, made_here, taken_as_it_is
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.bodies.end_places import end_places
from fabgen.wording.figures import Figures

if TYPE_CHECKING:
    from fabgen.documents.scene.beside import Wire

ROOM = 13.0
"""What balloons take beside the picture at least, mm of paper."""
READABLE = 70.0
"""A smaller picture of an assembly shows little, mm of paper."""
LEAST = 2
"""So many placed parts make an assembly."""
LONGEST_CELL = 38.0
"""A longer cell of the list of parts takes more lines, mm."""
MOST = 100
"""With more placed parts than this, balloons leave nothing of the picture to be seen on a sheet: `look` shows it."""

NOTE = (
    "Circles name parts by their marks (dashed leader: behind what is drawn). Every part has its own drawing; sizes "
    "are on those."
)
NOT_MADE = "Thin lines: bought, or there already. What is made here is fitted to it as it is; it has no drawing."
BESIDE = "Thin lines without a circle: {}."
NOT_PLACED = "Loose, with no place in the job file and not shown here (* in the list of parts): {}."


def assembly_content(
    pieces: Sequence[Piece], figures: Figures, projection: Projection, beside: Sequence[Wire] = ()
) -> Content | None:
    """The views and the lists; None where the job places too few parts for a picture, or too many for a sheet.  Notes
    from `SIZES` on are about the side and the plan, and the lists.

    Args:
        pieces: of the job, complete.
        figures: the job's units.
        projection: for the symbols of welds.
        beside: wheels, dampers and envelopes.
    """
    placed = [piece for piece in pieces if piece.is_placed]
    if not LEAST <= len(placed) <= MOST:
        return None
    view = isometric()
    bodies = [*(body(piece) for piece in placed), *(each.body for each in beside)]
    pens: list[Pen] = ["thin" if piece.as_it_is else "visible" for piece in placed]
    pens += ["thin"] * len(beside)
    width, height = seen_size([body.vertices for body in bodies], view)

    @cache
    def picture(scale: float) -> BodiesPicture:
        return bodies_picture(bodies, view, scale, pens)

    def draw(scale: float, room: Xy) -> Panel:
        return _drawn(placed, bodies, picture(scale), view, scale, room, projection, figures)

    def least(scale: float) -> Xy:
        if max(width, height) * scale < READABLE:
            return (math.inf, math.inf)  # rather on a sheet of its own than too small beside the lists
        return (width * scale + 2.0 * ROOM, height * scale + 2.0 * ROOM)

    tables = [_parts_list(pieces, figures)]
    tables += _welds(pieces, figures)
    tables += _on_what_is_there(pieces, figures)
    thin = [NOT_MADE] if any(piece.as_it_is for piece in pieces) else []
    thin += [BESIDE.format(", ".join(each.name for each in beside))] if beside else []
    loose = [piece.mark for piece in pieces if not piece.is_placed]
    notes = (NOTE, *thin, SIZES, *([NOT_PLACED.format(names(loose, MOST))] if loose else []))
    main = View("Assembly, isometric", least, draw, largest=1.0, small=math.inf)
    sides = (elevations(placed, bodies, pens, figures, projection),)
    return Content(DrawnView(main), sides, tables=tuple(tables), notes=notes)


def _drawn(
    placed: Sequence[Piece],
    bodies: Sequence[EdgedMesh],
    picture: BodiesPicture,
    view: Frame,
    scale: float,
    room: Xy,
    projection: Projection,
    figures: Figures,
) -> Panel:
    sketch = Sketch()
    sketch.draw(*picture.picture.items)
    spare = (max(ROOM, (room[0] - picture.width) / 2.0), max(ROOM, (room[1] - picture.height) / 2.0))
    limit = (-spare[0], -spare[1], picture.width + spare[0], picture.height + spare[1])
    for weld, point in _weld_points(placed, view):
        place_symbol(sketch, weld, projection, picture.at(point, view, scale), limit, figures)
    named: list[Named] = []
    for piece, own, spot in zip(placed, bodies, picture.spots, strict=False):  # what stands beside them comes last
        place = picture.at(_middle(own), view, scale) if spot is None else spot
        named.append(Named(piece.mark, place, hidden=spot is None))
    balloons(sketch, named, limit)
    return sketch.panel()


def _middle(body: EdgedMesh) -> np.ndarray:
    """The corner of a body that is nearest to its middle."""
    away = np.linalg.norm(body.vertices - body.vertices.mean(axis=0), axis=1)
    return np.asarray(body.vertices[int(np.argmin(away))])


def _weld_points(placed: Sequence[Piece], view: Frame) -> Iterator[tuple[Weld, np.ndarray]]:
    """Where the arrows of the welds between placed tubes and profiles point: the place of the joint nearest to the
    eye."""
    known = {piece.mark: piece for piece in placed}
    for piece in placed:
        for weld in piece.welds:
            for mark in weld.parts[1:]:
                for places in _joints(piece, mark, known.get(mark)):
                    points = places[~np.isnan(places).any(axis=1)]
                    if len(points):
                        yield weld, points[int(np.argmax(points @ view.z))]


def _joints(piece: Piece, mark: str, other: Piece | None) -> Iterator[np.ndarray]:
    """The places, (n, 3), of each joint of two parts: of a tube's end on the other, and where either is a profile, of
    an end that lands on the other or is mitred with it."""
    part = piece.length_part
    known = [joint.run.points for joint in part.welds if joint.onto == mark] if part is not None else []
    yield from known
    if other is None or known:
        return
    for main, branch in ((other, piece), (piece, other)):
        for landing in face_landings_on(main):
            if landing.branch == branch.mark:
                yield end_places(branch, landing.at)
    if (profile := piece.profile_part) is not None:
        mitred = (end for end in profile.ends if end.kind == "mitre" and mark in end.onto)
        yield from (end_places(piece, end.at) for end in mitred)


def _parts_list(pieces: Sequence[Piece], figures: Figures) -> TableText:
    known = {piece.mark: piece for piece in pieces}
    alike: dict[tuple[str, ...], list[Piece]] = {}
    for piece in pieces:
        # A hand is called what its first is called; like rows are one.
        lead = known.get(piece.opposite_of) or known.get(piece.same_as) or piece
        mass = "-" if piece.as_it_is else figure(piece.mass, 3 if piece.mass < 1.0 else 2)
        size = piece.state if piece.as_it_is else _size(piece, figures)
        row = (lead.title or piece.kind, _stock(piece, figures), piece.material, size, mass)
        alike.setdefault(row, []).append(piece)
    rows = tuple(
        (
            ", ".join(each.mark + ("" if each.is_placed else "*") for each in own),
            str(sum(each.quantity for each in own)),
            *row,
        )
        for row, own in alike.items()
    )
    return TableText(
        "Parts",
        ("mark", "qty", "what", "stock", "material", "saw length or flat", "kg each"),
        rows,
        longest=LONGEST_CELL,
    )


def _stock(piece: Piece, figures: Figures) -> str:
    shape = piece.shape
    if isinstance(shape, FlatPart) and shape.bar is None:
        return f"sheet {figures.sheet(shape.thickness)}"
    section = shape.bar if isinstance(shape, FlatPart) else shape.section
    return "" if section is None else section.words(figures.units)


def _size(piece: Piece, figures: Figures) -> str:
    shape = piece.shape
    if not isinstance(shape, FlatPart):
        return figures.tube(shape.length)
    return " x ".join(map(figures.length, shape.size))


def _welds(pieces: Sequence[Piece], figures: Figures) -> list[TableText]:
    rows = tuple(
        (piece.mark, ", ".join(weld.parts[1:]), weld_words(weld, figures)) for piece in pieces for weld in piece.welds
    )
    return [TableText("Welds", ("part", "on", "weld"), rows)] if rows else []


def _on_what_is_there(pieces: Sequence[Piece], figures: Figures) -> list[TableText]:
    """Of each tube and profile that is bought or there already, and so has no sheet of its own, what is set out on
    it."""
    own = {each.mark for each in made_here(pieces)}
    found: list[TableText] = []
    for piece in taken_as_it_is(pieces):
        landed, tape = [each for each in face_landings_on(piece) if each.branch in own], tape_end(piece)
        tables = [face_landing_table(landed, figures, tape, piece.length_part)]
        if (part := piece.length_part) is not None:
            landings = tuple(landing for landing in part.landings if landing.branch in own)
            here = replace(part, landings=landings, drilled=drilled_to_make(piece))
            tables.insert(0, landing_table(here, figures, tape) or drilled_table(here, figures, tape))
        found += [replace(each, title=f"{piece.mark}, {piece.state}. {each.title}") for each in tables if each]
    return found
