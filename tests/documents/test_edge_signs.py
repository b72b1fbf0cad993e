"""Symbols of welds on the details of sheet parts: where their arrows end, and what they say."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from jobs import checked, definitions, tube

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.flat.edge_signs import UNSIZED, EdgeSigns, edge_signs
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Arc, Fill, Stroke, Text, line
from fabgen.documents.render.sketch import Sketch, text_box
from fabgen.wording.figures import MILLIMETRES

ROUND = tube("T1", (0, 0, 0), (800, 0, 0), section="48.3 x 3.2")
BOX = tube("T1", (0, 0, 0), (800, 0, 0), section="100 x 100 x 4")
CHANNEL = {"mark": "B1", "shape": "channel", "thickness": 4, "web": 60, "flanges": [40, 40], "length": 80,
           "place": {"at": [300, 30, 90], "of": [0, 0], "along": [1, 0, 0], "up": [0, 0, -1]}}  # fmt: skip
WELD = {"parts": ["P1", "T1"], "throat": 3}


def plate(mark: str, *at: float, up: tuple[int, ...] = (0, 0, 1), **keys: Any) -> dict[str, Any]:
    place = {"at": list(at), "along": [1, 0, 0], "up": list(up)}
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": place} | keys


EAR = plate("P1", 100, 3, 24.15, up=(0, -1, 0))


def signs(mark: str, projection: str = "first", **tables: Any) -> EdgeSigns | None:
    of = checked(definitions(**tables), planned=True)
    (piece,) = [each for each in of.pieces if each.mark == mark]
    edges = of.contacts.welded_edges.get(mark, ())
    return edge_signs(piece, edges, of.pieces, projection, MILLIMETRES)  # type: ignore[arg-type]


def said(mark: str, **tables: Any) -> list[str]:
    """The texts of a part's sheet."""
    of = checked(definitions(**tables), planned=True)
    pages = drawing_pages(of.pieces, of.job.job, paper.A4, edges=of.contacts.welded_edges)
    (page,) = [page for page in pages if mark in page.marks]
    return [item.text for item in page.picture.items if isinstance(item, Text)]


@pytest.mark.parametrize("scale", [1.0, 0.2])
@pytest.mark.parametrize(
    ("mark", "tables", "count"),
    [
        ("P1", {"tube": [ROUND], "plate": [EAR]}, 1),
        ("B1", {"tube": [BOX], "bracket": [CHANNEL]}, 2),
        ("P2", {"plate": [plate("P1", 0, 0, 0), plate("P2", 20, 10, 6, rectangle=[40, 30])]}, 1),
    ],
    ids=["on edge", "two feet", "lies on a plate"],
)
def test_arrows_end_at_the_edges_that_they_mean(mark: str, tables: dict[str, Any], count: int, scale: float) -> None:
    """Back from paper by the scale, within 0.1 mm; the symbol lies beside the metal."""
    made = signs(mark, **tables)
    assert made is not None
    sketch = Sketch()
    assert not made.draw(sketch, scale, [(-200.0, -200.0, 300.0, 300.0)])
    tips = [item.points[0] for item in sketch.items if isinstance(item, Fill)]
    assert len(tips) == count
    for (x, y), sign in zip(tips, made.signs, strict=True):
        assert shapely.LineString(sign.edge.line).distance(shapely.Point(x / scale, y / scale)) < 0.1
    boxes = [text_box(item) for item in sketch.items if isinstance(item, Text)]
    assert not any(
        shapely.box(*one).intersects(shapely.box(*other)) for one in boxes for other in boxes if one != other
    )


def test_no_arrow_and_no_symbol_lies_on_what_is_drawn_already() -> None:
    made = signs("P1", tube=[ROUND], plate=[EAR])
    assert made is not None
    sketch = Sketch()
    taken = Text(20.0, -8.0, "1234567890", 5.0)
    sketch.write(taken)
    made.draw(sketch, 1.0, [(-200.0, -200.0, 300.0, 300.0)])
    box = shapely.box(*text_box(taken))
    strokes = [shapely.LineString(item.points) for item in sketch.items if isinstance(item, Stroke)]
    assert strokes
    assert not any(stroke.intersects(box) for stroke in strokes)


def test_a_sign_without_room_is_words() -> None:
    made = signs("P1", tube=[ROUND], plate=[EAR])
    assert made is not None
    sketch = Sketch()
    sketch.draw(line((0.0, 0.0), (5.0, 5.0)))
    assert made.draw(sketch, 1.0, [(0.0, 0.0, 5.0, 5.0)]) == ["on T1"]


def test_the_job_s_weld_has_its_size_and_process() -> None:
    texts = said("P1", tube=[ROUND], plate=[EAR], weld=[WELD | {"process": "135"}])
    assert {"a3", "135, on T1"} <= set(texts)
    assert UNSIZED not in " ".join(texts)


def test_either_part_may_list_the_weld() -> None:
    assert "a3" in said("P1", tube=[ROUND], plate=[EAR], weld=[WELD | {"parts": ["T1", "P1"]}])


def test_a_weld_that_nobody_sized_has_no_size_and_a_note_says_so() -> None:
    texts = said("P1", tube=[ROUND], plate=[EAR])
    assert "on T1" in texts
    assert UNSIZED in " ".join(texts)


def test_a_weld_that_can_only_run_behind_the_flat_is_on_the_other_side() -> None:
    plates = [plate("P1", 0, 0, 0), plate("P2", 20, 10, -6, rectangle=[40, 30])]
    for given, side in ((None, "other"), ("arrow", "other"), ("both", "both")):
        weld = [{"parts": ["P2", "P1"], "leg": 4, "side": given}] if given else []
        made = signs("P2", plate=plates, weld=weld)
        assert made is not None
        assert [sign.weld.side for sign in made.signs if sign.weld] == [side]


def test_what_is_met_all_round_has_the_circle() -> None:
    made = signs("P2", plate=[plate("P1", 0, 0, 0), plate("P2", 20, 10, 6, rectangle=[40, 30])])
    assert made is not None
    sketch = Sketch()
    made.draw(sketch, 1.0, [(-200.0, -200.0, 300.0, 300.0)])
    assert any(isinstance(item, Arc) and math.isclose(item.radius, 1.5) for item in sketch.items)


def test_thick_plates_that_butt_say_so_without_a_symbol() -> None:
    plates = [plate("P1", 0, 0, 0), plate("P2", 100, 0, 0)]
    assert "butts P2" in said("P1", plate=plates)
    thin = [each | {"thickness": 3} for each in plates]
    made = signs("P1", plate=thin)
    assert made is not None
    assert [sign.weld.type for sign in made.signs if sign.weld] == ["square"]


def test_what_is_bolted_only_has_no_symbol() -> None:
    hole = [{"at": [50, 30], "bolt": "M10"}]
    plates = [plate("P1", 0, 0, 0, holes=hole), plate("P2", 0, 0, 6, holes=hole)]
    bolt = [{"thread": "M10", "through": ["P2", "P1"]}]
    assert signs("P1", plate=plates, bolt=bolt) is None


def test_a_weld_at_no_edge_of_the_flat_says_so() -> None:
    """A plate that lies along a narrow tube is welded under its face."""
    texts = " ".join(said("P1", tube=[ROUND], plate=[plate("P1", 100, -30, 24.15)], weld=[WELD]))
    assert "no symbol: it runs along no edge of the flat" in texts
