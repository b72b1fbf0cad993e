"""What the values of a job file may be: pydantic field types that read units, formulas and names.

Each type turns what the file says into the value the models hold: lengths to mm, angles to
rad, point names to points.  They take units, dimensions, points and materials from the
validation context, a `Context`; without one, bare lengths are mm and nothing is named.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, Field, PlainValidator, ValidationError, ValidationInfo
from pydantic_core import InitErrorDetails

from fabgen.job.errors import InputError, nearest, shown
from fabgen.job.text.file_names import RESERVED, is_reserved
from fabgen.job.text.likely_line import likely_date
from fabgen.job.values.formulas import Names
from fabgen.job.values.point import Point, PointReading, Points
from fabgen.job.values.profile_text import PROFILE_ADVICE, parse_profile, parse_stock
from fabgen.job.values.quantity import Quantity
from fabgen.job.values.section_text import SECTION_ADVICE, parse_section
from fabgen.job.values.units import number, parse_angle, parse_force, parse_length
from fabgen.job.values.written_forms import (
    LENGTH,
    NAMED,
    PLUS_LENGTH,
    POINT,
    TEXT,
    ZERO_LENGTH,
    angle_form,
    any_of,
    from_to,
    read_by,
    text_of,
    word_of,
)
from fabgen.shop import materials
from fabgen.shop.profiles.profile_section import ProfileSection, StockSection
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

LONGEST_TEXT = 200
LONGEST_SHORT = 40
MARK_ADVICE = "a letter or digit, then letters, digits, . _ or -, at most 24 in all"


@dataclass(frozen=True)
class Context:
    """What the values of one job are read with.  `materials`: the job's own, by compared name;
    `marks`: those of its parts; `cut_up`: those of tubes that were cut in pieces, which have the parts' marks."""

    units: str = "mm"
    dimensions: Names = field(default_factory=dict)
    points: Points = field(default_factory=dict)
    materials: Mapping[str, str] = field(default_factory=dict)
    marks: frozenset[str] = frozenset()
    cut_up: frozenset[str] = frozenset()

    @staticmethod
    def of(info: ValidationInfo) -> Context:
        return info.context if isinstance(info.context, Context) else Context()

    def length(self, written: object) -> float:
        """A length in mm.  Raises InputError."""
        return parse_length(written, self.units, self.dimensions)

    def plus_length(self, written: object) -> float:
        """A length above zero, mm.  Raises InputError."""
        length = self.length(written)
        if length <= 0.0:
            raise InputError(
                sentence(f"{shown(written)} comes to ", mm(length, 3), ", which is not above zero"),
                "a length above zero",
            )
        return length

    def angle(self, written: object) -> float:
        """An angle in rad.  Raises InputError."""
        return parse_angle(written, self.dimensions)

    def section(self, written: object) -> Section:
        """The section of a tube, read already or as it is written.  Raises InputError."""
        return written if isinstance(written, Section) else parse_section(str(written), self.units, self.dimensions)

    @property
    def point_reading(self) -> PointReading:
        return PointReading(self.units, self.dimensions, self.points)


def raise_all(title: str, value: object, faults: list[InputError]) -> None:
    """Raise all faults found in `value` as one ValidationError; nothing when there is none."""
    if faults:
        lines: list[InitErrorDetails] = [
            {"type": "value_error", "loc": (), "input": value, "ctx": {"error": fault}} for fault in faults
        ]
        raise ValidationError.from_exception_data(title, lines)


# -- lengths and angles -------------------------------------------------------
def _length(value: object, info: ValidationInfo) -> float:
    return Context.of(info).length(value)


def _plus_length(value: object, info: ValidationInfo) -> float:
    return Context.of(info).plus_length(value)


def _zero_length(value: object, info: ValidationInfo) -> float:
    length = _length(value, info)
    if length < 0.0:
        raise InputError(
            sentence(f"{shown(value)} comes to ", mm(length, 3), ", which is below zero"), "a length of zero or more"
        )
    return length


def _shrinkage(value: object, info: ValidationInfo) -> float:
    length = _length(value, info)
    if not 0.0 <= length <= MOST_SHRINKAGE:
        what = sentence(f"{shown(value)} comes to ", mm(length, 3), ", which no weld of tubes draws in")
        raise InputError(what, sentence("a length from 0 to ", mm(MOST_SHRINKAGE, 3)))
    return length


MOST_SHRINKAGE = 5.0
"""One joint of tubes draws in by less, mm (from memory, check against your part)."""

Length = Annotated[float, read_by(_length, LENGTH)]
Shrinkage = Annotated[float, read_by(_shrinkage, ZERO_LENGTH)]
PlusLength = Annotated[float, read_by(_plus_length, PLUS_LENGTH)]
ZeroLength = Annotated[float, read_by(_zero_length, ZERO_LENGTH)]
Pair = Annotated[list[Length], Field(min_length=2, max_length=2)]
PlusPair = Annotated[list[PlusLength], Field(min_length=2, max_length=2)]


