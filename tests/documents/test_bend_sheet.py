"""The bend sheet and its rows."""

from __future__ import annotations

import io
import math
import re
from typing import Any

import pytest
from pypdf import PdfReader

from fabgen.documents.data.piece_json import tube_bends
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.tube.bend_picture import bent_views, marked_bar
from fabgen.documents.drawing.tube.bend_sheet import bend_sheet_pages, bend_sheets
from fabgen.documents.drawing.tube.bend_table import HEADS, bend_rows, cut_list_rows
from fabgen.documents.render.paper import SIZES, Paper
from fabgen.documents.render.pdf import render
from fabgen.documents.render.picture import Picture, Text
from fabgen.documents.render.sketch import grown, text_box, within
from fabgen.documents.render.words import degrees, signed
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.tube.tube import pieces
from fabgen.wording.figures import Figures

FORMER = {"tube": 40, "radius": 120, "springback": "2 deg", "setback": 15, "name": "old one"}


def bent(mark: str, route: list[list[float]], radius: Any = 120, section: str = "40 x 2") -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": route, "bend_radius": radius}


HOOP = bent("H", [[0, -300, 0], [0, -300, 600], [0, 300, 600], [0, 300, 0]])
ZIG = bent("Z", [[0, 0, 0], [400, 0, 0], [400, 300, 0], [400, 300, 350], [700, 300, 600]], [100, 110, 95], "32 x 2")
STRAIGHT = {"mark": "S", "section": "40 x 2", "route": [[0, 0, 900], [500, 0, 900]]}


def job(*tubes: dict[str, Any], units: str = "mm") -> tuple[Header, list[Piece]]:
    data = {"job": {"title": "Bow", "number": "7", "units": units}, "tube": list(tubes), "former": [FORMER]}
    read = Definitions.model_validate(data)
    return read.job, pieces(read)


def part(piece: Piece) -> LengthPart:
    assert piece.length_part is not None
    return piece.length_part


def texts(picture: Picture) -> list[Text]:
    return [item for item in picture.items if isinstance(item, Text)]


class TestRows:
    def test_figures(self) -> None:
        header, (hoop,) = job(HOOP)
        first, second = bend_rows(part(hoop), header.units)
        assert dict(zip(HEADS, first, strict=True)) == {
            "bend": "1",
            "straight before": "480",
            "mark at": "465",
            "angle": "90°",
            "set to": "92°",
            "rotation": "-",
            "from TOP": "90°",
            "centre radius": "120",
            "takes": "188.5",
            "wall outside": "1.71",
        }
        assert second[2] == "1013.5"  # 480 + 60 pi + 360 - 15
        assert second[5] == "0°"

    def test_in_inches_alone(self) -> None:
        header, (hoop,) = job(HOOP, units="in")
        assert bend_rows(part(hoop), header.units)[0][2] == '18.307"'

    def test_cut_list_rows_of_bent_tubes_only(self) -> None:
        header, all_ = job(STRAIGHT, HOOP, ZIG)
        rows = cut_list_rows(all_, header.units)
        assert [row[:2] for row in rows] == [["H", "1"], ["", "2"], ["Z", "1"], ["", "2"], ["", "3"]]

    def test_json(self) -> None:
        _, (zig,) = job(ZIG)
        bends = tube_bends(part(zig))
        assert [bend["rotation_deg"] for bend in bends] == [0.0, 90.0, 90.0]
        assert all(0.0 <= float(bend["from_top_deg"]) < 360.0 for bend in bends)

    @pytest.mark.parametrize(("angle", "text"), [(30.0, "+30°"), (-12.5, "-12.5°"), (0.0, "0°"), (1e-9, "0°")])
    def test_signs(self, angle: float, text: str) -> None:
        assert signed(degrees(math.radians(angle))) == text


