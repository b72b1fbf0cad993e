"""Paper templates: the development, the drawing, the division over pages, the ordinates."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from itertools import pairwise

import numpy as np
import pytest
from coped_tubes import CASES, box_tube, coped_tube, round_tube
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, STRtree, box

from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page, render
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.render.sketch import text_box
from fabgen.documents.render.tiling import LAP, Joins, clipped, count_pages, divided
from fabgen.documents.render.true_size import MARGIN
from fabgen.documents.templates.templates import template_pages
from fabgen.documents.wrap.ordinates import ordinate_table
from fabgen.documents.wrap.wrap import Wrap, unrolled
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart, Piece, WorkedEnd
from fabgen.wording.inches import nearest_fraction

PAPERS = (paper.A4, paper.LETTER, paper.A3)


def header(units: str = "mm") -> Header:
    return Header.model_validate({"title": "Curlew trailer", "number": "CUR-01", "units": units})


def shape(piece: Piece) -> LengthPart:
    assert isinstance(piece.shape, LengthPart)
    return piece.shape


def wrap_of(piece: Piece, thickness: float = 0.0, end: int = 0) -> Wrap:
    return unrolled(shape(piece), shape(piece).ends[end], thickness)


def words(page: Page) -> list[str]:
    return [item.text for item in page.picture.items if isinstance(item, Text)]


# -- the development ---------------------------------------------------------------
@pytest.mark.parametrize("end", [0, 1])
def test_phi_runs_to_the_right_on_the_outside(end: int) -> None:
    """Seen square from outside with the other end up, the next phi lies to the right."""
    worked: WorkedEnd = shape(CASES["common"]).ends[end]
    frame = worked.frame
    for phi in np.radians([0.0, 40.0, 130.0, 222.0, 310.0]):
        outward = np.cos(phi) * frame.y + np.sin(phi) * frame.z
        step = np.cos(phi + 1e-3) * frame.y + np.sin(phi + 1e-3) * frame.z - outward
        right = np.cross(-outward, frame.x)
        assert step @ right == pytest.approx(1e-3, rel=1e-3)
    wrap = wrap_of(CASES["common"], end=end)
    assert [wrap.at(phi) for phi in (0.0, 1.0, 2.0)] == pytest.approx([0.0, 24.15, 48.3], abs=1e-3)


def test_a_round_wrap_grows_by_the_papers_thickness() -> None:
    wrap = wrap_of(CASES["common"], 0.1)
    assert wrap.width == pytest.approx(math.pi * (48.3 + 0.1))
    assert wrap.u[:-1] == pytest.approx(shape(CASES["common"]).ends[0].line.station * (48.3 + 0.1) / 48.3)


@pytest.mark.parametrize("corner", [0.0, 6.0])
def test_a_rectangular_wrap_grows_at_its_corners_only(corner: float) -> None:
    piece = coped_tube(box_tube(60.0, 40.0, corner), round_tube(76.1), 60.0, top=0.0)
    bare, papered = wrap_of(piece), wrap_of(piece, 0.2)
    assert bare.width == pytest.approx(200.0 - (8.0 - 2.0 * math.pi) * corner)
    assert papered.width - bare.width == pytest.approx(math.pi * 0.2)
    for face in papered.faces():
        first, last = papered.girth.on_paper(np.array([face.start + 1e-6, face.finish - 1e-6]))
        assert last - first == pytest.approx(face.size - 2.0 * corner, abs=1e-5)
    for (_, before), (after, _) in pairwise([(f.start, f.finish) for f in papered.faces()]):
        before %= bare.width
        first, last = papered.girth.on_paper(np.array([before - 1e-6, after + 1e-6]))
        assert last - first == pytest.approx(math.pi / 2.0 * (corner + 0.1), abs=1e-5)


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, 200.0])
def test_faces_are_named_alike_at_both_ends(turn: float) -> None:
    """A face's middle, in space, is the same face at the start and at the finish."""
    piece = coped_tube(box_tube(60.0, 40.0), round_tube(76.1), 60.0, top=0.0)
    part = shape(piece)
    middles = []
    for end in part.ends:
        wrap = unrolled(part, end)
        found = {}
        for face in wrap.faces():
            station = (face.start + face.finish) / 2.0 % part.section.perimeter
            phi = np.interp(station, wrap.station, wrap.phi)
            direction = math.cos(phi) * end.frame.y + math.sin(phi) * end.frame.z
            found[face.name] = direction
        middles.append(found)
    for name, direction in middles[0].items():
        assert middles[1][name] == pytest.approx(direction, abs=1e-6)
    # y is the section's top here, so, looking along x, the right is z (x forward, y up).
    assert middles[0]["top"] == pytest.approx([0.0, 1.0, 0.0], abs=1e-6)
    assert middles[0]["right"] == pytest.approx(np.cross([1.0, 0.0, 0.0], [0.0, 1.0, 0.0]), abs=1e-6)
    assert middles[0]["bottom"] == pytest.approx([0.0, -1.0, 0.0], abs=1e-6)


