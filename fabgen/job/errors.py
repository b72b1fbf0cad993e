"""Everything wrong with a job file, told once and together."""

from __future__ import annotations

from dataclasses import dataclass

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault of the input.

    `path` names the key, e.g. ('tube', 2, 'route'); `what` is wrong; `accepted` says what
    would do; `nearest` is the valid name closest to what was written.
    """

    path: Path
    what: str
    accepted: str = ""
    nearest: str = ""
    line: int | None = None
    file: str = ""


class JobError(Exception):
    """All problems of one job; the command prints each and exits with code 2."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("; ".join(problem.what for problem in problems))
        self.problems = problems
