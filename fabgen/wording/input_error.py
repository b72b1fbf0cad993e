"""The one error of input that will not do, whoever finds it: what is wrong, what is accepted, what is nearest."""

from __future__ import annotations

from typing import Self

from fabgen.wording.sentence import Sentence, sentence

Words = str | Sentence
"""What an error says: text, or a sentence whose lengths have inches first in inch jobs."""

Path = tuple[str | int, ...]


class InputError(ValueError):
    """Input that will not do.

    Args:
        what: is wrong, without a full stop.
        accepted: what would do.
        nearest: the valid name most like what was written.
        key: where below the table or list that was read the fault lies: keys, and numbers from 0.
    """

    def __init__(self, what: Words, accepted: Words = "", nearest: str = "", key: Path = ()) -> None:
        super().__init__(worded(what))
        self.said, self.takes, self.nearest, self.key = what, accepted, nearest, key

    @property
    def what(self) -> str:
        """What is wrong, its lengths in millimetres."""
        return worded(self.said)

    @property
    def accepted(self) -> str:
        """What would do, its lengths in millimetres."""
        return worded(self.takes)

    def __str__(self) -> str:
        return fault_text(self.what, self.accepted, self.nearest)

    def about(self, subject: str) -> Self:
        """The fault with its subject said first: 'comes to an area' becomes '"a * b" comes to an area'."""
        self.said = f"{subject} {self.said}" if isinstance(self.said, str) else sentence(f"{subject} ", self.said)
        return self

    def below(self, *key: str | int) -> Self:
        """The fault found by whoever reads the list or table above: its key stands below `key`."""
        self.key = (*key, *self.key)
        return self


def worded(text: Words, units: str = "mm") -> str:
    """What an error says, in the words of a job that is worked in "mm" or "in"."""
    return text if isinstance(text, str) else text.words(units)


def fault_text(what: str, accepted: str = "", nearest: str = "") -> str:
    """How every fault is printed: what is wrong, then a line each of what is accepted and what is nearest."""
    pairs = (("accepted", accepted), ("nearest", nearest))
    return "\n".join([what, *(f"    {label}: {text}" for label, text in pairs if text)])
