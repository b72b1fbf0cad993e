"""Saw sheets: stops, blade stations, ends, and pages that print clean."""

from __future__ import annotations

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import pieces_of, read
from pypdf import PdfReader

from fabgen.documents.lists.saw_sheet import blade_stations, saw_sheet_pdf, saw_words
from fabgen.documents.render.paper import A4, LETTER, Paper
from fabgen.plan.job_plan import plan_job
from fabgen.plan.plan import BarPlan, Cut, Plan
from fabgen.shop.section import Section

JOB = """
[job]
title = "Saw"
number = "S-1"
units = "{units}"
[[tube]]
mark = "T1"
section = "{section}"
route = [["0 mm", 0, 0], ["600 mm", 0, 0]]
finish = {{ cut = "mitre" }}
[[tube]]
mark = "T2"
section = "{section}"
route = [["600 mm", 0, 0], ["600 mm", "600 mm", 0]]
start = {{ cut = "mitre" }}
[[tube]]
mark = "T3-A-LONG-MARK-INDEED"
section = "1 in x 2 mm"
route = [["300 mm", 0, 0], ["300 mm", 0, "300 mm"]]
quantity = 50
[[tube]]
mark = "T4"
section = "20 mm x 2 mm"
route = [["300 mm", 0, "200 mm"], ["600 mm", 0, "200 mm"]]
[[plate]]
mark = "P1"
thickness = "3 mm"
rectangle = ["120 mm", "80 mm"]
quantity = 30
"""


SAW = """
[saw]
kerf = "3 mm"
end_loss = "40 mm"
pair_mitres = true
least_offcut = "5 m"
"""


def pages(
    units: str = "mm", paper: Paper = A4, section: str = "40 mm x 40 mm x 3 mm", more: str = ""
) -> tuple[bytes, Plan]:
    job = read(JOB.format(units=units, section=section) + more)
    pieces = pieces_of(job)
    plan = plan_job(job, pieces)
    return saw_sheet_pdf(job.job, pieces, plan, paper), plan


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


@given(
    lengths=st.lists(st.floats(10.0, 2000.0), min_size=1, max_size=12),
    kerf=st.floats(0.0, 5.0),
)
def test_pieces_between_the_blade_s_stations_have_their_lengths(lengths: list[float], kerf: float) -> None:
    stock = sum(lengths) + kerf * len(lengths) + 7.0
    bar = BarPlan(
        Section("round", 40.0, 40.0, 3.0),
        "m",
        stock,
        1,
        tuple(Cut("T", length) for length in lengths),
        7.0,
        kerf,
        False,
    )
    stations = blade_stations(bar)
    starts = [0.0] + [station + kerf for station in stations[:-1]]
    assert [end - start for start, end in zip(starts, stations, strict=True)] == pytest.approx(lengths)
    assert stock - (stations[-1] + kerf) == pytest.approx(bar.offcut)


def test_every_cut_of_every_bar_stands_with_stop_and_station() -> None:
    pdf, plan = pages()
    text = text_of(pdf)
    words = " ".join(text.split())
    for bar in plan.bars:
        for cut, station in zip(bar.cuts, blade_stations(bar), strict=True):
            assert cut.mark in text
            assert not any(cut.over) or " + ".join(f"{v:.1f}".rstrip("0").rstrip(".") for v in cut.over if v) in words
            assert f"{cut.length:.1f}".rstrip("0").rstrip(".") in text
            assert f"{station:.1f}".rstrip("0").rstrip(".") in text
    assert "swing 45°" in words
    assert "square, then cope" in words
    assert any(any(cut.over) for bar in plan.bars for cut in bar.cuts)


def test_there_is_a_box_for_every_piece() -> None:
    pdf, plan = pages()
    bars = sum(min(bar.count, 4) * len(bar.cuts) for bar in plan.bars)
    sheets = sum(len(sheet.placed) for sheet in plan.sheets)
    assert text_of(pdf).count("\u2610") == bars + sheets


