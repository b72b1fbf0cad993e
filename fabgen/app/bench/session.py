"""A job file while it is changed from a page and perhaps in an editor too: nothing that either wrote is lost."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from fabgen.job.text.history import History
from fabgen.job.text.merged_text import Clash, merged_text
from fabgen.job.text.safe_file import NotWrittenError, changing, replace_text
from fabgen.job.text.text_file import LARGEST_FILE, text_of

ELSEWHERE = "a change in another editor"
TRIES = 5
"""So often a change is made again where somebody saves the file at the same moment."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A change that was not made, for the file has another one in the same places."""

    clashes: tuple[Clash, ...]


class Session:
    """The texts of one file from when it was opened; safe to use from several threads.

    Raises:
        JobError: the file cannot be read.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = threading.RLock()
        self._history = History.of(self._on_disk())
        self._texts = [self._history.text]
        self._number = 0
        self._is_kept = False

    @property
    def now(self) -> tuple[int, History]:
        """The number of the text of now, and all steps."""
        with self._lock:
            return self._number, self._history

    def text(self, number: int) -> str | None:
        """The text of a number; None where there was none."""
        with self._lock:
            return self._texts[number] if 0 <= number < len(self._texts) else None

    def look(self) -> bool:
        """Takes in what somebody else saved; whether there was anything.  Raises JobError."""
        with self._lock:
            found = self._on_disk()
            if found == self._history.text:
                return False
            self._set(self._history.changed(found, ELSEWHERE))
            return True

    def change(self, number: int, text: str, words: str, own_first: bool | None = None) -> Asked | int:
        """Puts a text in the file's place, with what others changed since.

        Args:
            number: of the text that the change began with.
            text: with the change.
            words: what was changed.
            own_first: what to take where both changed the same lines; None: ask.
        Returns: the places to ask about; where it is done the number of `text` as sent, while the file may hold more.
        Raises:
            JobError: the file cannot be read.
            NotWrittenError: it cannot be written, or there is no such number.
        """
        begun = self.text(number)
        if begun is None:
            raise NotWrittenError("this page is of another session: load it again")
        with self._lock:
            for _ in range(TRIES):
                self.look()
                made = merged_text(begun, text, self._history.text, bool(own_first))
                if made.clashes and own_first is None:
                    return Asked(made.clashes)
                if self._write(self._history.changed(made.text, words)):
                    self._texts += [] if text == self._texts[-1] else [text]
                    return len(self._texts) - 1
        raise NotWrittenError(f"{self.path} is being saved by somebody else again and again: try once more")

    def back(self) -> None:
        """Undoes the last step, whoever made it.  Raises JobError and NotWrittenError."""
        self._step(History.back)

    def forward(self) -> None:
        """Makes it again.  Raises JobError and NotWrittenError."""
        self._step(History.forward)

    def _step(self, step: Callable[[History], History]) -> None:
        with self._lock:
            for _ in range(TRIES):
                self.look()
                if self._write(step(self._history)):
                    return
        raise NotWrittenError(f"{self.path} is being saved by somebody else again and again: try once more")

    def _write(self, history: History) -> bool:
        """Whether the file has the text of that step now; not where somebody saved another one meanwhile."""
        old, new = self._history.text, history.text
        if len(new.encode()) > LARGEST_FILE:
            raise NotWrittenError("the text would have more than 2 million characters")
        if new != old:
            with changing(self.path) as target:
                if self._on_disk() != old:
                    return False
                replace_text(target, old, new, keep_old=not self._is_kept)
            self._is_kept = True
        self._set(history)
        return True

    def _set(self, history: History) -> None:
        if history.text != self._texts[self._number]:
            self._texts.append(history.text)
            self._number = len(self._texts) - 1
        self._history = history

    def _on_disk(self) -> str:
        return text_of(self.path, "job file", "trailer.toml")
