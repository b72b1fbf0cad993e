"""The part of a DXF file that is the same for every part, written once; entities go into it.

An empty drawing with our layers is some 15 kB of header, tables and objects, and takes ezdxf
longer to write than a part's own lines.  So it is written once a run, with stand-in numbers
where the extents go, and each part's entities (also written by ezdxf) are put into its ENTITIES
section.  Handles run from a fixed start in every file, so like parts give like bytes.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
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
_FIRST_HANDLE, _HANDLE_SEED = 0x1000, 0x1000000
_ANY_HANDLE = "FFFFFF"
# Stand-ins: exact in binary, and unlike any other number in the file.
_WIDTH, _HEIGHT, _VIEW = 111111.25, 222222.25, 333333.25


@dataclass(frozen=True, slots=True)
class _Frame:
    """What stands before and after the entities, and the owner they name (the model space)."""

    before: str
    after: str
    owner: str


class PartFile:
    """One part's entities, collected and then written.  All coordinates mm, rounded to a nanometre."""

    def __init__(self, has_sheet: bool = False) -> None:
        from ezdxf.lldxf.const import DXF2000
        from ezdxf.lldxf.tagwriter import TagWriter

        self._frame = _frame(has_sheet)
        self._text = io.StringIO()
        self._writer = TagWriter(self._text, dxfversion=DXF2000)
        self._handle = _FIRST_HANDLE

    def add_closed(self, shape: Loop | Sequence[Xy], layer: Layer) -> None:
        """A closed outline as one polyline, with true arcs if it has any, or a true circle."""
        if isinstance(shape, Circle):
            from ezdxf.entities import Circle as CircleEntity

            attributes = {"center": _point((shape.x, shape.y)), "radius": _rounded(shape.diameter / 2.0)}
            CircleEntity.new(dxfattribs=attributes | self._common(layer)).export_dxf(self._writer)
        elif isinstance(shape, Outline):
            vertices = [(*_point((v.x, v.y)), 0.0, 0.0, round(v.bulge, 12)) for v in shape.vertices]
            self._add_polyline(vertices, layer, closed=True)
        else:
            self._add_polyline([(*_point(p), 0.0, 0.0, 0.0) for p in shape], layer, closed=True)

    def add_mark(self, shape: Loop | Sequence[Xy]) -> None:
        """What is etched: a closed curve, or an open line."""
        if isinstance(shape, Outline | Circle):
            self.add_closed(shape, "MARK")
        else:
            self.add_line(shape, "MARK")

    def add_line(self, points: Sequence[Xy], layer: Layer) -> None:
        """An open line through two or more points: a bend as LINE, anything else as one polyline."""
        if layer == "BEND" and len(points) == 2:
            from ezdxf.entities import Line

            ends = {"start": _point(points[0]), "end": _point(points[1])}
            Line.new(dxfattribs=ends | self._common(layer)).export_dxf(self._writer)
        elif len(points) > 1:
            self._add_polyline([(*_point(p), 0.0, 0.0, 0.0) for p in points], layer, closed=False)

    def written(self, width: float, height: float) -> bytes:
        """The file: its drawing reaches from the origin to (width, height) mm."""
        w, h = _rounded(width), _rounded(height)
        view = _rounded(1.1 * max(height, width / 1.5))
        stand_ins = ((_WIDTH, w), (_HEIGHT, h), (_WIDTH / 2.0, w / 2.0), (_HEIGHT / 2.0, h / 2.0), (_VIEW, view))
        before = self._frame.before
        after = self._frame.after
        for stand_in, value in stand_ins:
            before = before.replace(f"\n{stand_in}\n", f"\n{_rounded(value)}\n")
            after = after.replace(f"\n{stand_in}\n", f"\n{_rounded(value)}\n")
        return f"{before}{self._text.getvalue()}{after}".encode("ascii")

    def _add_polyline(self, vertices: Sequence[tuple[float, ...]], layer: Layer, closed: bool) -> None:
        """Vertices as (x, y, start width, end width, bulge)."""
        common = self._common(layer)
        text = _polyline_text(tuple(vertices), layer, closed, self._frame.owner)
        self._text.write(text.replace(f"\n{_ANY_HANDLE}\n", f"\n{common['handle']}\n", 1))

    def _common(self, layer: Layer) -> dict[str, object]:
        handle = f"{self._handle:X}"
        self._handle += 1
        return {"layer": layer, "handle": handle, "owner": self._frame.owner}


def _rounded(value: float) -> float:
    """To the nanometre: what is beyond it is arithmetic noise; never -0."""
    return round(float(value), 6) + 0.0


def _point(point: Xy) -> Xy:
    return _rounded(point[0]), _rounded(point[1])


@lru_cache(maxsize=4096)
def _polyline_text(vertices: tuple[tuple[float, ...], ...], layer: Layer, closed: bool, owner: str) -> str:
    """A polyline as ezdxf writes it, with a stand-in for its handle: letters and marks come again in many files."""
    from ezdxf.entities import LWPolyline
    from ezdxf.entities.lwpolyline import LWPolylinePoints
    from ezdxf.lldxf.const import DXF2000
    from ezdxf.lldxf.tagwriter import TagWriter

    text = io.StringIO()
    polyline = LWPolyline.new(dxfattribs={"layer": layer, "handle": _ANY_HANDLE, "owner": owner})
    polyline.lwpoints = LWPolylinePoints(data=vertices)
    polyline.closed = closed
    polyline.export_dxf(TagWriter(text, dxfversion=DXF2000))
    return text.getvalue()


@cache
def _frame(has_sheet: bool) -> _Frame:
    import ezdxf

    # ezdxf stamps files with the time and random identifiers unless this option is set; the
    # option is ezdxf's, for the whole process, so it is put back.
    stamps = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new(VERSION, units=4)  # 4: millimetres
        document.header["$MEASUREMENT"] = 1
        document.linetypes.add(
            DOUBLE_DOTTED,
            # Total length, then dashes, minus gaps and dots, mm: 24 d, 3 d, 0.5 d for d = 0.25 mm.
            [8.5, 6.0, -0.75, 0.125, -0.75, 0.125, -0.75],
            description="ISO 128-2 05.1 long-dashed double-dotted narrow",
        )
        for name, colour, line_type, width in (*LAYERS, *([SHEET_EDGE] if has_sheet else [])):
            document.layers.add(name, color=colour, linetype=line_type, lineweight=width)
        space = document.modelspace()
        space.reset_extents((0.0, 0.0, 0.0), (_WIDTH, _HEIGHT, 0.0))
        space.reset_limits((0.0, 0.0), (_WIDTH, _HEIGHT))
        # The model space's own extents are not carried over while its lower corner is (0, 0, 0).
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (0.0, 0.0, 0.0), (_WIDTH, _HEIGHT, 0.0)
        document.set_modelspace_vport(_VIEW, (_WIDTH / 2.0, _HEIGHT / 2.0))
        document.entitydb.handles.reset(f"{_HANDLE_SEED:X}")
        stream = io.StringIO()
        document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = stamps
    head, section, tail = stream.getvalue().partition("  2\nENTITIES\n")
    return _Frame(head + section, tail, space.layout_key)
