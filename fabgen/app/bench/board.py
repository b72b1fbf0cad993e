"""What a page is told: of each kind of news the last, numbered, so that one that comes late gets all of them."""

from __future__ import annotations

import json
import threading
from typing import Any


class Board:
    """The last news of each kind; safe to use from several threads."""

    def __init__(self) -> None:
        self._news: dict[str, tuple[int, str]] = {}
        self._number = 0
        self._changed = threading.Condition()
        self.ended = False

    def post(self, kind: str, value: Any) -> None:
        """News of a kind, in place of the last."""
        text = json.dumps(value, allow_nan=False)
        with self._changed:
            self._number += 1
            self._news[kind] = (self._number, text)
            self._changed.notify_all()

    def since(self, number: int, patience: float) -> tuple[int, list[tuple[str, str]]]:
        """What is newer than a number, oldest first, and the number of the last; waits for it.

        Args:
            patience: how long, s; then nothing is given.
        """
        with self._changed:
            if self._number <= number and not self.ended:
                self._changed.wait(patience)
            newer = sorted((n, kind, text) for kind, (n, text) in self._news.items() if n > number)
            return self._number, [(kind, text) for _, kind, text in newer]

    def end(self) -> None:
        with self._changed:
            self.ended = True
            self._changed.notify_all()
