"""Ticks in a real browser while the job changes: those set for other metal say so, the others stay as they are."""

from __future__ import annotations

from pathlib import Path

import pytest
from opened import DESK, Look

from fabgen.app.live_page import page_of, write_page
from fabgen.app.work import work_on

JOB = """
[job]
title = "Stand"
number = "ST-1"
units = "mm"
[[tube]]
mark = "T1"
section = "48.3 x 3.2"
route = [[0, 0, 0], [600, 0, 0]]
quantity = 3
holes = [
    { from = "start", at = 120, side = "top", diameter = 11 },
    { from = "start", at = 300, side = "top", diameter = 9 },
]
[[plate]]
mark = "P1"
thickness = 6
rectangle = [100, 60]
quantity = 14
[[tube]]
mark = "T2"
section = "30 x 3"
route = [[0, 500, 0], [700, 500, 0]]
"""


@pytest.fixture
def page(tmp_path: Path, browser: object) -> Look:
    written(tmp_path, JOB)
    look = Look(browser, (tmp_path / "page.html").as_uri(), DESK)
    # Its boxes are as the test before left them until the page is read again with nothing kept.
    look.reload()
    return look


def written(folder: Path, text: str) -> None:
    job = folder / "stand.toml"
    job.write_text(text, encoding="utf-8")
    write_page(folder, page_of(work_on(job)))


def made_again(page: Look, folder: Path, text: str) -> None:
    written(folder, text)
    page.reload()


def tick(page: Look, mark: str, box: int = 0) -> None:
    page.do(f"$$('#cuts tr[data-mark=\"{mark}\"] input')[{box}].click()")


def said(page: Look) -> dict[str, str]:
    """Mark and what its row says of its ticks."""
    return dict(page.do("return $$('#cuts .old').map(o => [o.closest('tr').dataset.mark, o.innerText])"))


def ticks(page: Look, mark: str) -> list[bool]:
    return list(page.do(f"return $$('#cuts tr[data-mark=\"{mark}\"] input').map(b => b.checked)"))


def test_only_marks_whose_metal_changed_say_so(page: Look, tmp_path: Path) -> None:
    for mark in ("T1", "T2", "P1"):
        tick(page, mark)
    assert said(page) == {}
    # A hole moves; T2 gets a note and stands elsewhere.
    moved = JOB.replace("at = 120", "at = 122.5").replace(
        "[[0, 500, 0], [700, 500, 0]]", "[[0, 900, 40], [700, 900, 40]]"
    )
    made_again(page, tmp_path, moved + 'note = "paint it"\n')
    assert said(page) == {"T1": "changed since ticked"}
    assert ticks(page, "T1") == [True, False, False]
    # As it was: the piece is right again.
    made_again(page, tmp_path, JOB)
    assert said(page) == {}


def test_a_further_tick_does_not_renew_the_older_ones(page: Look, tmp_path: Path) -> None:
    tick(page, "T1", 0)
    tick(page, "T1", 1)
    made_again(page, tmp_path, JOB.replace("600, 0, 0", "606, 0, 0"))
    assert said(page) == {"T1": "changed since ticked"}
    tick(page, "T1", 2)
    assert said(page) == {"T1": "changed since 2 of 3 were ticked"}
    page.reload()
    assert said(page) == {"T1": "changed since 2 of 3 were ticked"}
    assert not page.do("return $('#cuts tr[data-mark=\"T1\"]').classList.contains('all')")
    for box in (0, 1, 0, 1):
        tick(page, "T1", box)
    assert said(page) == {}
    assert ticks(page, "T1") == [True, True, True]
    assert page.do("return $('#cuts tr[data-mark=\"T1\"]').classList.contains('all')")


def test_one_box_for_all_of_a_mark_is_ticked_for_so_many(page: Look, tmp_path: Path) -> None:
    tick(page, "P1")
    made_again(page, tmp_path, JOB.replace("quantity = 14", "quantity = 20"))
    assert said(page) == {"P1": "changed since ticked"}
    made_again(page, tmp_path, JOB.replace("quantity = 3", "quantity = 4"))
    assert said(page) == {}


def test_what_has_no_box_is_not_struck_out_and_what_is_done_is(page: Look, tmp_path: Path) -> None:
    there = '[[tube]]\nmark = "T3"\nsection = "30 x 3"\nroute = [[0, 900, 0], [700, 900, 0]]\nstate = "there already"\n'
    made_again(page, tmp_path, JOB + there)
    struck = "return $$('#cuts tr.all').map(row => row.dataset.mark)"
    assert page.do(struck) == []
    tick(page, "T2")
    assert page.do(struck) == ["T2"]
