"""Checks of what was measured: readings that do not agree, points hardly held, links known worse than they adjust."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.checks.survey.frame_shape import AS_DRAWN, shape_words
from fabgen.geometry.survey.trilateration import LIMIT
from fabgen.job.points.as_built import Built
from fabgen.job.points.reading_misfit import STOP
from fabgen.parts.piece import LinkPart
from fabgen.parts.survey.following import Change, change_fact
from fabgen.parts.survey.measured import UNHELD, length_tolerances
from fabgen.parts.survey.unchecked import there_already, unchecked
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, mm, number, sentence

SNOOPING = "W. Baarda, A Testing Procedure for Use in Geodetic Networks, 1968: 1 in 1000, from memory"
BEYOND = "W. Baarda, 1968, normalised residuals, from memory; beyond 5 by chance once in a million (normal curve)"
FRAME = "frame as built"
MOST = 8
"""Points whose further reading is named in one finding."""


def _remarks(job: Checked, name: str) -> Iterator[Found]:
    """What measuring each point gave to remark, under a rule's name."""
    for point, given in job.job.points.items():
        for remark in given.record.remarks if given.record else ():
            if remark.rule == name:
                yield found(remark.text, level=remark.level, about=point)


@rule("poorly-held", Level.WARN, source=FROM_JOB)
def poorly_held(job: Checked) -> Iterator[Found]:
    """A point's readings hold it in every direction."""
    return _remarks(job, "poorly-held")


@rule("unchecked-point", Level.NOTE, source=FROM_JOB)
def unchecked_point(job: Checked) -> Iterator[Found]:
    """A point by the tape has a reading to spare, and its side of what it was taped from shows in a reading."""
    alone = unchecked(job.job.points, there_already(job.job))
    for few, what in (
        (True, ("hangs on three readings: nothing checks them", "hang on three readings each: nothing checks them")),
        (False, ("only `side` says on which side it lies", "only `side` says on which side each lies")),
    ):
        points = [point for point in alone if point.few is few]
        if points:
            names = tuple(point.name for point in points)
            more = joined("; ", [point.more for point in points[:MOST]])
            rest = f"; and {len(points) - MOST} more" if len(points) > MOST else ""
            yield replace(found(what[len(points) > 1], ". Take one more: ", more, rest), marks=names)


@rule("fitted", Level.NOTE, source=FROM_JOB)
def fitted(job: Checked) -> Iterator[Found]:
    """How far a plane or axis that fits best leaves its points off."""
    return _remarks(job, "fitted")


@rule("reading-misfit", Level.WARN, Level.STOP, source=SNOOPING)
def reading_misfit(job: Checked) -> Iterator[Found]:
    """The readings of a point, and those of the frame as built, agree with one another."""
    for each in _remarks(job, "reading-misfit"):
        yield replace(each, source=BEYOND if each.level is Level.STOP else SNOOPING)
    if job.built is None:
        return
    worst = _worst(job.built)
    if worst is not None:
        out, words = worst
        likeliest = sentence("likeliest wrong is ", words, ": measure it again")
        if out > STOP:
            first = sentence(", before anything is cut to it; it is out by ", number(out), " times chance")
            yield found(likeliest, first, level=Level.STOP, about=FRAME, source=BEYOND)
        else:
            yield found(likeliest, about=FRAME)


@rule("link-uncertain", Level.WARN, source="95 in 100, from the readings' error")
def link_uncertain(job: Checked) -> Iterator[Found]:
    """A link adjusts by more than its length is uncertain."""
    known = length_tolerances(job.job, job.pieces)
    for piece in job.pieces:
        part = piece.shape
        if isinstance(part, LinkPart) and known.get(piece.mark, 0.0) > part.each_way:
            tolerance = known[piece.mark]
            to = ("measured to ± ", mm(tolerance)) if tolerance <= UNHELD else ("not held by its readings",)
            measured = sentence("pin to pin is ", *to, ", but it adjusts by ")
            better = " each way: measure its points better, or saw it when they are tacked"
            yield found(measured, mm(part.each_way), better, about=piece.mark)


@rule("frame-shape", Level.WARN, Level.NOTE, source=FROM_JOB)
def frame_shape(job: Checked) -> Iterator[Found]:
    """How the tacked frame is out: what is as drawn, and how it stands, is a note; a shape that is out needs a look."""
    for i, text in enumerate(shape_words(job.built) if job.built is not None else ()):
        as_drawn = text.words().startswith(AS_DRAWN)
        yield found(text, level=Level.NOTE if i or as_drawn else Level.WARN, about=FRAME)


@rule("follows-frame", Level.NOTE, source=FROM_JOB)
def follows_frame(job: Checked) -> Iterator[Found]:
    """Changes calculated for the frame as built."""
    for change in job.changed if job.built is not None else ():
        if change.is_any and not change.made:
            follows = change_fact(change)
            yield found(f"{follows.label}: ", follows.text, about=change.mark)


@rule("hangs-on-unread", Level.WARN, source=FROM_JOB)
def hangs_on_unread(job: Checked) -> Iterator[Found]:
    """A new length for the frame as built rests on readings at both of its ends, and between them."""
    if job.built is None:
        return
    hanging = [
        change for change in job.changed if change.unread and not change.made and abs(change.longer) >= job.built.error
    ]
    if hanging:
        by = named([_longer(change) for change in hanging], most=MOST)
        unread = ", ".join(dict.fromkeys(name for change in hanging for name in change.unread))
        text = found("new length (", by, f"), but nothing was read of {unread}: measure that before sawing")
        yield replace(text, marks=tuple(change.mark for change in hanging))


def _longer(change: Change) -> Sentence:
    return sentence(f"{change.mark} ", mm(abs(change.longer)), " longer" if change.longer > 0.0 else " shorter")


@rule("made-already", Level.NOTE, source=FROM_JOB)
def made_already(job: Checked) -> Iterator[Found]:
    """Parts that are made already, which no paper to cut by has."""
    made = tuple(piece.mark for piece in job.pieces if piece.state == "made")
    if job.built is not None and made:
        because = "as [as_built] says"
        if job.built.given.made is None:
            because = "as all their points were measured; if not, give `made` in [as_built]"
        yield replace(found(f"made already, {because}: left out of the papers to cut by"), marks=made)


RULES = (
    *(poorly_held, unchecked_point, fitted, link_uncertain, frame_shape, reading_misfit),
    *(hangs_on_unread, follows_frame, made_already),
)


def _worst(built: Built) -> tuple[float, Sentence] | None:
    """The reading of the frame that the others contradict most: by how many times chance, and in words."""
    sigma = built.error / 1.96
    worst: tuple[float, Sentence] | None = None
    for reading, checked in zip(built.readings, built.frame.checked, strict=True):
        if checked > 0.05:
            out = abs(reading.made - reading.read) / (sigma * checked**0.5)
            if out > LIMIT and (worst is None or out > worst[0]):
                likely = reading.read + (reading.made - reading.read) / float(checked)
                read = sentence(f"{reading.words}, read ", mm(reading.read), ", where the others say ", mm(likely))
                worst = out, read
    return worst
