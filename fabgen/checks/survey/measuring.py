"""Checks of what was measured: readings that do not agree, points hardly held, links known worse than they adjust."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.finding import Finding
from fabgen.checks.survey.frame_shape import shape_words
from fabgen.geometry.survey.trilateration import LIMIT
from fabgen.job.points.as_built import Built
from fabgen.job.points.reading_misfit import STOP
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import LinkPart, Piece
from fabgen.parts.survey.measured import Change, change_fact, length_tolerances
from fabgen.wording.figures import figure, mm
from fabgen.wording.levels import Level

SNOOPING = "W. Baarda, A Testing Procedure for Use in Geodetic Networks, 1968: 1 in 1000, from memory"
BEYOND = "W. Baarda, 1968, normalised residuals, from memory; beyond 5 by chance once in a million (normal curve)"
PRACTICE = "common practice, no source"
FRAME = "frame as built"


def check_measuring(job: Definitions, pieces: Sequence[Piece]) -> list[Finding]:
    """Every finding on the job's measured points and the lengths between them."""
    return [*check_points(job), *check_lengths(job, pieces)]


def check_points(job: Definitions) -> Iterator[Finding]:
    """The readings of each point agree, and hold it."""
    for name, point in job.points.items():
        for remark in point.record.remarks if point.record else ():
            source = (BEYOND if remark.level is Level.STOP else SNOOPING) if remark.rule == "reading-misfit" else ""
            yield Finding(remark.level, (name,), remark.rule, remark.text, source)


def check_lengths(job: Definitions, pieces: Sequence[Piece]) -> Iterator[Finding]:
    """A link adjusts by more than its length is uncertain."""
    known = length_tolerances(job, pieces)
    for piece in pieces:
        part = piece.shape
        if isinstance(part, LinkPart) and known.get(piece.mark, 0.0) > part.each_way:
            text = (
                f"pin to pin is measured to ± {mm(known[piece.mark])}, but it adjusts by "
                f"{mm(part.each_way)} each way: measure its points better, or saw it when they are tacked"
            )
            yield Finding(Level.WARN, (piece.mark,), "link-uncertain", text, "95 in 100, from the readings' error")


def check_frame(built: Built | None, changed: Sequence[Change]) -> Iterator[Finding]:
    """How the tacked frame is out, and what was worked out anew for it."""
    if built is None:
        return
    for i, text in enumerate(shape_words(built)):
        # What is as drawn, and how it stands, is a note; a shape that is out wants a look.
        level = Level.NOTE if i or text.startswith("same shape as drawn:") else Level.WARN
        yield Finding(level, (FRAME,), "frame-shape", text)
    yield from _misfits(built)
    for change in changed:
        if change.is_any and not change.made:
            follows = change_fact(change)
            text = f"{follows.label}: {follows.text.words()}"
            yield Finding(Level.NOTE, (change.mark,), "follows-frame", text)


def _misfits(built: Built) -> Iterator[Finding]:
    """Readings of the frame that the others contradict."""
    sigma = built.error / 1.96
    worst: tuple[float, str] | None = None
    for reading, checked in zip(built.readings, built.frame.checked, strict=True):
        if checked > 0.05:
            out = abs(reading.made - reading.read) / (sigma * checked**0.5)
            if out > LIMIT and (worst is None or out > worst[0]):
                likely = reading.read + (reading.made - reading.read) / float(checked)
                text = f"{reading.words}, read {mm(reading.read)}, where the others say {mm(likely)}"
                worst = out, text
    if worst is not None:
        out, words = worst
        text = f"likeliest wrong is {words}: measure it again"
        if out > STOP:
            text += f", before anything is cut to it; it is out by {figure(out, 1)} times chance"
            yield Finding(Level.STOP, (FRAME,), "reading-misfit", text, BEYOND)
        else:
            yield Finding(Level.WARN, (FRAME,), "reading-misfit", text, SNOOPING)
