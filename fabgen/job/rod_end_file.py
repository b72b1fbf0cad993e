"""The file of a job's own rod ends: [[rod_end]] tables beside the job, for every job to use."""

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Literal

from pydantic import Field, ValidationError

from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.fields import Context
from fabgen.job.tables.link_tables import RodEndKind
from fabgen.job.tables.table import Table
from fabgen.job.tables.wording import problems_of
from fabgen.job.text.located import located
from fabgen.job.text.source import SourceMap
from fabgen.job.text.syntax import load_toml
from fabgen.job.text.text_file import text_of


class RodEndFile(Table):
    """The whole file, checked key by key."""

    units: Literal["mm", "in"] = Field(default="mm", description="of bare numbers")
    rod_end: list[RodEndKind]


def read_rod_ends(path: FilePath) -> list[RodEndKind]:
    """The rod ends in a file.  Raises JobError with every fault found in it."""
    text = text_of(path, "file of rod ends", "my-rod-ends.toml")
    source = SourceMap(text)
    raw, problems = load_toml(text)
    if not problems:
        units = "in" if raw.get("units") == "in" else "mm"
        try:
            return RodEndFile.model_validate(raw, context=Context(units)).rod_end
        except ValidationError as error:
            problems = problems_of(error, raw, RodEndFile)
    raise JobError(located(problems or [Problem((), "the file is empty")], path, raw, source).problems, unread=True)