def angle_within(low: float, high: float, accepted: str) -> PlainValidator:
    """Validator of an angle from `low` to `high` degrees, rad."""

    def read(value: object, info: ValidationInfo) -> float:
        angle = Context.of(info).angle(value)
        if not low <= math.degrees(angle) <= high:
            raise InputError(f"{shown(value)} comes to {math.degrees(angle):g} degrees, out of range", accepted)
        return angle

    return read_by(read, angle_form(low, high))


Angle = Annotated[float, angle_within(-360.0, 360.0, "an angle from -360 to 360 degrees")]
Swing = Annotated[float, angle_within(0.1, 90.0, "an angle from 0.1 to 90 degrees")]
BendAngle = Annotated[float, angle_within(0.1, 179.0, "an angle from 0.1 to 179 degrees")]
Tilt = Annotated[float, angle_within(-75.0, 75.0, "an angle from -75 to 75 degrees")]
Force = Annotated[float, read_by(parse_force, TEXT)]
Arc = Annotated[float, angle_within(1.0, 360.0, "an angle from 1 to 360 degrees")]


# -- numbers ------------------------------------------------------------------
def whole_number(least: int, most: int) -> PlainValidator:
    """Validator of a whole number from `least` to `most`."""
    accepted = f"a whole number from {least} to {most}, without quotes"

    def read(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise InputError(f"cannot read {shown(value)} as a whole number", accepted)
        if not least <= value <= most:
            raise InputError(f"{shown(value)} is out of range", accepted)
        return value

    return read_by(read, from_to("integer", least, most))


def number_between(least: float, most: float, accepted: str) -> PlainValidator:
    """Validator of a bare number from `least` to `most`, such as a factor or a price."""

    def read(value: object) -> float:
        plain = number(value, accepted).value
        if not least <= plain <= most:
            raise InputError(f"{shown(value)} is out of range", accepted)
        return plain

    return read_by(read, from_to("number", least, most))


# -- texts and names ------------------------------------------------------------
def _plain_text(value: object, longest: int) -> str:
    """A text, or a whole number taken as one (number = 7), without anything unprintable."""
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**15:
        value = str(value)
    if not isinstance(value, str):
        raise InputError(f"cannot read {shown(value)} as text", 'text in quotes, e.g. "as welded"')
    if len(value) > longest:
        raise InputError(f"the text {shown(value)} has {len(value)} characters", f"at most {longest}")
    text = value.strip()
    if any(not c.isprintable() for c in text):
        raise InputError(f"the text {shown(value)} has characters that do not print", "one line of plain text")
    return text


def _text(value: object) -> str:
    return _plain_text(value, LONGEST_TEXT)


def _filled_text(value: object) -> str:
    text = _text(value)
    if not text:
        raise InputError("the text is empty", "text in quotes")
    return text


def _short_text(value: object) -> str:
    return _plain_text(value, LONGEST_SHORT)


def _mark(value: object) -> str:
    try:
        text = _plain_text(value, LONGEST_TEXT)
    except InputError as fault:
        raise InputError(fault.said, f'a mark in quotes, e.g. "T1": {MARK_ADVICE}') from None
    if is_reserved(text):
        raise InputError(f"{shown(value)} will not do as a mark: {RESERVED}", f"{MARK_ADVICE}, e.g. {text[:3]}-1")
    if not _MARK.fullmatch(text):
        near = re.sub(r"[^A-Za-z0-9._-]+", "-", text).strip("._-")[:24]
        raise InputError(f"{shown(value)} is not a valid mark", MARK_ADVICE, near)
    return text


_MARK = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,23}")


def _through(value: object, info: ValidationInfo) -> float | str:
    """A part's mark, or what a bolt passes through as a length; of a name that is both, the mark."""
    context = Context.of(info)
    if isinstance(value, str) and value.strip() in context.marks:
        return value.strip()
    accepted = "the mark of a part, or a length"
    try:
        length = context.length(value)
    except InputError:
        near = nearest(value, sorted(context.marks)) if isinstance(value, str) else ""
        raise InputError(f"{shown(value)} is neither a part's mark nor a length", accepted, near) from None
    if length <= 0.0:
        raise InputError(sentence(f"{shown(value)} comes to ", mm(length, 3), ", which is not above zero"), accepted)
    return length


class SpacerLength(float):
    """How long a spacer is that a bolt passes, mm, where the job calls it one: "spacer 20 mm"."""


SPACER = "spacer "


def spacer_in(written: object) -> str:
    """The length that a job gives a spacer in a bolt's stack, as it is written; '' of what is none.

    Args:
        written: a mark, a length, or "spacer " and a length.
    """
    text = written.strip() if isinstance(written, str) else ""
    return text[len(SPACER) :].strip() if text.lower().startswith(SPACER) else ""


def _passed(value: object, info: ValidationInfo) -> float | str:
    """What a bolt passes: a part's mark, a length, or a spacer with its length."""
    if spacer := spacer_in(value):
        try:
            length = _through(spacer, info)
        except InputError:
            length = spacer
        if isinstance(length, str):
            raise InputError(f"{shown(value)} is no spacer with a length", 'e.g. "spacer 20 mm"')
        return SpacerLength(length)
    try:
        return _through(value, info)
    except InputError as fault:
        raise InputError(fault.said, f'{fault.takes}; "spacer 20 mm" is a spacer to saw', fault.nearest) from None


