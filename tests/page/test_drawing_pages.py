"""Every drawing sheet of the samples and starters, and of parts at random: no text on text, none off the
sheet, none struck through by a line."""

import math
from datetime import date
from functools import cache
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from page.print_check import outside, overlaps, struck

from fabgen.contact.contacts import Contacts
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page, render
from fabgen.documents.render.picture import Text
from fabgen.geometry.plane.outline import Circle, Loop, Outline
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.reader import read_job, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import FlatBend, FlatPart, Hole, Piece
from fabgen.parts.shape.welds.welded_edge import WeldedEdge

ROOT = Path(__file__).parents[2]
JOBS = sorted([*(ROOT / "sample_parts").glob("*.toml"), *(ROOT / "templates").glob("*.toml")])
EDGE = 5.0
"""What any desktop printer reaches, mm from the edge (common practice, no source)."""


def header(units: str = "mm", title: str = "Curlew trailer") -> SimpleNamespace:
    return SimpleNamespace(
        title=title,
        number="CUR-01",
        owner="Curlew Works (invented)",
        drawn_by="R. Wader",
        checked_by="",
        revision="B",
        date=date(2026, 3, 14),
        tolerance="ISO 2768-m",
        weld_tolerance="B",
        units=units,
    )


def check(pages: list[Page]) -> None:
    pdf = render(pages, "check")
    assert overlaps(pdf) == []
    assert outside(pdf, EDGE) == []


@cache
def pieces_of(job: Path) -> list[Piece]:
    return all_pieces(read_job(job).definitions)


@cache
def edges_of(job: Path) -> dict[str, tuple[WeldedEdge, ...]]:
    """As if nothing were bolted: more symbols than the drawings have."""
    return Contacts(read_job(job).definitions, pieces_of(job)).welded_edges


@pytest.mark.parametrize(("size", "units"), [(paper.A4, "mm"), (paper.LETTER, "in")], ids=["A4", "Letter"])
@pytest.mark.parametrize("job", JOBS, ids=lambda p: p.stem)
def test_samples_and_starters(job: Path, size: paper.Paper, units: str) -> None:
    pages = drawing_pages(pieces_of(job), header(units), size, edges=edges_of(job))
    check(pages)
    assert [text for page in pages for text in struck(page.picture)] == []


@pytest.mark.parametrize("size", [paper.A3, paper.A2, paper.LEGAL, paper.TABLOID], ids=lambda p: p.name)
def test_large_paper_and_third_angle(size: paper.Paper) -> None:
    job = ROOT / "sample_parts" / "curlew-trailer.toml"
    check(drawing_pages(pieces_of(job), header(), size, "third", edges=edges_of(job)))


@pytest.mark.parametrize(("count", "title"), [(1, "S1 stay"), (2, "S1, S2 stay"), (4, "S1, S2 and 2 more stay")])
def test_the_title_names_the_tubes_made_alike(count: int, title: str) -> None:
    job = '[job]\ntitle = "Rack"\nnumber = "R-1"\nunits = "mm"\n' + "".join(
        f'[[tube]]\nmark = "S{i}"\ntitle = "stay"\nsection = "25 x 2"\n'
        f"route = [[0, {100 * i}, 0], [0, {100 * i}, 500]]\n"
        for i in range(1, count + 1)
    )
    (page, *_) = drawing_pages(all_pieces(read_text(job).definitions), header(), paper.A4)[-1:]
    assert title in [item.text for item in page.picture.items if isinstance(item, Text)]


sizes = st.floats(1.0, 3.3).map(lambda power: 10.0**power)
shares = st.floats(0.15, 0.85)


@st.composite
def flat_parts(draw: st.DrawFn) -> FlatPart:
    """Plates of any proportion with holes anywhere, some in rows, some folded."""
    long = draw(sizes)
    across = max(8.0, long * draw(st.floats(0.08, 1.0)))
    width, height = (long, across) if draw(st.booleans()) else (across, long)
    shape = draw(st.sampled_from(["rectangle", "polygon", "disc", "stadium"]))
    outline: Loop
    if shape == "disc":
        outline, height = Circle(width / 2.0, width / 2.0, width), width
    elif shape == "stadium":
        outline = Outline.stadium(width * 1.1 + height, height).moved((width * 1.1 + height) / 2.0, height / 2.0)
        width = width * 1.1 + height
    elif shape == "polygon":
        reaches = draw(st.lists(st.floats(0.6, 1.0), min_size=5, max_size=12))
        corners = [(r, 2.0 * math.pi * i / len(reaches)) for i, r in enumerate(reaches)]
        outline = Outline.polygon([(width * r * math.cos(t) / 2.0, height * r * math.sin(t) / 2.0) for r, t in corners])
        x0, y0, x1, y1 = outline.bounds
        outline, width, height = outline.moved(-x0, -y0), x1 - x0, y1 - y0
    else:
        outline = Outline.rectangle(width, height, min(width, height) * draw(st.sampled_from([0.0, 0.1, 0.3])))
    least = min(width, height)
    holes = [
        Hole(Circle(width * x, height * y, least * d), "", "M8" if d < 0.08 else "")
        for x, y, d in draw(st.lists(st.tuples(shares, shares, st.sampled_from([0.05, 0.08, 0.12])), max_size=12))
    ]
    columns = draw(st.integers(0, 6))
    holes += [Hole(Circle(width * (0.2 + 0.1 * i), height * 0.3, least * 0.04), "", "M6") for i in range(columns)]
    bends = []
    if shape == "rectangle":
        for i in range(draw(st.integers(0, 3))):
            y = height * (i + 1) / 5.0
            angle = math.radians(draw(st.sampled_from([30.0, 90.0, 120.0])))
            bends.append(FlatBend((0.0, y), (width, y), Bend(2.0, 2.0, angle, 0.42), draw(st.booleans()), "web / leg"))
    return FlatPart(2.0, outline, tuple(holes), tuple(bends), sizes=(("width", width),))


@settings(max_examples=25)
@given(flat_parts(), st.sampled_from(paper.SIZES), st.sampled_from(["mm", "in"]), st.booleans())
def test_parts_at_random(part: FlatPart, size: paper.Paper, units: str, wordy: bool) -> None:
    title = "a title that goes on and on, as titles of parts made at home will do" if wordy else ""
    note = "Check every figure against the real part before you cut this one. " * 4 if wordy else ""
    piece = Piece("R1", "bracket" if part.bends else "plate", 3, "S355", 1.2, part, title=title, note=note)
    check(drawing_pages([piece], header(units, title or "job"), size))
