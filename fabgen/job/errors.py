"""Everything wrong with a job file, reported once and all at once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice

from fabgen.wording.input_error import InputError, Path, Words, fault_text, worded
from fabgen.wording.nearest import nearest

__all__ = [
    "FollowOnError",
    "InputError",
    "JobError",
    "Path",
    "Problem",
    "Problems",
    "Words",
    "describe",
    "in_words",
    "listed",
    "nearest",
    "plain",
    "shown",
    "worded",
]


MOST_PRINTED = 20
"""Faults printed of one job: whoever corrects these finds most of the others gone too."""


class FollowOnError(InputError):
    """A fault that only follows from another one, which is reported already."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault of the input.

    Args:
        path: names the key, e.g. ('tube', 2, 'route').
        said: what is wrong.
        takes: what would do.
        nearest: the valid name most like what was written.
        line: in the file; this, `file` and `where` are filled in by `Document.located`.
        file: its path as given.
        where: the path in words, with the part's mark.
        other: a key that this one clashes with; its line is said too.

    `said` and `takes` are text once it is located, when the job's units are known.
    """

    path: Path
    said: Words
    takes: Words = ""
    nearest: str = ""
    line: int | None = None
    file: str = ""
    where: str = ""
    other: Path = ()

    @property
    def what(self) -> str:
        """What is wrong, in text."""
        return worded(self.said)

    @property
    def accepted(self) -> str:
        """What would do, in text."""
        return worded(self.takes)

    @staticmethod
    def of(path: Path, fault: InputError, accepted: Words = "") -> Problem:
        """The fault as a problem of the table or key at `path`; `accepted` in place of what the fault says of that."""
        return Problem(path + fault.key, fault.said, accepted or fault.takes, fault.nearest)


class JobError(Exception):
    """All problems of one job; the command prints each and exits with code 2.

    Args:
        problems: each at its path, or located already.
        unread: whether they kept the file from being read, so that nothing was built from it and checked.
    """

    def __init__(self, problems: list[Problem], unread: bool = False) -> None:
        super().__init__(problems)
        self.problems, self.unread = problems, unread

    def __str__(self) -> str:
        told = [describe(problem) for problem in self.problems[:MOST_PRINTED]]
        if more := len(self.problems) - len(told):
            told.append(f"and {more} more problem{'s' if more > 1 else ''} like these or further down")
        return "\n".join(told)

    @property
    def summary(self) -> str:
        """The last line of the problems: how many, and what is still to come."""
        count = len(self.problems)
        text = f"{count} problem{'s' if count != 1 else ''}; nothing was written"
        # A file that is not there has no tables.
        unbuilt = self.unread and any(problem.line is not None for problem in self.problems)
        return f"{text}\nthe parts are checked once these problems are corrected" if unbuilt else text


class Problems(list[Problem]):
    """Problems as they are found, to be reported all at once."""

    @contextmanager
    def at(self, *path: str | int) -> Iterator[None]:
        """Takes in what ends the block, so that others are looked for besides.

        Args:
            path: of the key at fault; a JobError brings its own. What only follows from another fault is left out.
        """
        try:
            yield
        except JobError as error:
            self.extend(error.problems)
        except FollowOnError:
            return
        except InputError as fault:
            self.append(Problem.of(path, fault))

    def report(self) -> None:
        """Raises JobError where there are any."""
        if self:
            raise JobError(self)


def describe(problem: Problem) -> str:
    """The printed text of a problem: place and fault, then what is accepted, then the nearest name."""
    place = problem.file
    if place and problem.line is not None:
        place += f":{problem.line}"
    lead = [part for part in (place, problem.where or in_words(problem.path)) if part]
    return plain(fault_text(": ".join([*lead, problem.what]), problem.accepted, problem.nearest))


def in_words(path: Path, mark: str = "", numbered: bool = True) -> str:
    """A path as a fabricator reads it: ('tube', 2, 'route', 0) is 'tube 3 "T3", key route, item 1'.

    Args:
        path: names the key.
        mark: of the part that it leads into.
        numbered: whether the part's number is one that can be counted in the file.
    """
    if not path:
        return ""
    words = [f"[{str(path[0])[:40]}]"]
    rest = path[1:]
    if rest and isinstance(rest[0], int):
        words = [str(path[0]) + (f" {rest[0] + 1}" if numbered else "") + (f' "{mark}"' if mark else "")]
        rest = rest[1:]
    words += [f"item {part + 1}" if isinstance(part, int) else f"key {part[:40]}" for part in rest]
    return ", ".join(words)


def listed(names: Iterable[str], most: int = 8) -> str:
    """The first names, and an ellipsis where there are more."""
    some = [name[:40] for name in islice(names, most + 1)]
    return ", ".join(some[:most]) + (", …" if len(some) > most else "")


def plain(text: str) -> str:
    """The text with unprintable characters shown as '?', so that no file can play with a terminal."""
    return "".join(c if c.isprintable() or c == "\n" else "?" for c in text)


def shown(value: object) -> str:
    """A value of the job file as an error quotes it: short, on one line, nothing unprintable."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = plain(value[:60]).replace("\n", "?")
        return f'"{text}{"…" if len(value) > 60 else ""}"'
    if isinstance(value, int) and value.bit_length() > 128:
        return "a very long number"
    if isinstance(value, list):
        return f"[{', '.join(shown(v) for v in value[:4])}{', …' if len(value) > 4 else ''}]"
    if isinstance(value, dict):
        return f"a table with {listed(map(str, value), 4)}" if value else "an empty table"
    return str(value)[:60]
