"""The bench in a real browser, by real clicks and keys: a field changed, a slip, text, undo, a strange text."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from opened import AXE, DESK, Look

from fabgen.app.bench.bench_server import BenchServer
from fabgen.app.bench.serving import served
from fabgen.app.bench.workbench import Workbench

EAR = """# an ear, and what it sits on
[job]
title = "Ear"     # said once
number = "E1"
units = "mm"

[dimensions]
long = "300 mm"

[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = [[0, 0, 0], ["long", 0, 0]]   # along x

[[tube]]
mark = "T2"
section = "48.3 x 3.2"
route = [[150, 0, 0], [150, 0, 200]]

[[plate]]
mark = "P1"
thickness = 3
disc = 50
"""
ENTER, END, BACK = "\ue007", "\ue010", "\ue003"


@pytest.fixture
def bench(tmp_path: Path, browser: object) -> Iterator[tuple[Look, Path, BenchServer]]:
    job = tmp_path / "ear.toml"
    job.write_text(EAR, encoding="utf-8")
    with served(Workbench(job, tmp_path / "out" / "ear")) as server:
        look = Look(browser, server.address, DESK)
        until(lambda: look.do("return checked >= 0"))
        yield look, job, server
        look.driver.get("about:blank")  # type: ignore[attr-defined]


def until(is_so: Callable[[], object]) -> None:
    for _ in range(400):
        if is_so():
            return
        time.sleep(0.05)
    raise AssertionError("it did not come to that")


def row(table: str, number: int) -> str:
    return f"#list button[data-at='[\"{table}\",{number}]']"


def opened(look: Look, table: str, number: int) -> None:
    look.tap(row(table, number))
    until(lambda: look.do("return !$('#form').hidden && shown !== null"))


def typed(look: Look, key: str, text: str) -> None:
    """Typed into a field as people do: clicked, emptied, written, Enter."""
    query = f".field[data-key='{key}'] input"
    look.tap(query)
    look.do("document.querySelector(arguments[0]).select()", query)
    look.press(text + ENTER)


def high(look: Look) -> float:
    return float(look.do("return BY_MARK.get('T2').high[2]"))


def test_a_field_changes_the_file_the_picture_and_the_findings(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, _ = bench
    opened(look, "plate", 0)
    # The form stands where one tapped.
    assert look.do(f"return $(`{row('plate', 0)}`).parentElement.contains($('#form'))")
    assert "shape" not in look.do("return $('.field[data-key=disc] label').textContent")
    assert look.do("return $('.field[data-key=disc] .beside').textContent").startswith("50 mm = 1.96")
    width = look.do("const p = BY_MARK.get('P1'); return p.high[0] - p.low[0]")
    typed(look, "disc", "long / 4")
    until(lambda: 'disc = "long / 4"' in job.read_text())
    assert job.read_text() == EAR.replace("disc = 50", 'disc = "long / 4"')
    until(lambda: look.do("const p = BY_MARK.get('P1'); return p.high[0] - p.low[0]") > width + 20)
    until(lambda: look.do("return checked === now.number"))
    until(lambda: look.do("return $('.field[data-key=disc] .beside').textContent").startswith("75 mm"))
    look.tap("#undo")
    until(lambda: job.read_text() == EAR)
    look.tap("#redo")
    until(lambda: job.read_text() != EAR)
    assert look.do("return performance.getEntriesByType('navigation').length") == 1
    assert not look.faults()


def test_a_slip_stands_at_its_field_and_the_file_stays(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, _ = bench
    opened(look, "tube", 1)
    typed(look, "section", "48.3 x 99")
    until(lambda: look.do("return $('.field[data-key=section] .fault').textContent"))
    said = look.do("return $('.field[data-key=section] .fault').textContent")
    assert "wall" in said
    assert "The file is as it was" in said
    assert job.read_text() == EAR
    assert look.do("return $('.field[data-key=section] input').value") == "48.3 x 99"
    typed(look, "section", "42.4 x 3.2")
    until(lambda: "42.4 x 3.2" in job.read_text())
    until(lambda: not look.do("return $('.field[data-key=section] .fault').textContent"))


def test_a_part_tapped_in_the_view_opens_its_form(bench: tuple[Look, Path, BenchServer]) -> None:
    look, _, _ = bench
    look.do("scrollTo(0, 0)")
    at = look.do(
        "const s = view.place(view.spot(BY_MARK.get('T2')), view.matrix), b = view.canvas.getBoundingClientRect();"
        "return [b.left + s[0], b.top + s[1]]"
    )
    look.click(*at)
    until(lambda: look.do("return $('#form-title').textContent") == "Tube T2")
    assert look.do("return $('#where').contains($('#form'))")


def test_text_that_does_not_read_keeps_the_last_good_picture(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, _ = bench
    before = high(look)
    look.tap("#as-text")
    look.tap("#text")
    place = EAR.index("[150, 0, 200]") + len("[150, 0, 2")
    look.do("$('#text').setSelectionRange(arguments[0], arguments[0])", place)
    look.press("]")
    until(lambda: "[150, 0, 2]00]" in job.read_text())
    until(lambda: look.do("return !$('#wrong').hidden"))
    assert "last good one" in look.do("return $('#wrong p').textContent")
    assert "Line 18" in look.do("return $('#wrong').textContent")
    assert look.do("return $('#lines b').textContent") == "18"
    assert high(look) == before
    look.press(BACK + "5")
    until(lambda: "[150, 0, 2500]" in job.read_text())
    until(lambda: high(look) > 2000)
    assert look.do("return $('#wrong').hidden")
    assert job.read_text() == EAR.replace("[150, 0, 200]", "[150, 0, 2500]")


def test_what_an_editor_saves_is_shown_and_undone(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, _ = bench
    job.write_text(EAR.replace("200]", "400]"))
    until(lambda: high(look) > 390)
    assert "Somebody else" in look.do("return $('#told').textContent")
    look.tap("#undo")
    until(lambda: job.read_text() == EAR)
    until(lambda: high(look) < 210)


def test_both_changed_the_same_place_and_are_asked(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, _ = bench
    opened(look, "plate", 0)
    # The page has not heard of it yet when the field is sent.
    look.do("HEARS.job = () => {}")
    job.write_text(EAR.replace("disc = 50", "disc = 55"))
    typed(look, "disc", "60")
    until(lambda: look.do("return $('#ask').open"))
    told = look.do("return $('#ask').textContent")
    assert "disc = 60" in told
    assert "disc = 55" in told
    assert "disc = 55" in job.read_text()
    look.tap("#ask-does button")
    until(lambda: "disc = 60" in job.read_text())


def test_a_part_is_deleted_and_comes_back(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, _ = bench
    opened(look, "tube", 1)
    look.tap("#delete")
    until(lambda: look.do("return $('#ask').open"))
    look.tap("#ask-does button")
    until(lambda: "T2" not in job.read_text())
    until(lambda: not look.do("return BY_MARK.has('T2')"))
    look.tap("#undo")
    until(lambda: job.read_text() == EAR)


def test_a_second_window_only_shows(bench: tuple[Look, Path, BenchServer]) -> None:
    look, _, server = bench
    driver = look.driver
    one = driver.current_window_handle  # type: ignore[attr-defined]
    driver.switch_to.new_window("tab")  # type: ignore[attr-defined]
    driver.get(server.address)  # type: ignore[attr-defined]
    until(lambda: look.do("return checked >= 0"))
    assert "Another window" in look.do("return $('#state').textContent")
    assert look.do("return $('#text').readOnly && $('#undo').disabled && $('#make').disabled")
    driver.close()  # type: ignore[attr-defined]
    driver.switch_to.window(one)  # type: ignore[attr-defined]


STRANGE = "<img src=x onerror=document.title='run'></script><script>document.title='run'</script>"


def test_a_strange_text_runs_nothing(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, _ = bench
    job.write_text(
        EAR.replace('title = "Ear"', f'title = "{STRANGE}"').replace(
            '[[plate]]\nmark = "P1"', f'[[plate]]\nmark = "P1"\ntitle = "{STRANGE}"'
        )
    )
    until(lambda: STRANGE in look.do("return $('#title').textContent"))
    opened(look, "plate", 0)
    job.write_text(job.read_text().replace("disc = 50", f'disc = "{STRANGE}"'))
    until(lambda: look.do("return !$('#wrong').hidden"))
    look.settle()
    assert look.do("return document.title") == "ear.toml on the bench"
    assert not look.do("return document.querySelector('img')")


def test_papers_are_made_listed_and_opened(bench: tuple[Look, Path, BenchServer]) -> None:
    look, job, server = bench
    look.tap("#make")
    until(lambda: look.do("return $$('#papers-names a').length"))
    named = look.do("return $$('#papers-names a').map((a) => a.textContent)")
    assert "cut-list.pdf" in named
    assert sorted(named) == sorted(p.name for p in (job.parent / "out" / "ear").iterdir() if p.name in named)
    import urllib.request

    with urllib.request.urlopen(server.address + "papers/cut-list.pdf", timeout=20) as answer:
        assert answer.read(5) == b"%PDF-"


@pytest.mark.slow
def test_no_fault_that_axe_core_knows(bench: tuple[Look, Path, BenchServer], axe: str) -> None:
    look, _, _ = bench
    opened(look, "tube", 0)
    look.tap("#as-text")
    look.do(axe)
    found = look.driver.execute_async_script(AXE)  # type: ignore[attr-defined]
    assert not [each for each in found if each[0] in ("serious", "critical")], found
