"""Drawings over several pages: which pages there are, the map of them, and how many are said before they are drawn."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pypdf
import pytest
from jobs import definitions, pieces_of, tube
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.documents.points.floor_layout import floor_page_count, floor_pages, floor_plan
from fabgen.documents.render.paper import A4
from fabgen.documents.render.picture import Text
from fabgen.documents.templates.patterns import pattern_page_count, pattern_pages

RING = definitions(
    tube=[
        tube("T1", (0, 0, 0), (1600, 0, 0)),
        tube("T2", (1600, 0, 0), (1600, 1400, 0)),
        tube("T3", (1600, 1400, 0), (0, 1400, 0)),
        tube("T4", (0, 1400, 0), (0, 0, 0)),
    ]
)
ANGLED = definitions(
    plate=[
        {
            "mark": "P1",
            "thickness": 3,
            "corners": [[0, 0], [900, 0], [900, 150], [150, 150], [150, 800], [0, 800]],
            "holes": [{"at": [850, 75], "diameter": 12}],
        }
    ]
)


def texts(page: object) -> list[str]:
    return [item.text for item in page.picture.items if isinstance(item, Text)]  # type: ignore[attr-defined]


def test_a_frame_has_pages_along_its_tubes_alone_and_a_map_of_them() -> None:
    plan = floor_plan(RING, pieces_of(RING))
    assert plan is not None
    pages = floor_pages(plan, RING.job, A4)
    assert len(pages) == floor_page_count(plan, A4)
    first = texts(pages[0])
    assert "map of the pages" in first
    assert not any("measure this line" in text for text in first)
    assert {str(number) for number in range(2, len(pages) + 1)} <= set(first)
    for page in pages[1:]:
        found = texts(page)
        assert any("measure this line" in text for text in found)
        assert any(text.startswith("row ") for text in found)
    # The room inside the ring, about 1.5 m x 1.3 m, has none.
    whole = (plan.width / 170.0) * (plan.height / 250.0)
    assert len(pages) < 0.9 * whole


def test_a_tile_is_kept_for_the_parts_and_not_for_a_cross_that_reaches_in() -> None:
    plan = floor_plan(RING, pieces_of(RING))
    assert plan is not None
    bare = dataclasses.replace(plan, sides=(), axes=(), spots=(((30.0, 30.0), "A"),))
    assert floor_page_count(bare, A4) == 2


def test_a_pattern_over_several_pages_has_a_map_and_no_page_without_a_line() -> None:
    pieces = pieces_of(ANGLED)
    pages = pattern_pages(pieces, ANGLED.job, A4)
    parts = [text for page in pages for text in texts(page) if text.startswith("P1, part ")]
    assert pattern_page_count(pieces, ANGLED.job, A4) == len(parts) <= len(pages) <= len(parts) + 1
    numbers = {str(number) for number in range(1, len(parts) + 1)}
    assert any(numbers <= set(texts(page)) for page in pages)


@pytest.mark.parametrize(
    ("long", "said"), [(1200, "the first a map of them"), (20_000, "only floor-layout.dxf is made")]
)
def test_make_says_the_pages_before_it_draws_them(long: int, said: str, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        f'[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n[points]\nA = [0, 0, 0]\nB = [{long}, {long}, 0]\n'
        '[[tube]]\nmark = "T1"\nsection = "48.3 x 3.2"\nroute = ["A", "B"]\n'
        '[[plate]]\nmark = "P1"\nthickness = 3\nrectangle = [90, 60]\n',
        encoding="utf-8",
    )
    result = CliRunner().invoke(app, ["make", str(job), "--floor", "--patterns", "--out", str(tmp_path)])
    assert result.exit_code in (0, 1), result.output
    assert said in result.output.splitlines()[0]
    assert result.output.splitlines()[1] == "paper patterns: about 1 page of A4"
    made = tmp_path / "job/floor-layout.pdf"
    assert made.exists() is (long == 1200)
    if made.exists():
        assert f"floor layout: {len(pypdf.PdfReader(made).pages)} pages of A4" in result.output
