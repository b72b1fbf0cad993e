"""A TOML file as it was read: from its text to tables that are checked, with every fault at its place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, Literal, Self, TypeVar

from pydantic import ValidationError

from fabgen.job.errors import JobError, Path, Problem, in_words, shown, worded
from fabgen.job.key_help.validation_faults import problems_of
from fabgen.job.tables.fields import Context
from fabgen.job.tables.table import Table
from fabgen.job.text.source import SourceMap
from fabgen.job.text.syntax import load_toml
from fabgen.job.values.tried import Tried
from fabgen.shop import materials

if TYPE_CHECKING:
    from fabgen.job.expansion.expanded_tables import Expanded

T = TypeVar("T", bound=Table)


@dataclass(frozen=True, eq=False)
class Document:
    """A TOML file that can be read: its values as they stand there (`raw`), and its text to find places in.

    `path` is the file as given; errors and documents name it so.  `expanded`: its tables with what stands for many
    parts replaced by these; the paths of problems lead into them.  `tried`: the dimensions for which `raw` has another
    figure than the text.
    """

    path: FilePath
    text: str
    raw: Mapping[str, Any] = field(repr=False)
    source: SourceMap = field(repr=False)
    expanded: Expanded | None = field(default=None, repr=False, kw_only=True)
    tried: tuple[Tried, ...] = field(default=(), kw_only=True)

    @property
    def tables(self) -> Mapping[str, Any]:
        """The values, those of whole frames and repeats as the parts that they become."""
        return self.raw if self.expanded is None else self.expanded.tables

    @classmethod
    def parsed(cls, text: str, path: FilePath | str, accepted: str = "") -> Self:
        """The document of a text.

        Args:
            text: the TOML.
            path: the name that errors give it.
            accepted: what an empty file should hold.
        Raises:
            JobError: the text is no TOML, or empty.
        """
        raw, problems = load_toml(text)
        if not problems and not raw:
            problems = [Problem((), "the file is empty", accepted)]
        document = cls(FilePath(path), text, raw, SourceMap(text))
        if problems:
            raise document.unread(problems)
        return document

    def line(self, path: Path) -> int:
        """Line of the key at `path`, e.g. ('tube', 3), in the file."""
        return self.source.line(self.origin(path))

    def origin(self, path: Path) -> Path:
        """The place in the file of a key of `tables`."""
        return path if self.expanded is None else self.expanded.origin(path)

    def located(self, problems: Iterable[Problem]) -> JobError:
        """The problems as one error, in the order of the file, each with its file, its line and its place in words.

        Those that have a file already, as of a rack, stay as they are.
        """
        found: dict[Problem, Problem] = {}
        units = units_of(table_in(self.raw, "job"))
        for problem in problems:
            if problem.file:
                found[problem] = problem
                continue
            line = self.line(problem.path) if problem.line is None else problem.line
            what = worded(problem.said, units) + (f" on line {self.line(problem.other)}" if problem.other else "")
            where = problem.where or self._words(self._as_written(problem.path)[0])
            accepted = worded(problem.takes, units)
            placed = replace(problem, said=what, takes=accepted, line=line, file=str(self.path), where=where, other=())
            found.setdefault(replace(placed, path=()), placed)  # once of what a frame or a mirror makes several of
        kept = self._of_firsts(found.values())
        return JobError(sorted(kept, key=lambda problem: problem.line or 0))

    def _of_firsts(self, problems: Iterable[Problem]) -> list[Problem]:
        """The problems but for those of copies and mirror images whose first has one in the same key: it is the same
        slip, of which the copy has a copy; of a place the first says which copies have it, or how many, and a copy
        alone which it is."""
        first = {} if self.expanded is None else {**self.expanded.copies, **self.expanded.images}
        located = [(problem, _mark_at(problem.path, self.tables), _keys(problem.path)) for problem in problems]
        there = {(mark, keys) for _, mark, keys in located}
        told: list[Problem] = []
        own: dict[tuple[str, Path], int] = {}
        marks: dict[int, list[str]] = {}
        for problem, mark, keys in located:
            path, is_further = self._as_written(problem.path)
            of = first.get(mark) if (first.get(mark), keys) in there else None
            at = own.get((of or mark, path[2:])) if of is not None or is_further else None
            if at is not None:
                marks.setdefault(at, []).append(mark if of is not None else "")
            elif of is None:
                own.setdefault((mark, path[2:]), len(told))
                told.append(_of_copy(problem, mark) if is_further else problem)
        return [
            replace(problem, said=problem.what + _copies(marks[i]))
            if i in marks and "place" in problem.path
            else problem
            for i, problem in enumerate(told)
        ]

    def _as_written(self, path: Path) -> tuple[Path, bool]:
        """A key of a part's place, of one that a repeat or a mirror adds that of the place it is made from, as the
        file has it; and whether it is such a one."""
        if len(path) < 4 or path[2] != "place" or not isinstance(path[3], int):
            return path, False
        table, number, *_ = self.origin(path[:2])
        entry = next((each for i, each in entries(self.raw, str(table)) if i == number), {})
        given = entry.get("place")
        if isinstance(given, dict):
            return (*path[:3], *path[4:]), path[3] > 0
        if not isinstance(given, list) or not given:
            return path, False
        return (*path[:3], path[3] % len(given), *path[4:]), path[3] >= len(given)

    def _words(self, path: Path) -> str:
        """The place of a key in words; of a part that a frame or a repeat makes, of this and then of the part."""
        place = self.origin(path)
        if place[:1] == path[:1]:
            return in_words(place, _mark_at(path, self.tables))
        return f"{in_words(place[:2], _mark_at(place, self.raw))}, {in_words(path, _mark_at(path, self.tables), False)}"

    @contextmanager
    def locating(self) -> Iterator[None]:
        """Problems that are found within are reported at their places in the file.  Raises JobError."""
        try:
            yield
        except JobError as error:
            raise self.located(error.problems) from error

    def unread(self, problems: Iterable[Problem]) -> JobError:
        """The problems, located, that keep the file from being read."""
        return JobError(self.located(problems).problems, unread=True)

    def table(self, name: str) -> dict[str, Any]:
        """The table of that name; an empty one where there is none."""
        return table_in(self.raw, name)

    def checked(
        self,
        model: type[T],
        context: Context,
        problems: Iterable[Problem] = (),
        values: Mapping[str, Any] | None = None,
        further: Callable[[T], Iterable[Problem]] = lambda _: (),
    ) -> T:
        """The document as a `model`, checked key by key.

        Args:
            model: of the file.
            context: what the values are read with.
            problems: those found already, which are reported with the rest.
            values: the file's values, some of them worked out already; left out, as they stand there.
            further: gives the faults of what reads well by itself.
        Raises:
            JobError: there are problems, found before or here.
        """
        found, checked = list(problems), None
        try:
            checked = model.model_validate(self.tables if values is None else values, context=context)
            found += further(checked)
        except ValidationError as error:
            found += problems_of(error, self.tables, model)
        if found or checked is None:
            raise self.unread(found)
        return checked


def table_in(raw: Mapping[str, Any], name: str) -> dict[str, Any]:
    """The table that a key holds; an empty one where it holds none."""
    value = raw.get(name)
    return value if isinstance(value, dict) else {}


def units_of(table: Mapping[str, Any]) -> Literal["mm", "in"]:
    """The units a table gives; mm for the rest of the reading where it does not say, which is reported as well."""
    return "in" if table.get("units") == "in" else "mm"


# -- entries and names -----------------------------------------------------------------------
def entries(raw: Mapping[str, Any], name: str) -> list[tuple[int, dict[str, Any]]]:
    """The tables of the list `name` with their numbers; anything else in it is passed over."""
    value = raw.get(name)
    return [(i, entry) for i, entry in enumerate(value) if isinstance(entry, dict)] if isinstance(value, list) else []


def mark_of(entry: Mapping[str, Any]) -> str:
    """The mark of a table as written, '' where it has none that could be one."""
    mark = entry.get("mark")
    if type(mark) is int and abs(mark) < 10**15:
        return str(mark)
    return mark.strip()[:80] if isinstance(mark, str) else ""


def own_materials(raw: Mapping[str, Any]) -> dict[str, str]:
    """The names of the file's own [[material]] tables, by compared name."""
    names = [entry.get("name") for _, entry in entries(raw, "material")]
    return {materials.key_of(name): name.strip() for name in names if isinstance(name, str)}


