"""Checks of ends that are cut straight up to a tube, or coped round its corners."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import WIDEST_ROOT, LengthPart, WorkedEnd
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

WRITTEN_OUT = 8
"""Of so many ends a note has the lines; of more the key, as one who means it writes a line or two."""

_CLOSED = 0.05
"""What is open by less is closed, mm."""

_FILLED = 0.5
"""What is open by less beside a corner, any weld fills, mm (common practice, no source)."""


@rule("open-at-corners", Level.NOTE, source=PRACTICE)
def open_at_corners(job: Checked) -> Iterator[Found]:
    """An end as wide as the rectangular tube it sits on is sawn straight to the face: a note of how far it is open
    beside the rounded corners, from 0.5 mm, as a cope round them may be meant."""
    wide = [
        (mark, end)
        for mark, part in job.own_tubes.items()
        for end in part.ends
        if end.is_sawn_to_face and end.left_open >= _FILLED and _beside_corner(end, job.tubes)
    ]
    if wide:
        outside, root = (max(figures) for figures in zip(*((e.left_open, e.root_open) for _, e in wide), strict=True))
        how = "1 end as wide as the tube it sits on is"
        if len(wide) > 1:
            how = f"{len(wide)} ends as wide as the tubes they sit on are"
        yield found(
            f"{how} sawn straight to the face, open up to ", mm(outside), " outside and ", mm(root, 2),
            " at the wall's inner edge beside the rounded corners: fill that with weld, or `cut = \"cope\"` at the end "
            "copes it round them, by template",
            about=[mark for mark, _ in wide],
        )  # fmt: skip


@rule("coped-round-corner", Level.NOTE, source=PRACTICE)
def coped_round_corner(job: Checked) -> Iterator[Found]:
    """An end that runs so far onto the rounded corners of a rectangular tube that a straight cut would leave its root
    open by over 2 mm is coped round them: a note, as that may be meant."""
    every = [(mark, end) for mark, part in job.own_tubes.items() for end in part.ends]
    wide = [(mark, end) for mark, end in every if _runs_onto_corner(end, job.tubes)]
    if wide:
        most = max(end.left_open for _, end in wide)
        one = len(wide) == 1
        straight = sentence(" straight to the face, open up to ", mm(most), " outside at the corners")
        lines = sentence('`cut = "plain"` at an end saws it', straight)
        if len(wide) <= WRITTEN_OUT:
            ends = (Wanted(mark, end.at, {"cut": "plain"}) for mark, end in wide)
            lines = job.written.lines(ends, sentence(" saws it" if one else " saws them", straight))
        how = "one end is wider than the flat it sits" if one else f"{len(wide)} ends are wider than the flats they sit"
        coped = f"{how} on, so coped round the corners beside it, by template; "
        yield found(coped, lines, about=[mark for mark, _ in wide])


def _runs_onto_corner(end: WorkedEnd, tubes: Mapping[str, LengthPart]) -> bool:
    """Whether an end is coped round the corners at the sides of a face, not round an edge of the tube."""
    open_there = end.cut == "cope" and not end.is_sawn_to_face and end.left_open >= _CLOSED and len(end.joints) == 1
    return open_there and _beside_corner(end, tubes)


def _beside_corner(end: WorkedEnd, tubes: Mapping[str, LengthPart]) -> bool:
    """Whether a straight cut leaves it open beside a rounded corner only, which is no deeper than its radius."""
    main = tubes.get(end.joints[0].onto)
    return main is not None and not main.section.is_round and end.left_open <= main.section.corner + end.gap + _CLOSED


@rule("sawn-on-round", Level.WARN, source=PRACTICE)
def sawn_on_round(job: Checked) -> Iterator[Found]:
    """An end that the job gives as plain, sawn straight up to a tube, is not open by more than 2 mm beside a round
    one."""
    sawn = [
        (mark, end)
        for mark, part in job.own_tubes.items()
        for end in part.ends
        if end.is_sawn_to_face and end.left_open > WIDEST_ROOT
        and (main := job.tubes.get(end.joints[0].onto)) is not None and main.section.is_round
    ]  # fmt: skip
    if len(sawn) == 1:
        ((_, end),) = sawn
        what = sentence(f"its {end.at}, sawn straight, stands ", _open_by(end, "at the sides of "), ": ")
    else:
        cases = [sentence(f"{mark} {end.at} ", _open_by(end, "on ")) for mark, end in sawn]
        what = sentence(
            f"{len(sawn)} ends, sawn straight, stand open at the sides of round tubes (", named(cases), "): "
        )
    if sawn:
        copes = " copes it" if len(sawn) == 1 else " copes them"
        lines = job.written.lines((Wanted(mark, end.at, {"cut": None}) for mark, end in sawn), copes)
        yield found(what, lines, about=[mark for mark, _ in sawn])


def _open_by(end: WorkedEnd, where: str) -> Sentence:
    if not math.isfinite(end.left_open):
        return sentence(f"partly past {end.joints[0].onto}")
    return sentence("open ", mm(end.left_open), f" {where}{end.joints[0].onto}")


RULES = (sawn_on_round,)
