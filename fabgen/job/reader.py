"""Reads a job file, and tells everything that is wrong with it at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from fabgen.job.errors import JobError, Path, Problem, describe, in_words, listed, nearest, shown
from fabgen.job.points.named_points import DistanceNames, resolve_points
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.fields import Context
from fabgen.job.tables.measuring_tables import Measuring
from fabgen.job.tables.wording import problems_of
from fabgen.job.text.located import entries, located, mark_of
from fabgen.job.text.source import SourceMap
from fabgen.job.text.syntax import load_toml
from fabgen.job.text.text_file import text_of
from fabgen.job.values.dimensions import resolve_dimensions
from fabgen.job.values.formulas import Names
from fabgen.job.values.point import Accuracy, Point
from fabgen.shop import materials

if TYPE_CHECKING:
    from fabgen.job.points.as_built import Built

MOST_NAMES = 1000

__all__ = ["Job", "JobError", "Problem", "describe", "read_job", "read_text"]


@dataclass(frozen=True, eq=False)
class Job:
    """A job file that reads well: its `definitions`, and its text to find places in.

    `path` is the file as it was asked for; errors and documents name it so.  Of a frame measured
    as built (`built`), `definitions` have its points where they are, `drawn` where they should be.
    """

    path: FilePath
    text: str
    definitions: Definitions
    raw: Mapping[str, Any] = field(repr=False)
    source: SourceMap = field(repr=False)
    built: Built | None = None
    drawn: Definitions | None = None

    def line(self, path: Path) -> int:
        """Line of the key at `path`, e.g. ('tube', 3), in the file."""
        return self.source.line(path)

    def located(self, problems: Iterable[Problem]) -> JobError:
        """The problems as one error, each with its file, its line and its place in words."""
        return located(problems, self.path, self.raw, self.source)


def read_job(path: FilePath | str) -> Job:
    """The job in a file.  Raises JobError with every fault found in it."""
    path = FilePath(path)
    return read_text(text_of(path, "job file", "trailer.toml"), path)


def read_text(text: str, path: FilePath | str = "job.toml") -> Job:
    """The job in a text, `path` being the name errors give it.  Raises JobError."""
    path, source = FilePath(path), SourceMap(text)
    raw, problems = load_toml(text)
    if not problems and not raw:
        problems = [Problem((), "the file is empty", "[job] with title, number and units, and at least one part")]
    if not problems:
        definitions, problems = _read(raw)
    if problems or definitions is None:
        raise JobError(located(problems, path, raw, source).problems, unread=True)
    job = _with_rod_ends(Job(path, text, definitions, raw, source))
    return job if not definitions.as_built.is_given else _as_built(job)


def _with_rod_ends(job: Job) -> Job:
    """The job with the rod ends of the file it names, which come after its own.  Raises JobError."""
    if not job.definitions.job.rod_ends:
        return job
    from fabgen.job.rod_end_file import read_rod_ends

    found = read_rod_ends(job.path.parent / job.definitions.job.rod_ends)
    every = [*job.definitions.rod_end, *found]
    return replace(job, definitions=job.definitions.model_copy(update={"rod_end": every}))


def _as_built(job: Job) -> Job:
    """The job with its points where they were measured on the frame.  Raises JobError."""
    from fabgen.job.points.as_built import built_frame

    drawn = job.definitions
    error = drawn.measuring.tape_error
    built, problems = built_frame(drawn.as_built, drawn.points, drawn.tube, drawn.link, error)
    if built is None:
        raise job.located(problems)
    definitions, problems = _read(job.raw, built.points)
    if definitions is None or problems:
        found = [replace(p, what=f"with the frame as built, {p.what}") for p in problems]
        raise job.located(found)
    definitions = definitions.model_copy(update={"rod_end": drawn.rod_end})
    return replace(job, definitions=definitions, built=built, drawn=drawn)


# -- the values ---------------------------------------------------------------
def _read(raw: Mapping[str, Any], built: Mapping[str, Point] | None = None) -> tuple[Definitions | None, list[Problem]]:
    units = _units(raw)
    given_dimensions, given_points = _table(raw, "dimensions"), _table(raw, "points")
    problems = [
        Problem((name,), f"there are {len(given)} names in [{name}]", f"at most {MOST_NAMES}")
        for name, given in (("dimensions", given_dimensions), ("points", given_points))
        if len(given) > MOST_NAMES
    ]
    if problems:
        return None, problems
    dimensions, problems = resolve_dimensions(given_dimensions, units)
    points, point_problems = resolve_points(given_points, units, dimensions, _errors(raw, units, dimensions), built)
    problems += point_problems + _mark_problems(raw) + _end_problems(raw) + material_problems(raw)
    ready = dict(raw)
    if isinstance(raw.get("dimensions"), dict):
        ready["dimensions"] = {name: value for name, value in dimensions.items() if value is not None}
    if isinstance(raw.get("points"), dict):
        ready["points"] = {name: point for name, point in points.items() if point is not None}
    names = DistanceNames(dimensions, points) if points else dimensions
    context = Context(units, names, points, own_materials(raw), _marks(raw))
    definitions = None
    try:
        definitions = Definitions.model_validate(ready, context=context)
    except ValidationError as error:
        problems += problems_of(error, raw)
    if definitions is not None and not any(definitions.parts()):
        accepted = "at least one of " + ", ".join(f"[[{table}]]" for table in FAMILIES)
        problems.append(Problem((), "the job has no part", accepted))
    return definitions, problems


def _errors(raw: Mapping[str, Any], units: str, dimensions: Names) -> Accuracy:
    """How far readings may be off; the usual where [measuring] does not say, or says what will not do."""
    said = _table(raw, "measuring")
    try:
        given = Measuring.model_validate(said, context=Context(units, dimensions))
    except ValidationError:  # told with the other faults
        given = Measuring()
    return Accuracy(given.tape_error, given.offset_error or given.tape_error)


def _units(raw: Mapping[str, Any]) -> str:
    """The job's units; mm for the rest of the reading where the file does not say, which is told as well."""
    units = _table(raw, "job").get("units")
    return units if units in ("mm", "in") else "mm"


