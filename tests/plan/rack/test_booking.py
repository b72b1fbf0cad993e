"""Booking: what is used comes off, offcuts go on, nothing is lost or counted twice."""

from __future__ import annotations

import multiprocessing
import os
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import pieces_of, read

from fabgen.job.errors import JobError, describe
from fabgen.job.rack import Rack, read_rack, read_rack_text
from fabgen.job.text import safe_file
from fabgen.job.text.safe_file import NotWrittenError
from fabgen.plan.job_plan import plan_job
from fabgen.plan.rack.booking import Booking, book, booked_text, booking_of

JOB = """
[job]
title = "Book"
number = "{number}"
units = "mm"
material = "S355"
[[tube]]
mark = "T1"
section = "40 x 3"
route = [[0, 0, 0], [700, 0, 0]]
quantity = {count}
"""

RACK = """# by the door
[rack]
units = "mm"

# ---- bars
[[bar]]
mark = "A"
section = "40 x 3"
material = "S355"
length = 1600
count = 3      # chalked on

# ---- the rest
[[hardware]]
item = "bolt"
spec = "M10 x 30, 8.8"
count = 10
"""


def decide(rack: Rack, number: str = "J-1", count: int = 3, **more: object) -> Booking:
    job = read(JOB.format(number=number, count=count))
    pieces = pieces_of(job)
    return booking_of(job, pieces, plan_job(job, pieces, rack), rack, **more)  # type: ignore[arg-type]


