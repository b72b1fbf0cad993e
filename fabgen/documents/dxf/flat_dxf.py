"""DXF files a cutting service takes as they are: one part a file, true arcs, four layers.

Version: AC1015 (the 2000 form of the DXF Reference).  It is the oldest one that knows all that
these files need (LWPOLYLINE with bulges, $INSUNITS), so the oldest controllers and nesting
programs read it, and every newer one does.  All text in it is ASCII.

Layers: CUT the outside, HOLE what is cut inside it, BEND bend lines, MARK what is etched.
Line types by ISO 128-2:2020: cut edges continuous wide, marks continuous narrow, bend lines
long-dashed double-dotted narrow (05.1), so no meaning hangs on a colour.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from fabgen.documents.dxf.dxf_file import PartFile
from fabgen.documents.render.words import figure
from fabgen.documents.wrap.wrap_marks import Stroke, moved
from fabgen.documents.wrap.wrap_sheet import FlatSheet, Shape
from fabgen.geometry.plane.drawing_order import begun_low, reading_order, run_up
from fabgen.geometry.plane.lettering import strokes
from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.plane.regions import region
from fabgen.parts.piece import DrilledHole, FlatPart, Mark, Opening, Piece, ProfileEnd, WorkedEnd

_CHORD = 0.01
"""Chord error of etched curves where they are drawn as open lines, mm."""
_SHORTEST = 0.01
"""A piece of bend line shorter than this, mm, is left out."""


# -- file names -------------------------------------------------------------
# No two alike: a mark holds no "+", so a "+" parts it from the rest where "_" or "-" would leave doubt.
_IN_DOUBT = re.compile(r"-(hole|drill|start|finish)(-|$)", re.IGNORECASE)


def flat_name(piece: Piece) -> str:
    """'B1_S235_3mm_x2.dxf': mark, material, thickness, quantity.  Raises TypeError without a flat."""
    part, material = _flat_part(piece), safe_name(piece.material)
    first = f"{safe_name(piece.mark)}{'+' if '_' in material else '_'}{material}"
    return f"{first}_{figure(part.thickness, 2)}mm_x{piece.quantity}.dxf"


def wrap_name(piece: Piece, end: WorkedEnd) -> str:
    """'T1-start.dxf'."""
    return _parted(piece.mark, end.at)


def fold_name(piece: Piece, end: ProfileEnd, words: str) -> str:
    """'A1-start.dxf', of a T's faces that do not fold over one another 'A1-start-stem.dxf'."""
    return _parted(piece.mark, f"{end.at}-{words}" if words else end.at)


def hole_name(opening: Opening) -> str:
    """'T1-hole-T2.dxf', or 'T1-hole-T2-finish.dxf' where both ends of T2 open into T1."""
    return _parted(opening.main, "hole", opening.branch, *(() if opening.only else (opening.at,)))


def drill_name(hole: DrilledHole) -> str:
    """'T1-drill-1.dxf', of a drill's way out 'T1-drill-1-far.dxf'; the first of holes alike gives its number."""
    return _parted(hole.main, "drill", f"{hole.number}{'-far' if hole.far else ''}")


def _parted(*words: str) -> str:
    marks = words[::2]
    return ("+" if any(_IN_DOUBT.search(mark) for mark in marks) else "-").join(map(safe_name, words)) + ".dxf"


def group_names(groups: Sequence[tuple[str, float]]) -> list[str]:
    """'3mm_S235' for each material and thickness (mm).

    No two are alike, even on disks that make no difference of capitals: thicknesses that look alike get more digits,
    and what is alike all the same a number.
    """
    short = [_group_name(material, thickness, 2) for material, thickness in groups]
    names: list[str] = []
    for (material, thickness), name in zip(groups, short, strict=True):
        thicknesses = {each for (_, each), other in zip(groups, short, strict=True) if other == name}
        first = name if len(thicknesses) == 1 else _group_name(material, thickness, 4)
        name, number = first, 1
        while any(name.casefold() == other.casefold() for other in names):
            number += 1
            name = f"{first}-{number}"
        names.append(name)
    return names