def test_heights_start_at_the_longest_point_and_end_at_a_round_figure() -> None:
    wrap = wrap_of(CASES["common"])
    assert wrap.v.min() == 0.0
    assert wrap.height % 5.0 == 0.0
    assert 33.0 <= wrap.height - wrap.span < 38.0
    part = shape(CASES["common"])
    inches = unrolled(part, part.ends[0], 0.1, "in").height / 25.4
    assert inches * 4.0 == pytest.approx(round(inches * 4.0))


def test_an_end_that_misses_its_main_altogether_still_unrolls() -> None:
    piece = coped_tube(round_tube(20.0), round_tube(60.3), 60.0, offset=50.0)
    assert np.isnan(shape(piece).ends[0].line.x).all()
    wrap = wrap_of(piece)
    assert wrap.cut_edge() == [(0.0, 0.0), (wrap.width, 0.0)]
    pages = template_pages([piece], header(), paper.A4)
    assert "no contact" in words(pages[0])


# -- the pages -----------------------------------------------------------------------
def test_plain_ends_get_no_template() -> None:
    plain = coped_tube(round_tube(48.3), round_tube(60.3))
    part = shape(plain)
    bare = LengthPart(part.section, part.length, part.axis, (part.ends[1], part.ends[1]))
    piece = Piece("T1", "tube", 1, "S355", 1.0, bare)
    assert template_pages([piece], header(), paper.A4) == []


def test_each_template_says_what_it_is() -> None:
    (page, *_rest) = template_pages([CASES["common"]], header(), paper.A4)
    said = words(page)
    text = "\n".join(said)
    for wanted in (
        "T1 start",
        "48.3 x 3.2, S355".replace("3.2", "2"),
        "cope onto T9 at 60°",
        "fit clear",
        "saw length 812 mm between longest points",
        "straight edge 65 mm from the longest point",
        "TOP",
        "heel",
        "toe",
        "keep",
        "waste",
        "to finish",
        "3 tubes like this",
        "CUR-01  Curlew trailer",
        "print at actual size, no scaling; measure this line: 100 mm",
        "and this line: 4 in",
    ):
        assert wanted in text, wanted
    assert said.count("print at actual size, no scaling; measure this line: 100 mm") == 2
    for phi in range(0, 360, 15):
        assert str(phi) in said


def test_pages_are_numbered() -> None:
    pages = template_pages(list(CASES.values()), header(), paper.A4)
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in words(page)


def test_small_templates_share_a_page() -> None:
    assert len(template_pages([CASES["small"]], header(), paper.A4, card=False)) == 1


def test_the_same_tubes_give_the_same_file() -> None:
    files = {render(template_pages(list(CASES.values()), header(), paper.A4), "t") for _ in range(2)}
    assert len(files) == 1


SHEETS = [(paper.A4, "mm"), (paper.LETTER, "in"), (paper.A3, "mm")]


@pytest.mark.parametrize(("sheet", "units"), SHEETS, ids=lambda value: getattr(value, "name", value))
@pytest.mark.parametrize("name", CASES)
def test_no_text_lies_on_a_line_or_a_text_and_all_is_inside_the_margin(
    name: str, sheet: paper.Paper, units: str
) -> None:
    for page in template_pages([CASES[name]], header(units), sheet):
        texts = [item for item in page.picture.items if isinstance(item, Text)]
        boxes = [box(*text_box(item)) for item in texts]
        lines = [LineString(item.points) for item in page.picture.items if isinstance(item, Stroke)]
        printable = box(MARGIN, MARGIN, page.width - MARGIN, page.height - MARGIN).buffer(0.3)
        assert all(printable.covers(thing) for thing in (*lines, *boxes))
        inner = [area.buffer(-0.1) for area in boxes]
        on_lines = STRtree(lines).query(inner, predicate="intersects")
        assert not on_lines.size, [(texts[i].text, lines[k]) for i, k in on_lines.T]
        pairs = STRtree(inner).query(inner, predicate="intersects")
        assert all(i == k for i, k in pairs.T), [(texts[i].text, texts[k].text) for i, k in pairs.T if i < k]