def test_what_is_used_comes_off_and_what_is_left_goes_on(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(RACK)
    _, booking = book(path, "J-1", False, lambda rack: decide(rack, issued=date(2026, 3, 14)))
    assert sum(take.count for take in booking.takes) == 2
    text = path.read_text()
    # 1600 less two pieces and two saw cuts of 2 mm leaves 196; 1600 less one leaves 898.
    assert "count = 1      # chalked on" in text
    assert text.startswith("# by the door\n")
    assert text.index("# ---- bars") < text.index('mark = "J-1/1"') < text.index("# ---- the rest")
    rack = read_rack_text(text).contents
    assert [(bar.mark, bar.length, bar.count) for bar in rack.bar] == [
        ("A", 1600.0, 1),
        ("J-1/1", 898.0, 1),
        ("J-1/2", 196.0, 1),
    ]
    assert (rack.booked[0].job, rack.booked[0].date, rack.booked[0].offcuts) == ("J-1", date(2026, 3, 14), 2)
    assert (tmp_path / "rack.toml.bak").read_text() == RACK


def test_short_offcuts_are_not_kept() -> None:
    rack = read_rack_text(RACK)
    booking = decide(rack, least=200.0)
    assert [(offcut.mark, offcut.length) for offcut in booking.offcuts] == [("J-1/1", 898.0)]
    assert booking.scrap == pytest.approx(196.0)
    least = read_rack_text(RACK.replace('units = "mm"', 'units = "mm"\nleast_offcut = "900 mm"'))
    assert decide(least).offcuts == ()


def test_what_is_used_up_is_gone_and_the_remarks_stay() -> None:
    rack = read_rack_text(RACK)
    text = booked_text(rack, decide(rack, count=6))
    assert 'mark = "A"' not in text
    assert "# ---- bars" in text
    assert "# ---- the rest" in text


def test_twice_is_refused_unless_it_is_said(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(RACK)
    book(path, "J-1", False, lambda rack: decide(rack, issued=date(2026, 3, 14)))
    before = path.read_bytes()
    with pytest.raises(JobError) as caught:
        book(path, "j-1 ", False, decide)
    told = describe(caught.value.problems[0])
    assert "the job j-1  is booked already, on 2026-03-14" in told
    assert "--again" in told
    assert path.read_bytes() == before
    _, booking = book(path, "J-1", True, decide)
    # Marks go on from the last: no two pieces ever have the same.
    assert all(int(offcut.mark.split("/")[1]) > 2 for offcut in booking.offcuts)


def test_a_plan_of_a_booked_job_says_so() -> None:
    job = read(JOB.format(number="J-1", count=1))
    pieces = pieces_of(job)
    rack = read_rack_text(RACK + '[[booked]]\njob = "j-1"\ndate = 2026-03-14\n')
    ((about, rule, text),) = plan_job(job, pieces, rack).remarks
    assert (about, rule) == ("rack", "booked-already")
    assert "2026-03-14" in text


def test_marks_are_never_used_again_even_when_the_offcut_is_gone() -> None:
    rack = read_rack_text(RACK + '[[booked]]\njob = "J-1"\noffcuts = 7\n')
    assert decide(rack).offcuts[0].mark == "J-1/8"
    rack = read_rack_text(RACK + '[[sheet]]\nmark = "j-1/11"\nthickness = 3\nmaterial = "S355"\nsize = [300, 300]\n')
    assert decide(rack).offcuts[0].mark == "J-1/12"


def test_an_inch_rack_gets_lengths_with_their_unit() -> None:
    rack = read_rack_text('[rack]\nunits = "in"\n')
    contents = read_rack_text(booked_text(rack, decide(rack))).contents
    assert contents.bar[0].length == pytest.approx(6000 - 3 * 702)
    assert str(contents.bar[0].section) == "40 x 3"


def test_a_material_of_the_job_s_own_comes_along() -> None:
    text = JOB.format(number="J-1", count=1).replace('"S355"', '"Mast"') + (
        '[[material]]\nname = "Mast"\nlike = "S235"\ndensity = 7800\n'
    )
    job = read(text)
    pieces = pieces_of(job)
    rack = read_rack_text('[rack]\nunits = "mm"\n')
    contents = read_rack_text(booked_text(rack, booking_of(job, pieces, plan_job(job, pieces, rack), rack))).contents
    assert contents.bar[0].material == "Mast"
    assert contents.material[0].density == 7800.0


def test_tables_on_one_line_are_refused_with_what_to_write() -> None:
    rack = read_rack_text(
        'bar = [{ section = "40 x 3", material = "S355", length = 1600 }]\n[rack]\nunits = "mm"\n', "rack.toml"
    )
    with pytest.raises(JobError) as caught:
        booked_text(rack, decide(rack, count=1))
    assert "[[bar]] for each" in describe(caught.value.problems[0])


@given(lengths=st.lists(st.integers(300, 3000), min_size=1, max_size=5), count=st.integers(1, 9))
def test_no_metal_appears_or_is_lost(lengths: list[int], count: int) -> None:
    """What the rack held and was bought is what it holds, the pieces, the saw cuts and the scrap."""
    text = '[rack]\nunits = "mm"\n' + "".join(
        f'[[bar]]\nmark = "B{i}"\nsection = "40 x 3"\nmaterial = "S355"\nlength = {length}\ncount = {i + 1}\n'
        for i, length in enumerate(lengths)
    )
    rack = read_rack_text(text)
    job = read(JOB.format(number="J-1", count=count))
    pieces = pieces_of(job)
    plan = plan_job(job, pieces, rack)
    booking = booking_of(job, pieces, plan, rack)
    after = read_rack_text(booked_text(rack, booking))

    def held(of: Rack) -> float:
        return sum(bar.length * bar.count for bar in of.contents.bar)

    bought = sum(bar.stock * bar.count for bar in plan.bars if not bar.spare)
    used = sum(sum(cut.length for cut in bar.cuts) * bar.count for bar in plan.bars)
    kerfs = sum(len(bar.cuts) * bar.kerf * bar.count for bar in plan.bars)
    # Up to one saw cut a bar falls beyond its end; offcuts are whole millimetres.
    slack = sum(bar.count * (bar.kerf + 1.0) for bar in plan.bars)
    assert held(rack) + bought - held(after) - used - booking.scrap == pytest.approx(kerfs, abs=slack)


def book_some(path: str, who: str) -> None:
    for i in range(4):
        number = f"{who}-{i}"
        book(Path(path), number, False, lambda rack, number=number: decide(rack, number, 1), patience=60.0)


def test_two_who_book_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(RACK.replace("length = 1600", "length = 800").replace("count = 3", "count = 12"))
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=book_some, args=(str(path), who)) for who in ("J", "K")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(120)
        assert writer.exitcode == 0
    rack = read_rack(path).contents
    assert sorted(entry.job for entry in rack.booked) == [f"{who}-{i}" for who in ("J", "K") for i in range(4)]
    assert next(bar.count for bar in rack.bar if bar.mark == "A") == 4


@pytest.mark.parametrize("call", [1, 2])
def test_a_crash_in_the_middle_leaves_the_rack_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: int
) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(RACK)
    real, calls = os.replace, []

    def fail(*words: object) -> None:
        calls.append(1)
        if len(calls) == call:
            raise OSError(5, "Input/output error")
        real(*words)  # type: ignore[arg-type]

    monkeypatch.setattr(safe_file.os, "replace", fail)
    with pytest.raises(NotWrittenError):
        book(path, "J-1", False, decide)
    monkeypatch.undo()
    assert path.read_text() == RACK
    assert not [name for name in os.listdir(tmp_path) if name not in ("rack.toml", "rack.toml.bak", ".rack.toml.lock")]
    book(path, "J-1", False, decide)
    assert read_rack(path).contents.booked


def test_bad_racks_stay_as_they_are(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text(RACK.replace('"S355"', '"S353"'))
    before = path.read_bytes()
    with pytest.raises(JobError):
        book(path, "J-1", False, decide)
    assert path.read_bytes() == before
