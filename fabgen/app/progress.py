"""How far a long job is, on one line of the terminal; nothing where the output is no terminal."""

from __future__ import annotations

import shutil
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import TracebackType
from typing import Self, TextIO

from fabgen.plan.effort import Progress, silent

PATIENCE = 1.0
"""Seconds before anything is shown: most jobs are done by then."""
_BAR = 20


@contextmanager
def progress_shown(stream: TextIO | None = None) -> Iterator[Progress]:
    """A progress to report to, shown on standard error while the block runs, where that is a terminal."""
    stream = stream or sys.stderr
    if stream is None or not stream.isatty():
        yield silent
        return
    with _ProgressLine(stream) as line:
        yield line.tell


class _ProgressLine:
    """One line, written over and over and wiped at the end."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._text = ""
        self._is_shown = False
        self._lock = threading.Lock()
        self._timer = threading.Timer(PATIENCE, self._begin)
        self._timer.daemon = True

    def __enter__(self) -> Self:
        self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._timer.cancel()
        with self._lock:
            if self._is_shown:
                self._write("")
            self._is_shown = False

    def tell(self, what: str, share: float) -> None:
        done = round(max(0.0, min(1.0, share)) * _BAR)
        with self._lock:
            text = f"[{'#' * done}{' ' * (_BAR - done)}] {what}"
            if self._is_shown and text != self._text:
                self._write(text)
            self._text = text

    def _begin(self) -> None:
        with self._lock:
            self._is_shown = True
            self._write(self._text)

    def _write(self, text: str) -> None:
        width = max(20, shutil.get_terminal_size().columns - 1)
        self._stream.write(f"\r{text[:width]:<{width}}\r")
        self._stream.flush()
