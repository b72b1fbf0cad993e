"""What a job file says of marks etched on sheet parts: text, its place, and where tubes stand."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field, StrictBool, ValidationInfo

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.tables.fields import Angle, Context, Pair, ShortText, Text
from fabgen.job.tables.table import Table, optional
from fabgen.job.values.section_text import SECTION_ADVICE, parse_section
from fabgen.job.values.written_forms import TEXT, angle_form, read_by
from fabgen.shop.section import Section

FLAT = "flat"
"""What an edge sits on that is no tube."""


def _tube(value: object, info: ValidationInfo) -> Section | str:
    """A section, or the mark of a tube of the job."""
    if isinstance(value, Section):
        return value
    context = Context.of(info)
    accepted = f"{SECTION_ADVICE}; or the mark of a tube of this job"
    if not isinstance(value, str):
        raise InputError(f"cannot read {shown(value)} as a tube", accepted)
    text = value.strip()
    if text in context.marks:
        return text
    try:
        return parse_section(text, context.units, context.dimensions)
    except InputError as fault:
        near = nearest(text, sorted(context.marks)) if text[:1].isalpha() else fault.nearest
        raise InputError(f"{shown(value)} is neither a section nor the mark of a part", accepted, near) from None


def _whole_tube(value: object, info: ValidationInfo) -> Section | str:
    """A section, or the mark of a tube of the job, which may be cut in pieces: all have its section."""
    is_cut_up = isinstance(value, str) and value.strip() in Context.of(info).cut_up
    return value.strip() if isinstance(value, str) and is_cut_up else _tube(value, info)


def _seat(value: object, info: ValidationInfo) -> Section | str:
    if isinstance(value, str) and value.strip() == FLAT:
        return FLAT
    try:
        return _whole_tube(value, info)
    except InputError as fault:
        raise InputError(fault.said, f'"{FLAT}", or {fault.accepted}', fault.nearest) from None


TubeRef = Annotated[Section | str, read_by(_tube, TEXT)]
WholeTubeRef = Annotated[Section | str, read_by(_whole_tube, TEXT)]
SeatRef = Annotated[Section | str, read_by(_seat, TEXT)]


def _lean(value: object, info: ValidationInfo) -> float:
    angle = Context.of(info).angle(value)
    if not 10.0 <= math.degrees(angle) <= 90.0 and angle != 0.0:
        what = f"{shown(value)} comes to {math.degrees(angle):g} degrees, out of range"
        raise InputError(what, "90 (the tube stands square on the sheet), down to 10, or 0 (it lies along the sheet)")
    return angle


class TubeOn(Table):
    """A tube that is welded on: its outline on the sheet is etched, with a cross at its axis."""

    tube: WholeTubeRef = Field(description="its section, or the mark of a tube of the job")
    at: Pair = Field(
        description="[x, y] where its axis comes through the sheet, in the part's or the face's own coordinates"
    )
    lean: Annotated[float, read_by(_lean, angle_form(0.0, 90.0))] = optional(
        "between its axis and the sheet: 90 = it stands square, 0 = it lies along it; left out = 90", math.pi / 2.0
    )
    turn: Angle = optional("direction on the sheet that it leans or lies toward", 0.0)
    roll: Angle = optional("turns a rectangular section about its axis", 0.0)
    ends: StrictBool = optional("true, of a tube that lies along the sheet: it ends at `at`", False)
    face: ShortText | None = optional("of a folded part: the face it stands on")


class Etched(Table):
    """Parts with marks etched on."""

    mark_text: Text | None = optional("etched on the part; left out = the mark; '' = nothing")
    mark_at: Pair | None = optional(
        "[x, y] of its lower left corner, from the lower left corner of the flat; left out = where there is room"
    )
    tubes: list[TubeOn] = optional("tubes that stand on the part, to be etched", [])