def _table(raw: Mapping[str, Any], name: str) -> dict[str, Any]:
    value = raw.get(name)
    return value if isinstance(value, dict) else {}


def own_materials(raw: Mapping[str, Any]) -> dict[str, str]:
    """The names of the file's own [[material]] tables, by compared name."""
    names = [entry.get("name") for _, entry in entries(raw, "material")]
    return {materials.key_of(name): name.strip() for name in names if isinstance(name, str)}


# -- names across tables --------------------------------------------------------
def _marks(raw: Mapping[str, Any]) -> frozenset[str]:
    return frozenset(mark_of(entry) for table in FAMILIES for _, entry in entries(raw, table)) - {""}


def _mark_problems(raw: Mapping[str, Any]) -> list[Problem]:
    """Marks given twice.  Capitals make no difference: marks name files, and some disks ignore them."""
    problems: list[Problem] = []
    first: dict[str, Path] = {}
    for table in FAMILIES:
        for i, entry in entries(raw, table):
            if mark := mark_of(entry):
                place = (table, i, "mark")
                earlier = first.setdefault(mark.casefold(), place)
                if earlier != place:
                    what = f"the mark {shown(mark)} is taken already by {in_words(earlier[:2])}"
                    problems.append(Problem(place, what, "a mark of its own for every part", other=earlier))
    return problems


def _end_problems(raw: Mapping[str, Any]) -> list[Problem]:
    """Tube ends that are to sit on something that is no other tube of the job."""
    problems: list[Problem] = []
    tubes = [mark_of(entry) for _, entry in entries(raw, "tube")]
    others = {mark_of(entry): table for table in FAMILIES for _, entry in entries(raw, table)}
    for i, entry in entries(raw, "tube"):
        for end in ("start", "finish"):
            onto = _table(entry, end).get("onto")
            several = isinstance(onto, list)
            for j, written in enumerate(onto if isinstance(onto, list) else [onto] if isinstance(onto, str) else []):
                name = mark_of({"mark": written})
                if not name or (name in tubes and (name != mark_of(entry) or tubes.count(name) > 1)):
                    continue
                if name in tubes:
                    what = f"the tube {shown(name)} cannot sit on itself"
                elif name in others:
                    what = f"{shown(name)} is the mark of a {others[name]}, not of a tube"
                else:
                    what = f"there is no tube {shown(name)}"
                rest = [mark for mark in tubes if mark and mark != mark_of(entry)]
                accepted = "the mark of another tube" + (f": {listed(rest)}" if rest else "")
                path: Path = ("tube", i, end, "onto", *([j] if several else []))
                near = "" if name in tubes or name in others else nearest(name, rest)
                problems.append(Problem(path, what, accepted, near))
    return problems


def material_problems(raw: Mapping[str, Any]) -> list[Problem]:
    """Materials of the job's own that are given twice."""
    problems: list[Problem] = []
    first: dict[str, Path] = {}
    for i, entry in entries(raw, "material"):
        if isinstance(name := entry.get("name"), str):
            place = ("material", i, "name")
            earlier = first.setdefault(materials.key_of(name), place)
            if earlier != place:
                what = f"the material {shown(name)} is given already as {in_words(earlier[:2])}"
                problems.append(Problem(place, what, "each material once", other=earlier))
    return problems