# -- division over pages ---------------------------------------------------------------
def test_crosses_of_one_letter_are_one_place_on_two_pages() -> None:
    """Laid out by their common crosses, neighbouring pages show the same template."""
    pages = template_pages([CASES["large and shallow"]], header(), paper.A4)
    found: dict[str, list[tuple[int, float, float]]] = defaultdict(list)
    for number, page in enumerate(pages):
        arms = [s for s in page.picture.items if isinstance(s, Stroke) and s.pen == "register" and len(s.points) == 2]
        middles = [
            ((a.points[0][0] + a.points[1][0]) / 2.0, (a.points[0][1] + a.points[1][1]) / 2.0)
            for a in arms
            if math.dist(*a.points) == pytest.approx(8.0)
        ]
        for item in page.picture.items:
            if isinstance(item, Text) and re.fullmatch("[A-Z]", item.text) and item.bold:
                x, y = min(middles, key=lambda m: math.dist(m, (item.x, item.y)))
                assert math.dist((x, y), (item.x, item.y)) < 5.0
                found[item.text].append((number, x, y))
    assert len(found) == 8
    shifts: dict[tuple[int, int], list[tuple[float, float]]] = defaultdict(list)
    for places in found.values():
        (a, ax, ay), (b, bx, by) = places
        assert a < b  # two pages, in their order
        shifts[a, b].append((bx - ax, by - ay))
    assert len(shifts) == 4
    for first, second in shifts.values():
        assert first == pytest.approx(second, abs=1e-9)


def test_the_parts_of_a_template_make_up_the_whole_line() -> None:
    """The thick line on all pages, overlaps counted once, is as long as the line itself."""
    piece = CASES["large"]
    wrap = wrap_of(piece, 0.1)
    pages = template_pages([piece], header(), paper.A4)
    shares = [p for p in pages if any("part" in text for text in words(p))]
    assert len(shares) == 2
    runs = []
    for page in shares:
        trims = [s for s in page.picture.items if isinstance(s, Stroke) and s.pen == "trim"]
        runs.append(max(trims, key=lambda s: len(s.points)).points)
    widths = [run[-1][0] - run[0][0] for run in runs]
    assert sum(widths) - LAP == pytest.approx(wrap.width + 12.0)


@given(st.floats(50.0, 3000.0), st.floats(150.0, 400.0), st.lists(st.floats(0.0, 3000.0), max_size=40))
def test_a_division_needs_the_fewest_pages_and_none_is_too_small(
    length: float, room: float, landmarks: list[float]
) -> None:
    joins = divided(0.0, length, room, landmarks)
    assert len(joins) + 1 == count_pages(length, room)
    whole = Joins((0.0, 0.0, length, 100.0), joins)
    windows = [tile.window for tile in whole.tiles()]
    assert all(w[2] - w[0] <= room + 1e-6 for w in windows)
    assert (windows[0][0], windows[-1][2]) == (0.0, length)
    assert all(a[2] - b[0] == pytest.approx(LAP) for a, b in pairwise(windows))


@given(st.lists(st.tuples(st.floats(-50, 150), st.floats(-50, 150)), min_size=2, max_size=12, unique=True))
def test_clipping_keeps_what_is_inside(points: list[tuple[float, float]]) -> None:
    """Against shapely's intersection."""
    window = (0.0, 0.0, 100.0, 70.0)
    kept = clipped(Stroke(tuple(points)), window)
    inside = sum(LineString(pair).intersection(box(*window)).length for pair in pairwise(points))
    assert sum(LineString(s.points).length for s in kept) == pytest.approx(inside, abs=1e-6)
    assert all(box(*window).buffer(1e-6).covers(LineString(s.points)) for s in kept)


