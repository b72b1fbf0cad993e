"""The one error of input that will not do, whoever finds it: what is wrong, what is accepted, what is nearest."""

from __future__ import annotations

from typing import Self

Path = tuple[str | int, ...]


class InputError(ValueError):
    """Input that will not do.

    Args:
        what: is wrong, without a full stop.
        accepted: what would do.
        nearest: the valid name most like what was written.
        key: where below the table or list that was read the fault lies: keys, and numbers from 0.
    """

    def __init__(self, what: str, accepted: str = "", nearest: str = "", key: Path = ()) -> None:
        super().__init__(what)
        self.what, self.accepted, self.nearest, self.key = what, accepted, nearest, key

    def __str__(self) -> str:
        return fault_text(self.what, self.accepted, self.nearest)

    def about(self, subject: str) -> Self:
        """The fault with its subject said first: 'comes to an area' becomes '"a * b" comes to an area'."""
        self.what = f"{subject} {self.what}"
        return self

    def below(self, *key: str | int) -> Self:
        """The fault found by whoever reads the list or table above: its key stands below `key`."""
        self.key = (*key, *self.key)
        return self


def fault_text(what: str, accepted: str = "", nearest: str = "") -> str:
    """How every fault is printed: what is wrong, then a line each of what is accepted and what is nearest."""
    pairs = (("accepted", accepted), ("nearest", nearest))
    return "\n".join([what, *(f"    {label}: {text}" for label, text in pairs if text)])
