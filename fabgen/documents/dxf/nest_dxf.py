"""A nest as a DXF file, for those who cut their own: one sheet a file, its lower left corner at the origin.

Layers as in the files of single parts (see `dxf`), and SHEET: the edge of the sheet or remnant,
to line it up by, which is not cut.  What is etched comes first in the file, then part by part the
holes before the outside; parts that lie in the hole of another come before it, so that a machine
which cuts in the order of the file never cuts metal that has dropped already.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

import numpy as np

from fabgen.documents.dxf.dxf_file import PartFile
from fabgen.documents.dxf.flat_dxf import bend_lines, group_names, mark_strokes
from fabgen.documents.wrap.wrap_marks import Stroke
from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.plane.regions import region
from fabgen.parts.piece import FlatPart
from fabgen.plan.plan import PlacedPart, SheetPlan
from fabgen.plan.sheets.blanks import laid


def nest_names(sheets: Iterable[SheetPlan]) -> list[str]:
    """'3mm_S235_1.dxf' …: thickness, material and number of each sheet, in the given order."""
    numbers: dict[tuple[str, float], int] = {}
    kinds = [(sheet.material, sheet.thickness) for sheet in sheets]
    groups = list(dict.fromkeys(kinds))
    called = dict(zip(groups, group_names(groups), strict=True))
    names = []
    for kind in kinds:
        numbers[kind] = numbers.get(kind, 0) + 1
        names.append(f"{called[kind]}_{numbers[kind]}.dxf")
    return names


def nest_dxf(sheet: SheetPlan, parts: Mapping[str, FlatPart]) -> bytes:
    """The sheet with all that lies on it, mm; `parts` by their marks.  The same plan gives the same bytes."""
    file = PartFile(has_sheet=True)
    file.add_closed(Outline.rectangle(*sheet.size) if sheet.outline is None else sheet.outline, "SHEET")
    order = [(place, parts[place.mark]) for place in cutting_order(sheet.placed, parts)]
    for place, part in order:
        for mark in part.marks:
            for shape in [laid(mark.curve, place)] if mark.curve else _laid(mark_strokes(mark), place):
                file.add_mark(shape)
    for place, part in order:
        for line in _laid(bend_lines(part), place):
            file.add_line(line, "BEND")
        for hole in part.holes:
            file.add_closed(laid(hole.shape, place), "HOLE")
        file.add_closed(laid(part.outline, place), "CUT")
    return file.written(*sheet.size)


def cutting_order(placed: Sequence[PlacedPart], parts: Mapping[str, FlatPart]) -> list[PlacedPart]:
    """Parts in holes of others before them, the deepest first; else from left to right and upward."""
    from shapely import Point

    outlines = [laid(parts[place.mark].outline, place) for place in placed]
    spots = [Point(*outline.points(1.0)[0]) for outline in outlines]
    depths = [0] * len(placed)
    for place in placed:
        for hole in parts[place.mark].holes:
            inside = region(laid(hole.shape, place))
            depths = [depth + inside.contains(spot) for depth, spot in zip(depths, spots, strict=True)]

    def key(i: int) -> tuple[float, ...]:
        x0, y0 = outlines[i].bounds[:2]
        return (-depths[i], round(x0, 3), round(y0, 3))

    return [placed[i] for i in sorted(range(len(placed)), key=key)]


def _laid(lines: Iterable[Stroke], place: PlacedPart) -> Iterator[Stroke]:
    turn = np.radians(place.turn)
    c, s = np.cos(turn), np.sin(turn)
    for line in lines:
        yield [(float(x * c - y * s + place.x), float(x * s + y * c + place.y)) for x, y in line]
