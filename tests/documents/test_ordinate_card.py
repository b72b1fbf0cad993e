"""The card for marking by hand: one row an end, places from the top line."""

from __future__ import annotations

import math
import re
from collections import defaultdict

import numpy as np
import pytest
from coped_tubes import CASES, box_tube, coped_tube, round_tube
from shapely import LineString, STRtree, box

from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.render.sketch import text_box
from fabgen.documents.render.true_size import MARGIN
from fabgen.documents.templates.ordinate_card import PLACES
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import LengthPart, Piece

NUMBER = re.compile(r"-?\d+\.\d")


def header(units: str = "mm") -> Header:
    return Header.model_validate({"title": "Curlew trailer", "number": "CUR-01", "units": units})


def cards(pieces: list[Piece], units: str = "mm", sheet: paper.Paper = paper.A4) -> list[Page]:
    pages = template_pages(pieces, header(units), sheet)
    return [page for page in pages if any(t.text == "Ordinates card" for t in texts(page))]


def texts(page: Page) -> list[Text]:
    return [item for item in page.picture.items if isinstance(item, Text)]


def rows(page: Page) -> dict[str, list[float]]:
    """The figures of each row, by the text it starts with."""
    lines: dict[float, list[tuple[float, str]]] = defaultdict(list)
    for item in texts(page):
        if item.turn == 0.0:
            lines[round(item.y, 2)].append((item.x, item.text))
    found = {}
    for line in lines.values():
        cells = [text for _, text in sorted(line)]
        figures = [float(cell) for cell in cells if NUMBER.fullmatch(cell)]
        if len(figures) >= PLACES - 1:
            found[cells[0]] = figures
    return found


def test_twelve_places_from_top_by_the_textbook() -> None:
    """Equal tubes at 90 degrees, outside skin: x = R |cos phi| (crossing of two equal cylinders)."""
    section = round_tube(50.0, 1e-6)
    for top in (0.0, 90.0, 200.0):
        piece = coped_tube(section, section, 90.0, top=top)
        (page,) = cards([piece])
        found = rows(page)
        heads, cells = found["TOP"], found["T1 start"]
        assert heads == pytest.approx([math.pi * 50.0 * k / 12.0 for k in range(1, 12)], abs=0.051)
        wanted = [25.0 * abs(math.cos(math.radians(top + 30.0 * k))) for k in range(12)]
        assert cells[:12] == pytest.approx(wanted, abs=0.06)
        assert len(cells) == 12, "square tubes have no heel"


def test_where_the_heel_lies() -> None:
    """From TOP to the right: the rest of the way round from the heel to TOP."""
    section = round_tube(50.0, 1e-6)
    for top in (0.0, 90.0, 200.0):
        (page,) = cards([coped_tube(section, section, 70.0, top=top)])
        cells = rows(page)["T1 start"]
        assert cells[12] == pytest.approx((-top % 360.0) / 360.0 * math.pi * 50.0, abs=0.051)


def test_both_ends_of_a_tube_lie_on_the_same_twelve_lines() -> None:
    """The finish's row runs the other way round the tube: place k there is place 12 - k of the start."""
    piece = coped_tube(round_tube(48.3), round_tube(60.3), 60.0, both=True, top=90.0)
    (page,) = cards([piece])
    start, finish = (rows(page)[f"T1 {at}"][:12] for at in ("start", "finish"))
    assert [finish[-k % 12] for k in range(12)] == pytest.approx(start, abs=0.11)
    # Here heel and toe differ, and 60 degrees is no mirror image of itself.
    assert max(start) > 10.0


