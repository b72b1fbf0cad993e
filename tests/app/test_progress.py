"""The line that tells how far a long job is: on a terminal only, after a while only, and wiped at the end."""

from __future__ import annotations

import io
import time

import pytest

from fabgen.app import progress
from fabgen.app.progress import progress_shown


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
