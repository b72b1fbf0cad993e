"""A DXF file: our layers and line type, and on them what one part or one sheet has, written by ezdxf."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Literal

from fabgen.geometry.plane.outline import Circle, Loop, Outline, Xy

Layer = Literal["CUT", "HOLE", "BEND", "MARK", "SHEET"]

VERSION = "R2000"
DOUBLE_DOTTED = "LONG_DASHED_DOUBLE_DOTTED"
LAYERS: tuple[tuple[Layer, int, str, int], ...] = (
    # layer, colour number, line type, line width in 1/100 mm
    ("CUT", 7, "Continuous", 50),
    ("HOLE", 1, "Continuous", 50),
    ("BEND", 5, DOUBLE_DOTTED, 25),
    ("MARK", 3, "Continuous", 25),
)
SHEET_EDGE: tuple[Layer, int, str, int] = ("SHEET", 8, "Continuous", 13)
"""The edge of the sheet that parts lie on, to line it up by; nothing on it is cut.  Only nests have this layer."""


class PartFile:
    """One part's entities, collected and then written.  All coordinates mm, rounded to a nanometre."""

    def __init__(self, has_sheet: bool = False) -> None:
        import ezdxf

        with _without_stamps():
            self._document = ezdxf.new(VERSION, units=4)  # 4: millimetres
        self._document.header["$MEASUREMENT"] = 1
        self._document.linetypes.add(
            DOUBLE_DOTTED,
            # Total length, then dashes, minus gaps and dots, mm: 24 d, 3 d, 0.5 d for d = 0.25 mm.
            [8.5, 6.0, -0.75, 0.125, -0.75, 0.125, -0.75],
            description="ISO 128-2 05.1 long-dashed double-dotted narrow",
        )
        for name, colour, line_type, width in (*LAYERS, *([SHEET_EDGE] if has_sheet else [])):
            self._document.layers.add(name, color=colour, linetype=line_type, lineweight=width)
        self._space = self._document.modelspace()

    def add_closed(self, shape: Loop | Sequence[Xy], layer: Layer) -> None:
        """A closed outline as one polyline, with true arcs if it has any, or a true circle."""
        if isinstance(shape, Circle):
            centre, radius = _point((shape.x, shape.y)), _rounded(shape.diameter / 2.0)
            self._space.add_circle(centre, radius, dxfattribs={"layer": layer})
            return
        if isinstance(shape, Outline):
            vertices = [(*_point((v.x, v.y)), round(v.bulge, 12)) for v in shape.by_half_turns().vertices]
        else:
            vertices = [(*_point(p), 0.0) for p in shape]
        self._space.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs={"layer": layer})

    def add_mark(self, shape: Loop | Sequence[Xy]) -> None:
        """What is etched: a closed curve, or an open line."""
        if isinstance(shape, Outline | Circle):
            self.add_closed(shape, "MARK")
        else:
            self.add_line(shape, "MARK")

    def add_line(self, points: Sequence[Xy], layer: Layer) -> None:
        """An open line through two or more points: a bend as LINE, anything else as one polyline."""
        placed = [_point(p) for p in points]
        if layer == "BEND" and len(placed) == 2:
            self._space.add_line(placed[0], placed[1], dxfattribs={"layer": layer})
        elif len(placed) > 1:
            self._space.add_lwpolyline(placed, format="xy", dxfattribs={"layer": layer})

    def written(self, width: float, height: float) -> bytes:
        """The file: its drawing reaches from the origin to (width, height) mm.  Like entities give like bytes."""
        corner = (_rounded(width), _rounded(height))
        self._space.reset_extents((0.0, 0.0, 0.0), (*corner, 0.0))
        self._space.reset_limits((0.0, 0.0), corner)
        # The model space's own extents are not carried over while its lower corner is (0, 0, 0).
        header = self._document.header
        header["$EXTMIN"], header["$EXTMAX"] = (0.0, 0.0, 0.0), (*corner, 0.0)
        middle = (_rounded(corner[0] / 2.0), _rounded(corner[1] / 2.0))
        self._document.set_modelspace_vport(_rounded(1.1 * max(height, width / 1.5)), middle)
        stream = io.StringIO()
        with _without_stamps():
            self._document.write(stream)
        return stream.getvalue().encode("ascii")


@contextmanager
def _without_stamps() -> Iterator[None]:
    """No time and no random identifiers in a file: an option of ezdxf's for the entire process, so it is put back."""
    import ezdxf

    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _rounded(value: float) -> float:
    """To the nanometre: what is beyond it is arithmetic noise; never -0."""
    return round(float(value), 6) + 0.0


def _point(point: Xy) -> Xy:
    return _rounded(point[0]), _rounded(point[1])
