"""Ends of round tubes that are squeezed flat and drilled: light stays.

Flat it is two walls thick and as wide as half the round's middle line and one wall: pi (D - t) / 2 + t, as its girth
along the middle of the wall stays.  Its length stays too (common practice, no source).
"""

from __future__ import annotations

import math

from fabgen.job.errors import InputError
from fabgen.job.tables.tube_hole_tables import CrushGiven
from fabgen.parts.piece import At, Fact, FlattenedEnd, LengthPart, fact
from fabgen.shop.section import Section
from fabgen.wording.sentence import lengths, mm, sentence

TRANSITION = 1.0
"""From the flat to where a tube is round again, in diameters (common practice, no source)."""


def flat_width(section: Section) -> float:
    """Width of a round tube's end once it is squeezed flat, mm."""
    return math.pi * (section.width - section.wall) / 2.0 + section.wall


def crushed_end(part: LengthPart, at: At, given: CrushGiven) -> FlattenedEnd:
    """The flat of one end.

    Raises:
        InputError: the key below the table says where.
    """
    section = part.section
    end = part.ends[0 if at == "start" else 1]
    if not section.is_round or section.is_solid:
        raise InputError("only a round tube is crushed flat", "a round hollow section")
    if end.cut != "plain" or part.is_ring:
        raise InputError("this end is not sawn square and free", 'a free end, or cut = "plain"')
    width, where = flat_width(section), given.length / 2.0 if given.hole_at is None else given.hole_at
    if given.hole and (where >= given.length or given.hole >= width):
        what = sentence("a hole of ", mm(given.hole, 2), " is not in a flat of ", lengths((width, given.length)))
        raise InputError(what, "a smaller hole, nearer to the end", key=("hole",))
    transition = TRANSITION * section.width
    if given.length + transition >= part.length:
        raise InputError("the flat leaves nothing round of this tube", "a shorter flat", key=("length",))
    return FlattenedEnd(given.length, 2.0 * section.wall, width, given.hole, where, given.turn, transition)


def crush_fact(at: At, form: FlattenedEnd) -> Fact:
    """What to print of it."""
    hole = sentence(", hole Ø ", mm(form.hole, 2), ", its middle ", mm(form.at), " from the end") if form.hole else ""
    return fact(
        "crushed", f"crushed, {at}", "flat over ", mm(form.length), ", ", mm(form.thickness, 2), " thick, about ",
        mm(form.width), " wide", hole, "; round again after ", mm(form.taken),
        "; nothing is added to the saw length",
    )  # fmt: skip
