"""The papers of a job made from the page: as the command makes them on A4, with the record of what was issued."""

from __future__ import annotations

from pathlib import Path

from fabgen.app.issued_papers import kept_record
from fabgen.app.work import work_on
from fabgen.changes.issuing import issuing
from fabgen.changes.record import NAME
from fabgen.documents.everything import MakeOptions, job_files
from fabgen.documents.folder import settle, write_folder
from fabgen.documents.render.paper import find
from fabgen.plan.effort import Effort, Progress, part_of

_WORKED = 0.45
"""The share of the work that is done when no paper is drawn yet."""


def make_papers(path: Path, target: Path, rack: Path | None, paper: str, progress: Progress) -> list[str]:
    """Writes a job's folder, all or nothing.

    Args:
        path: the job file.
        target: the folder.
        rack: a rack file, whose stock is used first.
        paper: the name of a size.
        progress: called with how far it is.
    Returns: the names of the files in it, in their order.
    Raises:
        JobError: the job cannot be made.
        NotWrittenError: its papers cannot be written.
    """
    settle(target)
    kept = kept_record(target)
    work = work_on(path, rack, Effort.NORMAL, part_of(progress, 0.0, _WORKED))
    header = work.job.definitions.job
    issue = issuing(header, work.pieces, kept, False)
    options = MakeOptions(find(paper), progress=part_of(progress, _WORKED, 1.0))
    files = job_files(
        *(header, work.pieces, work.plan, work.findings, options),
        *(work.movement, work.survey, issue, work.contacts),
    )
    write_folder(target, files, aside=[NAME] if issue.unused else [])
    return list(files)