def _group_name(material: str, thickness: float, digits: int) -> str:
    return f"{figure(thickness, digits)}mm_{safe_name(material)}"


def safe_name(text: str) -> str:
    """Letters, digits, dots, hyphens and underscores only: safe in every file system and in a shell."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9._+-]+", "-", plain).strip("-") or "part"


# -- files ------------------------------------------------------------------
def flat_dxf(piece: Piece) -> bytes:
    """The flat pattern, its lower left corner at the origin, mm.  Raises TypeError without a flat."""
    return sheet_dxf(flat_sheet(piece))


def flat_sheet(piece: Piece) -> FlatSheet:
    """The flat pattern's lines from its lower left corner, those of parts of like shape alike and in one order.

    Raises:
        TypeError: it has no flat.
    """
    part = _flat_part(piece)
    x0, y0, x1, y1 = part.outline.bounds
    marks: list[Shape] = []
    for mark in sorted(map(_begun, part.marks), key=_mark_order):
        marks += [mark.curve.moved(-x0, -y0)] if mark.curve else moved(mark_strokes(mark), -x0, -y0)
    return FlatSheet(
        name="",
        width=x1 - x0,
        height=y1 - y0,
        cut=begun_low(part.outline).moved(-x0, -y0),
        holes=[begun_low(hole.shape).moved(-x0, -y0) for hole in part.holes],
        folds=moved(sorted(map(run_up, bend_lines(part)), key=_line_order), -x0, -y0),
        marks=marks,
    )


def _begun(mark: Mark) -> Mark:
    if mark.curve is not None:
        return replace(mark, curve=begun_low(mark.curve))
    return replace(mark, line=tuple(run_up(mark.line))) if mark.line else mark


def _line_order(line: Sequence[Xy]) -> tuple[tuple[float, float], ...]:
    return reading_order(line[0]), reading_order(line[-1])


def _mark_order(mark: Mark) -> tuple[object, ...]:
    """Letters first, then lines, then curves, each from below."""
    if mark.curve is not None:
        x0, y0, x1, y1 = mark.curve.bounds
        return 2, reading_order((x0, y0)), reading_order((x1, y1))
    return (1, *_line_order(mark.line)) if mark.line else (0, reading_order(mark.at), mark.text)


def sheet_dxf(sheet: FlatSheet) -> bytes:
    """What is cut and marked as a DXF file, mm.  The same sheet gives the same bytes."""
    file = PartFile()
    file.add_closed(sheet.cut, "CUT")
    for hole in sheet.holes:
        file.add_closed(hole, "HOLE")
    for fold in sheet.folds:
        file.add_line(fold, "BEND")
    for mark in sheet.marks:
        file.add_mark(mark)
    return file.written(sheet.width, sheet.height)


def _flat_part(piece: Piece) -> FlatPart:
    if not isinstance(piece.shape, FlatPart):
        raise TypeError(f"{piece.mark} has no flat pattern")
    return piece.shape


def bend_lines(part: FlatPart, up: bool | None = None) -> Iterator[Stroke]:
    """The bend lines where there is metal: they cross neither a hole nor the outside.

    `up`: those alone that fold up, or down.
    """
    if not part.bends:
        return
    from shapely import LineString

    for bend in (each for each in part.bends if up is None or each.up is up):
        on_metal = LineString([bend.start, bend.end]).intersection(region(part.outline))
        for hole in part.holes:
            on_metal = on_metal.difference(region(hole.shape))
        for piece in getattr(on_metal, "geoms", [on_metal]):
            if piece.length > _SHORTEST:
                yield list(piece.coords)


def mark_strokes(mark: Mark) -> Iterable[Stroke]:
    """The mark as open lines; a closed curve as chords within 0.01 mm."""
    if mark.curve is not None:
        points = [(float(x), float(y)) for x, y in mark.curve.points(_CHORD)]
        return [[*points, points[0]]]
    return moved(strokes(mark.text, mark.height), *mark.at) if mark.text else [mark.line]