def test_a_shared_cut_is_told_and_its_pieces_overlap() -> None:
    pdf, plan = pages(more=SAW)
    text = " ".join(text_of(pdf).split())
    bar = next(bar for bar in plan.bars if any(cut.shared for cut in bar.cuts))
    first, second = bar.cuts
    assert second.shared == 45.0
    # 40 mm wide at 45 degrees, less what the 3 mm blade takes more of the bar for lying across it.
    assert blade_stations(bar)[1] == pytest.approx(first.length + second.length + 3.0 - 40.0 + 3.0 * (2.0**0.5 - 1.0))
    assert "shared first cut, 45°" in text
    assert "the clamp 40 mm" in text
    assert "mm: scrap" in text


def test_a_bar_gives_what_a_hole_saw_needs() -> None:
    """A blank for a hole saw is sawn longer than the length at the template's stop: what is left counts with it."""
    _, plan = pages()
    for bar in plan.bars:
        taken = sum(cut.length + sum(cut.over) + bar.kerf + cut.extra - cut.saved for cut in bar.cuts)
        assert bar.offcut <= bar.stock - taken + 0.01


@pytest.mark.parametrize(("rest", "said"), [(0.0, "no rest"), (0.495, "no rest"), (0.505, "rest 1 mm: scrap")])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_bar_that_is_used_up_has_no_rest(rest: float, said: str, units: str) -> None:
    section = Section("round", 40.0, 40.0, 3.0)
    bar = BarPlan(section, "S235", 1003.0 + rest, 1, (Cut("T1", 1000.0),), rest, 3.0, False)
    job = read(JOB.format(units=units, section="40 mm x 40 mm x 3 mm"))
    sheet = " ".join(text_of(saw_sheet_pdf(job.job, pieces_of(job), Plan(bars=(bar,), least_offcut=150.0), A4)).split())
    assert (said if units == "mm" else said.replace("1 mm", '0.02"')) in sheet


def test_an_inch_job_has_inches_too() -> None:
    assert " in" in text_of(pages("in")[0])


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("more", ["", SAW], ids=["plain", "shared cuts"])
def test_pages_print_clean(paper: Paper, units: str, more: str) -> None:
    import sys
    from pathlib import Path

    sys.path.insert(0, str(Path(__file__).parents[1] / "page"))
    from print_check import outside, overlaps

    pdf, _ = pages(units, paper, more=more)
    assert overlaps(pdf) == []
    assert outside(pdf, 6.0) == []


def test_like_jobs_like_bytes() -> None:
    assert pages()[0] == pages()[0]


def test_nothing_to_saw_no_pages() -> None:
    job = read(JOB.format(units="mm", section="40 x 40 x 3"))
    assert saw_sheet_pdf(job.job, [], Plan(), A4) == b""


SHAPED = """
[job]
title = "Shapes"
number = "S-2"
units = "mm"
[[tube]]
mark = "A"
section = "60 x 40 x 3"
route = [[0, 0, 0], [0, 700, 0]]
finish = { cut = "mitre" }
[[tube]]
mark = "B"
section = "60 x 40 x 3"
route = [[0, 700, 0], [800, 700, 0]]
start = { cut = "mitre" }
finish = { cut = "mitre" }
[[tube]]
mark = "C"
section = "60 x 40 x 3"
route = [[800, 700, 0], [SIDE]]
start = { cut = "mitre" }
"""


@pytest.mark.parametrize(
    ("side", "words"),
    [
        ("800, 0, 0", "both ends, long side the same"),
        ("800, 1400, 0", "both ends, long sides opposite"),
        ("800, 700, -600", "long side 90° clockwise of the start's, seen from the start"),
        ("800, 700, 600", "long side 90° counter-clockwise of the start's, seen from the start"),
    ],
)
def test_a_trapezoid_is_told_from_a_parallelogram(side: str, words: str) -> None:
    """B along +x comes from A at -y: its long side at the start is +y, left as seen from the start, top up.  C going
    back to -y leaves it long at +y too, going on to +y long at -y; going up it is long below, going down above: from
    the left to above is clockwise."""
    job = read(SHAPED.replace("SIDE", side))
    pieces = pieces_of(job)
    assert saw_words(pieces, "mm")["B"].endswith(words)
