"""Rectangular branches: developed width, fold lines at the corners' tangent points, faces; and for
all tubes, that the top lines of both ends are one line along the tube."""

from __future__ import annotations

import io
import math
from itertools import pairwise
from typing import Any

import ezdxf
import numpy as np
import pytest
from coped_tubes import box_tube, coped_tube, round_tube
from hypothesis import given
from hypothesis import strategies as st

from fabgen.documents.dxf.flat_dxf import sheet_dxf
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.render.tiling import Joins
from fabgen.documents.templates.template_drawing import TAB, template_box, template_sketch
from fabgen.documents.wrap.wrap import Wrap, unrolled
from fabgen.documents.wrap.wrap_marks import fold_lines, wrap_marks
from fabgen.documents.wrap.wrap_sheet import wrap_sheet
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.parts.shape.sections import section_profile


def shape(piece: Piece) -> LengthPart:
    assert isinstance(piece.shape, LengthPart)
    return piece.shape


def bare(piece: Piece, end: int = 0) -> Wrap:
    return unrolled(shape(piece), shape(piece).ends[end])


def uprights(piece: Piece, end: int, pen: str) -> list[float]:
    """u of the drawing's upright lines of one pen that are longer than a tick."""
    wrap = bare(piece, end)
    sketch = template_sketch(piece.mark, shape(piece).ends[end], wrap, "mm", Joins(template_box(wrap)))
    lines = [item for item in sketch.items if isinstance(item, Stroke) and item.pen == pen and len(item.points) == 2]
    return sorted(a[0] for a, b in (line.points for line in lines) if a[0] == b[0] and abs(a[1] - b[1]) > 5.0)


# -- developed width and folds -------------------------------------------------------
sizes = st.tuples(st.floats(15.0, 150.0), st.floats(15.0, 150.0), st.floats(0.0, 0.95))


@given(sizes)
def test_the_developed_width_is_exact(size: tuple[float, float, float]) -> None:
    """Four faces between tangent points and four quarter arcs: 2 (w + d) - 8 r + 2 pi r."""
    width, depth, share = size
    corner = share * min(width, depth) / 2.0
    piece = coped_tube(box_tube(width, depth, corner, 2.0), round_tube(500.0), 70.0)
    wrap = bare(piece)
    assert wrap.width == pytest.approx(2.0 * (width + depth) - (8.0 - 2.0 * math.pi) * corner, abs=1e-9)
    flats = sum(face.finish - face.start for face in wrap.faces())
    assert flats == pytest.approx(2.0 * (width + depth) - 8.0 * corner, abs=1e-6)
    assert wrap.width - flats == pytest.approx(2.0 * math.pi * corner, abs=1e-6)


@pytest.mark.parametrize("top", [0.0, 90.0, 37.0])
def test_folds_stand_at_the_tangent_points_on_sheet_and_tab(top: float) -> None:
    piece = coped_tube(box_tube(60.0, 40.0, 6.0), round_tube(76.1), 60.0, top=top)
    wrap = bare(piece)
    ends = sorted(s % wrap.girth.length for face in wrap.faces() for s in (face.start, face.finish))
    wanted = [*ends, *(s + wrap.width for s in ends if s < TAB - 0.3)]
    assert uprights(piece, 0, "bend") == pytest.approx(wanted)
    # An arc of the corner's radius between every second pair.
    gaps = [b - a for a, b in pairwise([*ends, ends[0] + wrap.width])]
    arcs = [gap for gap in gaps if abs(gap - 6.0 * math.pi / 2.0) < 1e-6]
    assert len(arcs) == 4


def test_every_face_is_named_on_the_sheet() -> None:
    piece = coped_tube(box_tube(60.0, 40.0, 6.0), round_tube(76.1), 60.0, top=0.0)
    wrap = bare(piece)
    sketch = template_sketch("T1", shape(piece).ends[0], wrap, "mm", Joins(template_box(wrap)))
    said = [item.text for item in sketch.items if isinstance(item, Text)]
    for name in ("right", "left", "bottom", "top"):
        assert any(name in text.lower() for text in said), name


