"""`fabgen make`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fabgen.cli.labels import labels_wanted
from fabgen.cli.options import (
    Figures,
    FirstLabel,
    Floor,
    HowHard,
    JobFile,
    Labels,
    LabelSheet,
    OneFile,
    OutFolder,
    PaperName,
    Quiet,
    RackFile,
    Sleeves,
)
from fabgen.cli.steps import (
    BAD_INPUT,
    date_given,
    effort_named,
    fail,
    figures_given,
    finish,
    paper_named,
    trial_of,
    user_settings,
    worked,
    written,
)
from fabgen.cli.terminal import MOST_CHANGES, say, show_findings, show_trial

_WORKED = 0.45
"""The share of the work that is done when the job is checked and no paper is drawn, by the demo's times."""


def make(
    job: JobFile,
    rack: RackFile = None,
    tries: Figures = None,
    out: OutFolder = Path("output"),
    paper: PaperName = "A4",
    issued: Annotated[str | None, typer.Option("--date", metavar="YYYY-MM-DD", help="date on the documents")] = None,
    sleeves: Sleeves = False,
    order: Annotated[bool, typer.Option("--order", help="also a pack for the cutting service, and SVG flats")] = False,
    patterns: Annotated[bool, typer.Option("--patterns", help="also true-size paper patterns of the flats")] = False,
    floor: Floor = False,
    one_file: OneFile = False,
    effort: HowHard = None,
    labels: Labels = False,
    label_sheet: LabelSheet = None,
    first_label: FirstLabel = 1,
    nothing_cut: Annotated[
        bool,
        typer.Option(
            "--nothing-cut", help="nothing was cut by the papers made so far: the list of changes begins afresh"
        ),
    ] = False,
    quiet: Quiet = False,
) -> None:
    """Make all papers and patterns of a job."""
    sheet, day, settings = paper_named(paper), date_given(issued), user_settings()
    hard, figures = effort_named(effort), figures_given(tries)
    if figures and nothing_cut:
        fail("--nothing-cut: goes without --set, which keeps no record\n    accepted: one of the two", BAD_INPUT)
    label_options = labels_wanted(settings, sheet, label_sheet, first_label) if labels or label_sheet else None
    from fabgen.app.issued_papers import kept_record
    from fabgen.app.progress import progress_shown
    from fabgen.app.trying import trial_folder
    from fabgen.documents.folder import settle, write_folder
    from fabgen.plan.effort import part_of

    target = out / (trial_folder(job.stem, figures) if figures else job.stem)
    written(lambda: settle(target))
    kept_issue = written(lambda: kept_record(target))
    with progress_shown() as progress:
        work = worked(job, rack, hard, part_of(progress, 0.0, _WORKED), figures)
        tried = trial_of(work, rack)
        from dataclasses import replace

        from fabgen.changes.issuing import issuing
        from fabgen.changes.record import NAME
        from fabgen.documents.everything import MakeOptions, job_files, pages_ahead, with_date
        from fabgen.documents.lists.changes_list import changes_lines
        from fabgen.documents.render.words import counted, figure
        from fabgen.parts.piece import made_here

        correction = settings.correction(sheet)
        shown = None if tried is None else tried.trial
        options = MakeOptions(sheet, correction, sleeves, order, patterns, label_options, floor, one_file, trial=shown)
        header = with_date(work.job.definitions.job, day)
        header = header if shown is None else shown.heads(header)
        issue = None if shown is not None else issuing(header, work.pieces, kept_issue, nothing_cut)
        ahead = list(pages_ahead(header, work.pieces, work.survey, options))
    for line in ahead:
        say(line, quiet)
    with progress_shown() as progress:
        drawing = replace(options, progress=part_of(progress, _WORKED, 1.0))
        files = written(
            lambda: job_files(
                *(header, work.pieces, work.plan, work.findings, drawing),
                *(work.movement, work.survey, issue, work.contacts),
            )
        )
    kept = written(lambda: write_folder(target, files, aside=[NAME] if issue and issue.unused else []))
    show_findings(work.findings, "in cut-list.pdf", quiet)

    def count(folder: str, name_of_one: str, suffix: str = ".dxf") -> str:
        return counted(sum(name.startswith(f"{folder}/") and name.endswith(suffix) for name in files), name_of_one)

    own = made_here(work.pieces)
    made = counted(sum(piece.quantity for piece in own), "piece")
    others = len(work.pieces) - len(own)
    besides = f", {others} more bought or there already" if others else ""
    say(f"{counted(len(own), 'mark')}, {made}{besides} -> {target}", quiet)
    say("  " + ", ".join(name for name in files if "/" not in name), quiet)
    lines = [f"flat/ {count('flat', 'pattern')}, wrap/ {count('wrap', 'outline')} of tube ends and holes"]
    if order:
        lines.append(f"order/ {count('order', 'pack', '.zip')} for the cutting service, one a material and thickness")
    if header.kerf_offset:
        kerf = figure(header.kerf_offset, 2)
        lines.append(f"own-cut/ {count('own-cut', 'pattern')} with a kerf of {kerf} mm allowed for")
    if any(name.startswith("sheets/") for name in files):
        lines.append(f"sheets/ {count('sheets', 'nest')} for those who cut their own")
    if one_file:
        from fabgen.documents.one_file import NAME as ONE_FILE
        from fabgen.documents.one_file import pages_of

        lines.append(f"{ONE_FILE} {counted(pages_of(files[ONE_FILE]), 'page')}, {sheet.name}, in the order of the work")
    for line in lines:
        say(f"  {line}", quiet)
    if issue is not None and issue.unused:
        say(f"{target / NAME} {issue.unused}")
    for name in kept:
        say(f"  kept: {name}" if name.endswith(NAME) else f"  not made by this program, so kept: {name}")
    for line in changes_lines(issue, header.units, MOST_CHANGES) if issue is not None else ():
        say(line, quiet)
    show_trial(tried, header.units, quiet)
    if tried is not None:
        say(f"a trial, in a folder of its own: the papers in {out / job.stem} and their record stay as they are", quiet)
    finish(work.findings)
