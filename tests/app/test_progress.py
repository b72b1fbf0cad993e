"""The line that tells how far a long job is: on a terminal only, after a while only, and wiped at the end."""

from __future__ import annotations

import io
import time
from pathlib import Path

import pytest

from fabgen.app import progress
from fabgen.app.progress import progress_shown
from fabgen.app.work import work_on
from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.render.paper import find
from fabgen.plan.effort import part_of


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_nothing_is_shown_where_nobody_looks_on() -> None:
    pipe = io.StringIO()
    with progress_shown(pipe) as told:
        told("laying out", 0.5)
    assert pipe.getvalue() == ""


def test_nothing_is_shown_of_what_is_soon_done() -> None:
    terminal = Terminal()
    with progress_shown(terminal) as told:
        told("laying out", 0.5)
    assert terminal.getvalue() == ""


def test_what_takes_longer_is_shown_and_wiped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress, "PATIENCE", 0.01)
    terminal = Terminal()
    with progress_shown(terminal) as told:
        told("laying out", 0.5)
        while "laying out" not in terminal.getvalue():
            time.sleep(0.005)
        told("drawing together", 0.75)
        assert "[###############     ] drawing together" in terminal.getvalue()
    assert terminal.getvalue().split("\r")[-2].strip() == ""
    before = terminal.getvalue()
    told("after the end", 1.0)
    assert terminal.getvalue() == before


def test_the_bar_of_a_whole_job_never_runs_back() -> None:
    """Bars, sheets, checks and papers are told one after the other, from nothing to nearly all."""
    told: list[tuple[str, float]] = []
    job = Path(__file__).parents[2] / "templates" / "brackets.toml"
    work = work_on(job, progress=part_of(lambda what, share: told.append((what, share)), 0.0, 0.5))
    options = MakeOptions(find("A4"), progress=part_of(lambda what, share: told.append((what, share)), 0.5, 1.0))
    job_files(work.job.definitions.job, work.pieces, work.plan, work.findings, options)
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert (shares[0], 0.9 < shares[-1] < 1.0) == (0.0, True)
    assert len(shares) > 10