# -- ordinates ---------------------------------------------------------------------------
def test_ordinates_of_a_square_joint_by_the_textbook() -> None:
    """Equal tubes at 90 degrees, outside skin: x = R |cos phi| (crossing of two equal cylinders)."""
    section = round_tube(50.0, 1e-6)
    table = ordinate_table(wrap_of(coped_tube(section, section, 90.0)), 200.0, "mm")
    rows = defaultdict(list)
    for item in table.picture.items:
        if isinstance(item, Text):
            rows[round(item.y, 3)].append((item.x, item.text))
    seen = {}
    for row in rows.values():
        cells = [text for _, text in sorted(row)]
        if len(cells) % 3 == 0 and all(re.fullmatch(r"[\d.]+", c) for c in cells):
            seen |= {int(cells[i]): (float(cells[i + 1]), float(cells[i + 2])) for i in range(0, len(cells), 3)}
    assert sorted(seen) == list(range(0, 360, 15))
    for phi, (around, up) in seen.items():
        assert around == pytest.approx(math.radians(phi) * 25.0, abs=0.051)
        assert up == pytest.approx(25.0 * abs(math.cos(math.radians(phi))), abs=0.051)


def test_twelve_of_the_places_round_a_tube_are_bold() -> None:
    """Enough for a tape and a string: one every 30 degrees."""
    table = ordinate_table(wrap_of(CASES["common"]), 200.0, "mm")
    texts = [item for item in table.picture.items if isinstance(item, Text)]
    degrees = {item.text: item for item in texts if re.fullmatch(r"\d+", item.text)}
    assert sorted(int(text) for text, item in degrees.items() if item.bold) == list(range(0, 360, 30))
    assert sorted(int(text) for text, item in degrees.items() if not item.bold) == list(range(15, 360, 30))
    assert any("TOP at 90°, 37.9" in item.text for item in texts)


def test_ordinates_of_a_rectangular_tube_on_a_flat_face() -> None:
    """60 x 40 at 45 degrees onto a flat: the sides rise 1 mm a mm, top and bottom are level."""
    piece = coped_tube(box_tube(60.0, 40.0, 6.0), box_tube(80.0, 80.0, 4.0), 45.0, top=0.0)
    texts = [t for t in ordinate_table(wrap_of(piece), 250.0, "mm").picture.items if isinstance(t, Text)]
    titles = {t.text: t for t in texts if "wide" in t.text}
    assert list(titles) == ["top, 40 wide", "right, 60 wide", "bottom, 40 wide", "left, 60 wide"]

    def column(title: str) -> dict[float, float]:
        left = titles[title].x
        right = min((t.x for t in titles.values() if t.x > left), default=math.inf)
        rows = defaultdict(list)
        for t in texts:
            if left < t.x < right and re.fullmatch(r"[\d.]+", t.text):
                rows[round(t.y, 3)].append((t.x, float(t.text)))
        cells = [[cell for _, cell in sorted(row)] for row in rows.values()]
        return {row[i]: row[i + 1] for row in cells for i in range(0, len(row), 2)}

    assert len(set(column("top, 40 wide").values())) == 1
    assert set(column("bottom, 40 wide").values()) == {0.0}
    side = column("right, 60 wide")
    # Clear fit: the inner skin decides on the near side of each wall, so only differences count.
    assert side[10.0] - side[50.0] == pytest.approx(40.0, abs=0.11)
    assert column("left, 60 wide")[50.0] == pytest.approx(side[10.0], abs=0.11)


@pytest.mark.parametrize(
    ("mm", "text"), [(0.0, "0"), (25.4, "1"), (35.7, "1 13/32"), (12.7, "1/2"), (3.0, "1/8"), (0.3, "0")]
)
def test_inches_as_a_tape_shows_them(mm: float, text: str) -> None:
    assert nearest_fraction(mm) == text


def test_an_inch_job_gets_inch_columns() -> None:
    (page, *_rest) = template_pages([CASES["common"]], header("in"), paper.LETTER)
    said = words(page)
    assert said.count("mm") >= 2  # beside the inches
    assert any(re.fullmatch(r"\d \d+/32", text) for text in said)
    assert any("straight edge" in text and " in from the longest point" in text for text in said)


def test_a_tube_larger_than_any_paper_has_its_ordinates_too() -> None:
    """Sizes meant as mm and read as inches: the table of its faces used to be longer than a page, and nothing came."""
    text = """[job]
title = "x"
number = "x"
units = "in"
[[tube]]
mark = "T2"
title = "a long brace"
section = "33.7 x 2.6"
route = [["300 mm", 0, 0], ["450 mm", 0, "250 mm"]]
[[tube]]
mark = "T3"
section = "60 x 40 x 3"
route = [["150 mm", 0, 0], ["150 mm", 0, "250 mm"]]
start = { opens = true }
"""
    job = read_text(text).definitions
    pages = template_pages(all_pieces(job), job.job, paper.A4)
    assert any("across" in word for page in pages for word in words(page))
