"""Reads a job file, and reports everything that is wrong with it at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from fabgen.job.document import (
    Document,
    entries,
    mark_of,
    mark_problems,
    material_problems,
    own_materials,
    table_in,
    units_of,
)
from fabgen.job.errors import JobError, Path, Problem, describe, listed, nearest, shown
from fabgen.job.expansion.copies.mirror import Mirror, mirrors_in
from fabgen.job.expansion.copies.mirrored_parts import KnownImages
from fabgen.job.expansion.expand import expanded
from fabgen.job.points.named_points import DistanceNames, resolve_points
from fabgen.job.points.tube_routes import TubeRoutes
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.fields import Context
from fabgen.job.tables.link_tables import RodEndFile, RodEndKind
from fabgen.job.tables.measuring_tables import Measuring
from fabgen.job.text.file_names import folder_fault
from fabgen.job.text.text_file import text_of
from fabgen.job.values.formulas import Names
from fabgen.job.values.named_dimensions import resolve_dimensions
from fabgen.job.values.point import Point, ReadingAccuracy
from fabgen.job.values.tried import with_figures
from fabgen.wording.sentence import sentence

if TYPE_CHECKING:
    from fabgen.job.points.as_built import Built

MOST_NAMES = 1000
NO_FIGURES: Mapping[str, str] = {}

__all__ = ["Job", "JobError", "Problem", "describe", "read_job", "read_rod_ends", "read_text"]


@dataclass(frozen=True, eq=False)
class Job(Document):
    """A job file that reads well: its `definitions`.

    Of a frame measured as built (`built`), `definitions` have its points where they are, `drawn` where they
    should be.
    """

    definitions: Definitions
    built: Built | None = None
    drawn: Definitions | None = None


def read_job(path: FilePath | str, figures: Mapping[str, str] = NO_FIGURES) -> Job:
    """The job in a file.

    Args:
        figures: for named dimensions in place of what the file says, as `figures_in` reads them.
    Raises:
        JobError: with every fault found in it.
    """
    path = FilePath(path)
    text = text_of(path, "job file", "trailer.toml")
    if fault := folder_fault(path.stem):  # its output folder is called so
        what = f"the output folder of this job would be called {shown(path.stem)}: {fault}"
        raise JobError([Problem((), what, "a job file of another name, e.g. trailer.toml", line=1, file=str(path))])
    return read_text(text, path, figures=figures)


def read_text(
    text: str,
    path: FilePath | str = "job.toml",
    known_images: KnownImages | None = None,
    figures: Mapping[str, str] = NO_FIGURES,
) -> Job:
    """The job in a text.

    Args:
        text: the TOML.
        path: the name that errors give it; files that the job names lie beside it.
        known_images: what is known of the mirror images of parts of sheet, once they were built.
        figures: for named dimensions in place of what the text says, as `figures_in` reads them.
    Raises:
        JobError: with every fault found in it.
    """
    document = Document.parsed(text, path, "[job] with title, number and units, and at least one part")
    if figures:
        document = _with_figures(document, figures)
    document, definitions = _definitions(document, known_images=known_images)
    if beside := definitions.job.rod_ends:  # they come after the job's own
        every = [*definitions.rod_end, *read_rod_ends(document.path.parent / beside)]
        definitions = definitions.model_copy(update={"rod_end": every})
    job = Job(**vars(document), definitions=definitions)
    return _as_built(job, known_images) if definitions.as_built.is_given else job


def read_rod_ends(path: FilePath) -> list[RodEndKind]:
    """The rod ends in a file of [[rod_end]] tables, which stands beside jobs for all of them to use.

    Raises:
        JobError: with every fault found in it.
    """
    document = Document.parsed(text_of(path, "file of rod ends", "my-rod-ends.toml"), path)
    return document.checked(RodEndFile, Context(units_of(document.raw))).rod_end


def _as_built(job: Job, known_images: KnownImages | None) -> Job:
    """The job with its points where they were measured on the frame.  Raises JobError."""
    from fabgen.job.points.as_built import built_frame

    drawn = job.definitions
    measuring = drawn.measuring
    marks = [part.mark for part in drawn.parts()]
    built, problems = built_frame(
        drawn.as_built, drawn.points, drawn.tube, marks, measuring.tape_error, measuring.datum
    )
    if built is None:
        raise job.located(problems)
    try:
        worked, definitions = _definitions(job, built.points, known_images)
    except JobError as fault:
        raise JobError(
            [replace(p, said=sentence("with the frame as built, ", p.said)) for p in fault.problems]
        ) from fault
    definitions = definitions.model_copy(update={"rod_end": drawn.rod_end})
    return replace(job, expanded=worked.expanded, definitions=definitions, built=built, drawn=drawn)


def _with_figures(document: Document, figures: Mapping[str, str]) -> Document:
    """The document with other figures for named dimensions.  Raises JobError."""
    given, units = document.table("dimensions"), units_of(document.table("job"))
    dimensions, tried, problems = with_figures(given, figures, units)
    if problems:
        raise JobError(problems)
    return replace(document, raw={**document.raw, "dimensions": dimensions}, tried=tried)


# -- the values ---------------------------------------------------------------
def _definitions(
    document: Document, built: Mapping[str, Point] | None = None, known_images: KnownImages | None = None
) -> tuple[Document, Definitions]:
    """The document with its frames, repeats and mirrors worked out, and what it defines; `built` are places of points
    that go before what it says, `known_images` what is known of mirror images.  Raises JobError."""
    units = units_of(document.table("job"))
    given_dimensions, given_points = document.table("dimensions"), document.table("points")
    problems = [
        Problem((name,), f"there are {len(given)} names in [{name}]", f"at most {MOST_NAMES}")
        for name, given in (("dimensions", given_dimensions), ("points", given_points))
        if len(given) > MOST_NAMES
    ]
    if problems:
        raise document.unread(problems)
    dimensions, problems = resolve_dimensions(given_dimensions, units)
    accuracy, routes = _accuracy(document, units, dimensions), TubeRoutes(document.raw)
    points, found = resolve_points(given_points, units, dimensions, accuracy, built, routes)
    mirrors: list[Mirror] = []
    if entries(document.raw, "mirror"):
        mirrors, at_planes = mirrors_in(document.raw, Context(units, DistanceNames(dimensions, points), points))
        if images := {name: written for mirror in mirrors for name, written in mirror.points.items()}:
            # Points of the file may be measured from these.
            points, found = resolve_points({**given_points, **images}, units, dimensions, accuracy, built, routes)
        found += at_planes
    names = DistanceNames(dimensions, points) if points else dimensions
    context = Context(units, names, points, own_materials(document.raw))
    whole = expanded(document.raw, context, FAMILIES, mirrors, known_images)
    document = replace(document, expanded=whole)
    raw = whole.tables
    problems += found + list(whole.problems) + mark_problems(raw, FAMILIES, "a mark of its own for every part")
    problems += _end_problems(raw) + material_problems(raw)
    ready = dict(raw)
    for name, values in (("dimensions", dimensions), ("points", points)):
        if isinstance(raw.get(name), dict):
            ready[name] = {key: value for key, value in values.items() if value is not None}
    return document, document.checked(
        Definitions,
        replace(context, marks=_marks(raw), cut_up=frozenset(whole.pieces.values())),
        problems,
        ready,
        _no_part,
    )


def _no_part(definitions: Definitions) -> list[Problem]:
    accepted = "at least one of " + ", ".join(f"[[{table}]]" for table in FAMILIES)
    return [] if any(definitions.parts()) else [Problem((), "the job has no part", accepted)]


def _accuracy(document: Document, units: str, dimensions: Names) -> ReadingAccuracy:
    """Of the job's readings; the usual where [measuring] does not say, or has a value that is not valid."""
    try:
        given = Measuring.model_validate(document.table("measuring"), context=Context(units, dimensions))
    except ValidationError:  # reported with the other faults
        given = Measuring()
    return ReadingAccuracy(given.tape_error, given.offset_error or given.tape_error)


# -- names across tables --------------------------------------------------------
def _marks(raw: Mapping[str, Any]) -> frozenset[str]:
    return frozenset(mark_of(entry) for table in FAMILIES for _, entry in entries(raw, table)) - {""}


def _end_problems(raw: Mapping[str, Any]) -> list[Problem]:
    """Tube ends that are to sit on something that is no other tube of the job, and no profile alone."""
    problems: list[Problem] = []
    tubes = [mark_of(entry) for _, entry in entries(raw, "tube")]
    others = {mark_of(entry): table for table in FAMILIES for _, entry in entries(raw, table)}
    for i, entry in entries(raw, "tube"):
        for end in ("start", "finish"):
            onto = table_in(entry, end).get("onto")
            several = isinstance(onto, list)
            for j, written in enumerate(onto if isinstance(onto, list) else [onto] if isinstance(onto, str) else []):
                name = mark_of({"mark": written})
                if not name or (name in tubes and (name != mark_of(entry) or tubes.count(name) > 1)):
                    continue
                if others.get(name) == "profile" and (not isinstance(onto, list) or len(onto) == 1):
                    continue  # the end stands on a face of it
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