def material_problems(raw: Mapping[str, Any]) -> list[Problem]:
    """Materials of the file's own that are given twice."""
    named = [(("material", i, "name"), entry.get("name")) for i, entry in entries(raw, "material")]
    given = [(path, name) for path, name in named if isinstance(name, str)]
    return repeated(given, "the material {} is given already as {}", "each material once", materials.key_of)


def mark_problems(raw: Mapping[str, Any], tables: Iterable[str], accepted: str) -> list[Problem]:
    """Marks given twice.  Capitals make no difference: marks name files, and some disks ignore them."""
    named = [((table, i, "mark"), mark_of(entry)) for table in tables for i, entry in entries(raw, table)]
    given = [(path, mark) for path, mark in named if mark]
    return repeated(given, "the mark {} is taken already by {}", accepted, str.casefold)


def repeated(
    named: Iterable[tuple[Path, str]], what: str, accepted: str, compared: Callable[[str], str] = str
) -> list[Problem]:
    """A problem for each name that stands at an earlier place already.

    Args:
        named: places and the names there, in the order of the file.
        what: the fault's text, with {} for the name and {} for the table it is taken by.
        accepted: what would do.
        compared: gives of a name what two must not share.
    """
    problems: list[Problem] = []
    first: dict[str, Path] = {}
    for path, name in named:
        earlier = first.setdefault(compared(name), path)
        if earlier != path:
            text = what.format(shown(name), in_words(earlier[:2]))
            problems.append(Problem(path, text, accepted, other=earlier))
    return problems


def _of_copy(problem: Problem, mark: str) -> Problem:
    """A fault that the place in the file is free of, with which of its copies has it."""
    number = problem.path[3]
    assert isinstance(number, int)
    return replace(problem, said=f"{problem.what} (that is place {number + 1} of {mark})")


def _copies(marks: Sequence[str]) -> str:
    """Which copies have a fault too: by their marks, those that are further places of one mark by their number."""
    named, places = [mark for mark in marks if mark], sum(1 for mark in marks if not mark)
    counted = [f"{places} cop{'y' if places == 1 else 'ies'} of that place"] if places else []
    return f" (so it is in {', '.join([*dict.fromkeys(named), *counted])})"


def _keys(path: Path) -> tuple[str, ...]:
    """The keys of a path below its entry; a single table and a list of one are the same."""
    return tuple(key for key in path[2:] if isinstance(key, str))


def _mark_at(path: Path, raw: Mapping[str, Any]) -> str:
    """The mark (or name) of the entry that `path` leads into."""
    if len(path) < 2 or not isinstance(path[0], str) or not isinstance(path[1], int):
        return ""
    for i, entry in entries(raw, path[0]):
        if i == path[1]:
            name = entry.get("name")
            return mark_of(entry) or (name[:40] if isinstance(name, str) else "")
    return ""
