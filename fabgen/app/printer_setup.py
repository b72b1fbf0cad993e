"""What `fabgen printer` does: the test page as a file, and the settings it changes."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.app.settings import Settings
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import render
from fabgen.documents.without_job.printer_test_page import (
    correction_words,
    line_lengths,
    measured_correction,
    printer_page,
)
from fabgen.wording.input_error import InputError

FOLDER = "printer-test"
"""The folder in --out that the test page goes to."""


def page_files(paper: Paper) -> dict[str, bytes]:
    """The test page, by file name."""
    return {f"{FOLDER}-{paper.name}.pdf": render(printer_page(paper), f"Printer test page, {paper.name}")}


def changed_settings(
    settings: Settings, paper: Paper, across: str | None, down: str | None, forget: bool
) -> Settings | None:
    """The settings with what the options say; None where they ask for the test page only.

    Args:
        settings: of now.
        paper: the correction is of.
        across: the line across the page as measured, with or without a unit.
        down: the line down the page, likewise.
        forget: whether the correction is dropped.
    Raises:
        InputError: an option is not valid; it is named.
    """
    if forget:
        if across or down:
            raise InputError(
                "--forget: cannot be given with measured lengths", "--forget alone, or --across and --down"
            )
        return settings.with_correction(paper, None)
    if across is None and down is None:
        return None
    if across is None or down is None:
        missing = "across" if across is None else "down"
        raise InputError(f"--{missing}: is not given", "both lengths as measured, --across and --down")
    return settings.with_correction(paper, measured_correction(paper, across, down))


def change_report(before: Settings, after: Settings, paper: Paper) -> Iterator[str]:
    """What the command prints once the settings are changed."""
    if paper.name in after.printer:
        yield from correction_words(paper, after.correction(paper))
    elif paper.name in before.printer:
        yield f"{paper.name}: the correction is removed; true-size pages are printed as they are"
    else:
        yield f"{paper.name}: there was no correction"


def page_report(settings: Settings, paper: Paper) -> Iterator[str]:
    """What the command prints with the test page."""
    across, down = line_lengths(paper)
    yield (
        f"print it at actual size, measure the two lines ({across:g} and {down:g} mm), then: "
        f"fabgen printer --paper {paper.name} --across … --down …"
    )
    if paper.name in settings.printer:
        yield from correction_words(paper, settings.correction(paper))
