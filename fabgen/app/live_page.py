"""`fabgen look`: works a job through and writes its page; with --watch, again whenever the job is saved."""

from __future__ import annotations

import contextlib
import gc
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from fabgen.app.page_server import Server, State, stamps, watch
from fabgen.app.work import WorkedJob, work_on
from fabgen.changes.trial import Trial
from fabgen.documents.page.page_html import Kept, page_html
from fabgen.job.reader import NO_FIGURES
from fabgen.job.text.safe_file import write_file

PAGE = "page.html"


def page_of(work: WorkedJob, kept: Kept | None = None, live: bool = False) -> str:
    """The page of a job worked through."""
    header = work.job.definitions.job
    if work.job.tried:
        header = Trial(work.job.tried).heads(header)
    return page_html(header, work.pieces, work.plan, work.findings, kept, live, work.movement)


def write_page(folder: Path, text: str) -> Path:
    """Writes DIR/page.html completely or not at all; other files in the folder stay.  Raises NotWrittenError."""
    target = folder / PAGE
    write_file(target, text.encode())
    return target


@dataclass
class Rebuilder:
    """Makes the page of a job file again, keeping what has not changed."""

    job: Path
    folder: Path
    rack: Path | None = None
    kept: Kept = field(default_factory=Kept)
    figures: Mapping[str, str] = field(default_factory=dict)

    def made(self) -> str:
        """The live page; the file in the folder is written too.  Raises JobError and NotWrittenError."""
        work = work_on(self.job, self.rack, figures=self.figures)
        write_page(self.folder, page_of(work, self.kept))
        return page_of(work, self.kept, live=True)

    @property
    def watched(self) -> list[Path]:
        """The files whose saving calls for a new page."""
        return [self.job, *([self.rack] if self.rack is not None else [])]


def follow(
    job: Path,
    folder: Path,
    rack: Path | None,
    tell: Callable[[str], object],
    figures: Mapping[str, str] = NO_FIGURES,
) -> None:
    """Serves the page of a job to this machine and makes it again at each saving, until Ctrl-C.

    Args:
        job: the job file.
        folder: where the page is written too.
        rack: a rack file, whose stock is used first.
        tell: gets the lines to print.
        figures: for named dimensions in place of what the file says.
    Raises:
        JobError: the first page cannot be made.
        NotWrittenError: nor written.
    """
    gc.enable()  # this goes on for hours
    rebuild = Rebuilder(job, folder, rack, figures=figures)
    seen = stamps(rebuild.watched)
    state = State(rebuild.made())
    with Server(state) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        tell(f"{server.address}  (Ctrl-C ends)")
        try:
            with contextlib.suppress(KeyboardInterrupt):
                watch(state, rebuild.watched, rebuild.made, tell, seen)
        finally:
            state.end()
            server.shutdown()
