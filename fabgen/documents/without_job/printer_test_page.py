"""The printer test page, and the correction that its two measured lines give."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.documents.render.correction import GREATEST, LEAST, Correction
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.pdf import Page, fitted, wrapped
from fabgen.documents.render.picture import Item, Picture, Text, line
from fabgen.geometry.plane.outline import Xy
from fabgen.job.errors import InputError
from fabgen.job.values.option_values import length_option
from fabgen.shop.tables import data
from fabgen.wording.inches import INCH

_STEP = 20.0
_EDGES = 12.0
"""Bare edges of most printers, both added, mm; the lines fit between even where a
printer makes them too long by all that can be corrected."""
_TICK = 4.0
_CROSSING = 14.0
"""From either line's first end to where the other crosses it, mm: no end mark lies on the other line."""
_SIZE = 4.0
"""Of the words on the page, mm."""
_LARGE = 0.01
"""An error beyond this is unusual: most printers are within a few parts in a thousand (common practice, no source)."""


def line_lengths(paper: Paper) -> tuple[float, float]:
    """The two lines' lengths, mm: along the short side of the paper and along the long one."""
    upright = paper.upright
    across, down = (_STEP * ((size - _EDGES) * LEAST // _STEP) for size in (upright.width, upright.height))
    return across, down


def printer_page(paper: Paper) -> list[Page]:
    """One upright page with the two lines and what to do with them.  It is printed uncorrected."""
    sheet = paper.upright
    across, down = line_lengths(sheet)
    left, low = (sheet.width - across) / 2.0, (sheet.height - down) / 2.0
    x, y = left + _CROSSING, low + _CROSSING
    items: list[Item] = [
        *_measured_line((left, y), across, upright=False),
        *_measured_line((x, low), down, upright=True),
        Text(left + across - 4.0, y + 3.0, f"across: {_both(across)}", 4.2, "end", bold=True),
        Text(x + 6.2, low + down - 4.0, f"down: {_both(down)}", 4.2, "end", turn=90.0, bold=True),
        *_words(sheet, (x + 16.0, left + across), low + down),
    ]
    return [Page(sheet.width, sheet.height, Picture.of(items))]


def measured_correction(paper: Paper, across: str, down: str) -> Correction:
    """The correction from the two lengths as measured, e.g. "179.4" or "7 1/16 in".

    Raises ValueError that names the option where a length cannot be read or can't be true.
    """
    factors = []
    for option, text, drawn in zip(("across", "down"), (across, down), line_lengths(paper), strict=True):
        length = length_option(option, text)
        if not drawn / GREATEST <= length <= drawn / LEAST:
            raise InputError(
                f"--{option}: {text!r} is too far from the {drawn:g} mm of the {paper.name} test page",
                f"{drawn / GREATEST:.1f} to {drawn / LEAST:.1f} mm; if that is what the rule shows, the page was "
                "printed fitted to the paper (print at actual size) or on other paper (--paper)",
            )
        # To a millionth, as it is stored: the pages of this run and the next are the same.
        factors.append(round(drawn / length, 6))
    return Correction(*factors)


def correction_words(paper: Paper, correction: Correction) -> Iterator[str]:
    """What a correction does, for the command to print."""
    yield (
        f"{paper.name}: lengths are multiplied by {correction.x:.4f} across and {correction.y:.4f} down "
        "in true-size pages"
    )
    if max(abs(correction.x - 1.0), abs(correction.y - 1.0)) > _LARGE:
        yield "look: more than 1 % is much for a printer; see that nothing fits the page to the paper"


# -- the drawing -------------------------------------------------------------------
def _measured_line(start: Xy, length: float, upright: bool) -> Iterator[Item]:
    """A fine line with an end mark across either end; measured between the marks."""

    def at(along: float, aside: float) -> Xy:
        dx, dy = (aside, along) if upright else (along, aside)
        return (start[0] + dx, start[1] + dy)

    yield line(at(0.0, 0.0), at(length, 0.0), "thin")
    for along in (0.0, length):
        yield line(at(along, -_TICK), at(along, _TICK), "thin")


def _both(length: float) -> str:
    return f"{length:g} mm ({length / INCH:.3f} in)"


def _words(sheet: Paper, between: tuple[float, float], top: float) -> Iterator[Item]:
    """The heading and the steps between two x, from `top` downward."""
    left, right = between
    y = top - 6.0
    yield Text(left, y, f"Printer test page, {sheet.name}", 7.0, bold=True)
    y -= 6.0
    for number, indent, text in _steps(sheet):
        y -= 2.2
        if number:
            yield Text(left, y - 5.4, number, _SIZE, bold=True)
        # A command is never divided.
        for words in [text] if text.startswith("fabgen ") else wrapped(text, right - left - indent, _SIZE):
            y -= 5.4
            shown, size = fitted(words, right - left - indent, _SIZE)
            yield Text(left + indent, y, shown, size)


def _steps(sheet: Paper) -> Iterator[tuple[str, float, str]]:
    """(number or nothing, indent in mm, text)."""
    across, down = line_lengths(sheet)
    command = f"fabgen printer --paper {sheet.name}"
    for number, indent, text in data("prose", "fabgen.documents.render")["printer_page"]["steps"]:
        yield number, indent, text.format(command=command, across=across - 0.6, down=down - 0.9)