def test_the_film_wrap_has_the_same_folds_and_no_mark_on_them() -> None:
    piece = coped_tube(box_tube(60.0, 40.0, 6.0), round_tube(76.1), 60.0, top=0.0)
    wrap = bare(piece)
    ends = [s % wrap.girth.length for face in wrap.faces() for s in (face.start, face.finish)]
    document = ezdxf.read(io.StringIO(sheet_dxf(wrap_sheet(piece, shape(piece).ends[0])).decode("ascii")))
    folds = [e for e in document.modelspace() if e.dxf.layer == "BEND"]
    assert sorted({round(e.dxf.start.x, 6) for e in folds}) == pytest.approx(sorted(ends), abs=1e-6)
    marks = wrap_marks(piece, shape(piece).ends[0], wrap)
    for (u, low), (_, high) in fold_lines(wrap):
        for stroke in marks:
            for (x0, y0), (x1, y1) in pairwise(stroke):
                crosses = min(x0, x1) <= u <= max(x0, x1) and min(y0, y1) <= high and max(y0, y1) >= low
                assert not crosses


def test_a_round_tube_has_no_folds() -> None:
    assert list(fold_lines(bare(coped_tube(round_tube(48.3), round_tube(60.3))))) == []


# -- top lines ------------------------------------------------------------------------
def tube(mark: str, *route: tuple[float, float, float], **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": "60.3 x 3.2", "route": [list(p) for p in route], **keys}


def between_two(
    section: str, first: tuple[float, float, float], last: tuple[float, float, float], turn: float
) -> Piece:
    """A tube coped at both ends: onto a tube along y through its start, and one along a slant through its finish."""
    x, y, z = last
    mains = [
        tube("T1", (first[0] - 300, first[1] - 500, first[2]), (first[0] + 300, first[1] + 500, first[2])),
        tube("T2", (x + 420, y - 500, z + 40), (x - 420, y + 500, z - 40)),
    ]
    branch = tube("T3", first, last, section=section, turn=turn)
    job = {"job": {"title": "t", "number": "1", "units": "mm"}, "tube": [*mains, branch]}
    return all_pieces(Definitions.model_validate(job))[2]


TUBES = {
    "round": between_two("48.3 x 3.2", (0, 0, 0), (600, 0, 0), 0.0),
    "round, leaning": between_two("33.7 x 2.6", (0, 0, 0), (400, 150, 350), 0.0),
    "round, vertical": between_two("33.7 x 2.6", (0, 0, 0), (0, 0, 500), 0.0),
    "round, hanging": between_two("33.7 x 2.6", (0, 0, 500), (0, 0, 0), 0.0),
    "rectangular": between_two("40 x 30 x 3", (0, 0, 0), (600, 0, 0), 0.0),
    "rectangular, turned": between_two("40 x 20 x 2", (0, 0, 0), (600, 100, 0), 30.0),
    "rectangular, turned back": between_two("40 x 20 x 2", (0, 0, 0), (600, 0, 200), -100.0),
    "rectangular, vertical": between_two("40 x 20 x 2", (0, 0, 0), (0, 0, 500), 45.0),
    "rectangular, hanging": between_two("40 x 20 x 2", (0, 0, 500), (0, 0, 0), 12.0),
}


def on_tube(piece: Piece, end: WorkedEnd, wrap: Wrap, u: float) -> Array:
    """The point of the tube's outside, in space, on which u of a sheet of no thickness lies."""
    profile = section_profile(shape(piece).section, end.top)
    stations = np.append(profile.station, profile.perimeter)
    skin = np.vstack((profile.skin, profile.skin[:1]))
    y, z = (np.interp(u, stations, skin[:, i]) for i in (0, 1))
    assert wrap.width == pytest.approx(profile.perimeter)
    return end.frame.outside(np.array([0.0, y, z]))


def drawn_top(piece: Piece, end: int) -> float:
    """u of the TOP line as the template draws it: its one long upright, or the seam where it has none."""
    wrap = bare(piece, end)
    lines = [u for u in uprights(piece, end, "visible") if u < wrap.width - 0.01]
    assert len(lines) <= 1
    return lines[0] if lines else 0.0


def off_seam(piece: Piece) -> float:
    """How far beside the seam a top line lies that is drawn as the seam: 0.05 mm at most."""
    tops = [(bare(piece, i).top, bare(piece, i).width) for i in (0, 1)]
    beside = [min(top, width - top) for top, width in tops]
    return sum(distance for distance in beside if distance <= 0.05)


@pytest.mark.parametrize("name", TUBES)
def test_a_line_along_the_tube_joins_the_top_marks_of_both_ends(name: str) -> None:
    piece = TUBES[name]
    part = shape(piece)
    assert [end.cut for end in part.ends] == ["cope", "cope"]
    start = part.ends[0]
    at_start, at_finish = (on_tube(piece, end, bare(piece, i), drawn_top(piece, i)) for i, end in enumerate(part.ends))
    across = at_finish - at_start
    across = across - (across @ start.frame.x) * start.frame.x
    # Between whole degrees a chord stands for the arc: a hundredth of a millimetre.
    assert np.linalg.norm(across) < 0.01 + off_seam(piece)
    # And it is the section's top: on the side of the part's frame's z, right over its axis.
    assert part.frame is not None
    away = at_start - part.frame.origin
    assert away @ part.frame.z > 5.0
    assert away @ part.frame.y == pytest.approx(0.0, abs=0.01 + off_seam(piece))


@pytest.mark.parametrize("name", TUBES)
def test_the_film_and_the_table_have_the_same_top(name: str) -> None:
    piece = TUBES[name]
    for i, end in enumerate(shape(piece).ends):
        wrap = bare(piece, i)
        assert drawn_top(piece, i) == pytest.approx(wrap.top, abs=1e-6 + off_seam(piece))
        assert wrap.top == pytest.approx(wrap.top_station)
        first, *_ = wrap_marks(piece, end, wrap)
        if not wrap.top_is_seam:
            assert [u for u, _ in first] == pytest.approx([wrap.top] * 2)


@pytest.mark.parametrize("beside", [0.06, 0.2, 0.9, 1.4, -0.06, -0.2, -0.9, -1.4])
def test_a_top_line_beside_the_seam_is_drawn_where_it_is(beside: float) -> None:
    """On film and on paper, for a round tube of 20 mm; its arc of `beside` mm is an angle of 360 / (20 pi) a mm."""
    piece = coped_tube(round_tube(20.0), round_tube(25.0), 60.0, top=beside / (20.0 * math.pi) * 360.0)
    wrap = bare(piece)
    first, *_ = wrap_marks(piece, shape(piece).ends[0], wrap)
    assert [u for u, _ in first] == pytest.approx([beside % (20.0 * math.pi)] * 2, abs=1e-3)
    assert drawn_top(piece, 0) == pytest.approx(beside % (20.0 * math.pi), abs=1e-3)


@pytest.mark.parametrize("beside", [0.0, 0.04, -0.04])
def test_a_top_line_at_the_seam_is_the_seam(beside: float) -> None:
    piece = coped_tube(round_tube(20.0), round_tube(25.0), 60.0, top=beside / (20.0 * math.pi) * 360.0)
    wrap = bare(piece)
    assert wrap.top_is_seam
    assert all(min(u for u, _ in stroke) > 1.0 for stroke in wrap_marks(piece, shape(piece).ends[0], wrap))
    assert drawn_top(piece, 0) == 0.0


def test_the_marks_can_disagree() -> None:
    """Wrapped the wrong way round (a quarter on), the line would not meet the mark."""
    piece = TUBES["round"]
    start, finish = shape(piece).ends
    wrong = on_tube(piece, finish, bare(piece, 1), (drawn_top(piece, 1) + 20.0) % bare(piece, 1).width)
    right = on_tube(piece, start, bare(piece), drawn_top(piece, 0))
    across = (wrong - right) - ((wrong - right) @ start.frame.x) * start.frame.x
    assert np.linalg.norm(across) > 15.0