@pytest.mark.parametrize("paper", SIZES, ids=lambda p: p.name)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_pages_print_clean(paper: Paper, units: str) -> None:
    """Nothing leaves the printable area, and no text lies on another."""
    header, all_ = job(STRAIGHT, HOOP, ZIG, {**ZIG, "mark": "Z2", "title": "the other way round"}, units=units)
    pages = bend_sheet_pages(all_, header, paper)
    for page in pages:
        room = grown(paper.upright.printable, 0.3)
        assert within(page.picture.bounds, room)
        boxes = [text_box(text) for text in texts(page.picture)]
        assert all(within(box, room) for box in boxes)
        for i, a in enumerate(boxes):
            for b in boxes[i + 1 :]:
                assert a[2] <= b[0] + 0.4 or b[2] <= a[0] + 0.4 or a[3] <= b[1] + 0.6 or b[3] <= a[1] + 0.6, (
                    "texts overlap"
                )


def test_what_it_says() -> None:
    header, all_ = job(HOOP, ZIG)
    pages = bend_sheet_pages(all_, header, SIZES[0])
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(render(pages, "t"))).pages)
    for wanted in ("Bend sheet", "old one, radius 120 mm", "No former of the job fits", "Square to bend 1", "465"):
        assert wanted in text
    assert text.count("From above that") == 1  # the hoop lies in one plane


def test_no_bent_tube_no_page() -> None:
    header, all_ = job(STRAIGHT)
    assert bend_sheet_pages(all_, header, SIZES[0]) == []


def test_many_bends() -> None:
    """Sixty bends: the table goes on over pages, and the bar bears no figures that would not fit."""
    route = [[100.0 * i, 60.0 * (i % 2), 0.0] for i in range(62)]
    header, (long,) = job(bent("L", route, 30, "10 x 1"))
    pages = bend_sheet_pages([long], header, SIZES[0])
    assert len(pages) >= 2
    numbers = {text.text for page in pages for text in texts(page.picture)}
    assert {str(i) for i in range(1, 61)} <= numbers


def test_the_bar_is_true_to_scale() -> None:
    _, (hoop,) = job(HOOP)
    made = part(hoop)
    panel = marked_bar(made, 170.0, "mm")
    assert panel.height < 40.0
    assert bent_views(made, (170.0, 70.0), Figures()).width <= 170.0


def test_the_same_job_gives_the_same_pages() -> None:
    header, all_ = job(HOOP, ZIG)
    assert render(bend_sheet_pages(all_, header, SIZES[0]), "t") == render(
        bend_sheet_pages(all_, header, SIZES[0]), "t"
    )


def test_the_shape_has_its_overall_sizes_legs_and_radii() -> None:
    """A hoop 600 wide and high to its middles, of tube 40, bends of 120: 620 high and 640 wide over all, between the
    bends 600 - 240, before and after them 600 - 120."""
    _, (hoop,) = job(HOOP)
    panel = bent_views(part(hoop), (170.0, 120.0), Figures())
    said = sorted(text.text for text in texts(panel.picture))
    assert [each for each in said if each in {"360", "480", "620", "640", "R120"}] == [
        *("360", "480", "480", "620", "640", "R120", "R120")
    ]
    assert any(each.startswith("Square to bend 1, 1:") for each in said)


def test_the_second_view_repeats_no_size_of_the_first() -> None:
    """A tube in two planes, each of its straights dimensioned once."""
    header, (zig,) = job(bent("Z", [[0, 0, 0], [400, 0, 0], [400, 300, 0], [400, 300, 350]], 100, "32 x 2"))
    panel = bent_views(part(zig), (170.0, 120.0), Figures(header.units == "in"))
    said = [text.text for text in texts(panel.picture)]
    assert {"300", "100", "250"} <= set(said)  # 400 - 100, 300 - 200, 350 - 100
    assert all(said.count(each) == 1 for each in ("300", "100", "250"))


def test_bend_sheets_go_on_with_the_numbers_of_the_drawings() -> None:
    header, all_ = job(STRAIGHT, HOOP)
    pages = drawing_pages(all_, header, SIZES[0], further=bend_sheets(all_, header, SIZES[0]))
    said = [text.text for page in pages for text in texts(page.picture) if re.fullmatch(r"\d+ of \d+", text.text)]
    assert said == [f"{i} of {len(pages)}" for i in range(1, len(pages) + 1)]