def test_four_places_on_each_face() -> None:
    """60 x 40 at 45 degrees onto a flat: the sides rise 1 mm a mm, top and bottom are level."""
    piece = coped_tube(box_tube(60.0, 40.0, 6.0), box_tube(80.0, 80.0, 4.0), 45.0, top=0.0)
    (page,) = cards([piece])
    found = rows(page)
    (heads,) = [figures for name, figures in found.items() if not name.startswith("T1")]
    assert heads == pytest.approx([6.0, 15.3, 24.7, 34.0, 6.0, 22.0, 38.0, 54.0] * 2, abs=0.051)
    cells = found["T1 start"]
    assert len(set(cells[:4])) == len(set(cells[8:12])) == 1
    assert np.diff(cells[4:8]) == pytest.approx([-16.0] * 3, abs=0.11)
    assert np.diff(cells[12:]) == pytest.approx([16.0] * 3, abs=0.11)
    said = [item.text for item in texts(page)]
    assert [text for text in said if "wide" in text and "," in text][-4:] == [
        "top, 40 wide",
        "right, 60 wide",
        "bottom, 40 wide",
        "left, 60 wide",
    ]


def test_places_with_nothing_to_sit_on() -> None:
    (page,) = cards([CASES["offset, partly missing"]])
    assert "–" in [item.text for item in texts(page)]


def test_an_inch_job_has_a_row_of_inches_below() -> None:
    (page,) = cards([CASES["common"]], "in", paper.LETTER)
    said = [item.text for item in texts(page)]
    assert sum(bool(re.fullmatch(r"\d+ \d+/\d+|\d+/\d+|\d+", text)) for text in said) >= 2 * 12


def test_every_end_of_a_large_job_has_a_row() -> None:
    many = [coped_tube(round_tube(33.7), round_tube(60.3), 40.0 + i / 2, mark=f"T{i}") for i in range(80)]
    pages = cards(many)
    assert len(pages) == 2
    named = [name for page in pages for name in rows(page) if name.startswith("T") and name != "TOP"]
    assert sorted(named) == sorted(f"T{i} start" for i in range(80))


def test_ends_alike_share_a_row() -> None:
    alike = [coped_tube(round_tube(33.7), round_tube(60.3), 60.0, mark=f"T{i}", both=True) for i in range(3)]
    (page,) = cards(alike)
    assert [name for name in rows(page) if name.startswith("T") and name != "TOP"] == ["T0 start +2", "T0 finish +2"]


def test_a_turn_between_the_places_is_told() -> None:
    """Equal tubes at 90 degrees turn at R |cos phi|'s tops and feet, a quarter of the way round apart; with TOP
    at 100 degrees none of them is among the twelve places from it."""
    section = round_tube(50.0, 1e-6)
    (page,) = cards([coped_tube(section, section, 90.0, top=100.0)])
    (told,) = (item.text for item in texts(page) if item.text.startswith("turns between: "))
    turns = [tuple(map(float, turn.split(" at "))) for turn in re.findall(r"[\d.]+ at [\d.]+", told)]
    quarter = math.pi * 50.0 / 4.0
    wanted = sorted(((phi - 100.0) % 360.0 / 90.0 * quarter, 25.0 * (phi % 180 == 0)) for phi in (0, 90, 180, 270))
    assert sorted((at, up) for up, at in turns) == [pytest.approx(pair, abs=0.06) for pair in wanted]


@pytest.mark.parametrize(("sheet", "units"), [(paper.A4, "mm"), (paper.LETTER, "in"), (paper.A3, "in")])
def test_no_text_on_a_line_or_a_text(sheet: paper.Paper, units: str) -> None:
    for page in cards(list(CASES.values()) * 3, units, sheet):
        boxes = [box(*text_box(item)).buffer(-0.1) for item in texts(page)]
        lines = [LineString(item.points) for item in page.picture.items if isinstance(item, Stroke)]
        printable = box(MARGIN, MARGIN, page.width - MARGIN, page.height - MARGIN).buffer(0.3)
        assert all(printable.covers(thing) for thing in (*lines, *boxes))
        assert not STRtree(lines).query(boxes, predicate="intersects").size
        pairs = STRtree(boxes).query(boxes, predicate="intersects")
        assert all(i == k for i, k in pairs.T)


def test_no_card_without_worked_ends_or_when_not_wanted() -> None:
    piece = CASES["common"]
    assert isinstance(piece.shape, LengthPart)
    assert not any(
        item.text == "Ordinates card"
        for page in template_pages([piece], header(), paper.A4, card=False)
        for item in texts(page)
    )