def _part_mark(value: object, info: ValidationInfo) -> str:
    """The mark of a part that the job has."""
    context, text = Context.of(info), _mark(value)
    if text not in context.marks:
        near = nearest(text, sorted(context.marks))
        raise InputError(f"there is no part {shown(text)}", "the mark of a part of this job", near)
    return text


one_as_list = BeforeValidator(lambda value: [value] if isinstance(value, str | int | float) else value)
"""Validator before that of a list of names: a single name stands for a list of it."""

MARK = {**NAMED, "maxLength": LONGEST_TEXT, "pattern": rf"^\s*{_MARK.pattern}\s*$"}
"""The form of a mark."""
Text = Annotated[str, read_by(_text, text_of(LONGEST_TEXT))]
FilledText = Annotated[str, read_by(_filled_text, text_of(LONGEST_TEXT, 1))]
ShortText = Annotated[str, read_by(_short_text, text_of(LONGEST_SHORT))]
BOLT = {**text_of(LONGEST_SHORT), "title": "bolt"}
"""The form of a bolt's size, which is told from other texts by its title."""
BoltText = Annotated[str, read_by(_short_text, BOLT)]
MarkName = Annotated[str, read_by(_mark, MARK)]


def _known_material(value: object) -> str:
    text = _plain_text(value, LONGEST_TEXT)
    try:
        return materials.find(text).name
    except materials.UnknownMaterialError as error:
        accepted = f"{error.accepted}, or a [[material]] table of your own"
        raise InputError(f"there is no material {shown(text)}", accepted, error.nearest) from None


def _material(value: object, info: ValidationInfo) -> str:
    own = Context.of(info).materials
    text = _plain_text(value, LONGEST_TEXT)
    if (key := materials.key_of(text)) in own:
        return own[key]
    try:
        return _known_material(text)
    except InputError as fault:
        # Of two near names the job's own is the likelier one to be meant.
        raise InputError(fault.said, fault.takes, nearest(text, own.values()) or fault.nearest) from None


Through = Annotated[float | str, read_by(_through, PLUS_LENGTH)]
Passed = Annotated[float | str, read_by(_passed, PLUS_LENGTH)]
PartMark = Annotated[str, read_by(_part_mark, MARK)]
MATERIAL = any_of(word_of(materials.names()), NAMED)
"""The form of a material: a usual name, or another one or the job's own."""
KnownMaterial = Annotated[str, read_by(_known_material, MATERIAL)]
MaterialName = Annotated[str, read_by(_material, MATERIAL)]


def _date(value: object) -> dt.date:
    accepted = "a date: year-month-day, e.g. 2026-03-14"
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    text = value.strip() if isinstance(value, str) else ""
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise InputError(f"cannot read {shown(value)} as a date", accepted, likely_date(text)) from None


JobDate = Annotated[dt.date, read_by(_date, TEXT)]


# -- sections, points, dimensions ---------------------------------------------------
def _section(value: object, info: ValidationInfo) -> Section:
    if not isinstance(value, str | Section):
        raise InputError(f"cannot read {shown(value)} as a section", SECTION_ADVICE)
    return Context.of(info).section(value)


def _profile_section(value: object, info: ValidationInfo) -> ProfileSection:
    if isinstance(value, ProfileSection):
        return value
    if not isinstance(value, str):
        raise InputError(f"cannot read {shown(value)} as the section of a profile", PROFILE_ADVICE)
    context = Context.of(info)
    return parse_profile(value, context.units, context.dimensions)


def _stock_section(value: object, info: ValidationInfo) -> StockSection:
    if isinstance(value, Section | ProfileSection):
        return value
    if not isinstance(value, str):
        raise InputError(f"cannot read {shown(value)} as a section", f"{SECTION_ADVICE}; {PROFILE_ADVICE}")
    context = Context.of(info)
    return parse_stock(value, context.units, context.dimensions)


def _point(value: object, info: ValidationInfo) -> Point:
    point, faults = Context.of(info).point_reading.read(value)
    raise_all("point", value, faults)
    assert point is not None
    return point


def _dimension(value: object, info: ValidationInfo) -> Quantity:
    return value if isinstance(value, Quantity) else Quantity(_length(value, info), length=1)


SectionText = Annotated[Section, read_by(_section, TEXT)]
PROFILE = {**TEXT, "title": "profile"}
"""Likewise of a profile's section."""
ProfileText = Annotated[ProfileSection, read_by(_profile_section, PROFILE)]
StockText = Annotated[StockSection, read_by(_stock_section, TEXT)]
PointRef = Annotated[Point, read_by(_point, POINT)]


def point_or(table: type[BaseModel]) -> PlainValidator:
    """Validator of a point that may be written as a table besides, which was read already."""
    return read_by(_point, POINT, table)


Dimension = Annotated[Quantity, read_by(_dimension, LENGTH)]
