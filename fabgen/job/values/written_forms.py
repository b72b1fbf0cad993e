"""The forms in which values stand in a job file, as JSON Schema (draft-07) has them.

Each reader of a value (`fields.py` and others) is given the form of what it takes, so that a schema of the job file can
be made from the same definitions that read it.  A form takes all that its reader may take, names and formulas unread.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any, get_args

from pydantic import BaseModel, PlainValidator, WithJsonSchema

Form = Mapping[str, Any]

_FIGURE: Form = {"type": ["number", "string"], "minLength": 1}
LENGTH: Form = {**_FIGURE, "title": "length"}
"""A number in the job's units, or a text: a figure with its unit, a formula."""
PLUS_LENGTH: Form = {**LENGTH, "exclusiveMinimum": 0}
ZERO_LENGTH: Form = {**LENGTH, "minimum": 0}
TEXT: Form = {"type": "string", "minLength": 1}
"""A text that is read further: a section, a name, a force with its unit."""
PLAIN: Form = {"type": ["string", "integer"]}
"""A text, or a whole number taken as one."""
NAMED: Form = {**PLAIN, "minLength": 1}
NUMBER: Form = {"type": "number"}
YES_OR_NO: Form = {"type": "boolean"}


def read_by(read: Callable[..., Any], form: Form, table: type[BaseModel] | None = None) -> PlainValidator:
    """The validator of a value that `read` makes of what stands in the file, which has that form, or is that table."""
    written: Any = Annotated[Any, WithJsonSchema(dict(form))]
    return PlainValidator(read, json_schema_input_type=written if table is None else written | table)


def form_of(metadata: Iterable[object]) -> Form:
    """The form that the validator of a field has, by the field's metadata; an empty one where it has none."""
    for each in metadata:
        if isinstance(each, PlainValidator):
            for part in get_args(each.json_schema_input_type):
                if isinstance(part, WithJsonSchema):
                    return part.json_schema or {}
    return {}


def text_of(longest: int, least: int = 0) -> Form:
    """A plain text of so many characters."""
    return {**PLAIN, "maxLength": longest, **({"minLength": least} if least else {})}


def angle_form(low: float, high: float) -> Form:
    """A number of degrees from `low` to `high`, or a text."""
    return {**_FIGURE, "title": "angle", "minimum": low, "maximum": high}


def from_to(kind: str, least: float, most: float) -> Form:
    """A bare number; `kind` is "number" or "integer"."""
    return {"type": kind, "minimum": least, "maximum": most}


def any_of(*forms: Form) -> Form:
    return {"anyOf": list(forms)}


def word_of(words: Iterable[Any]) -> Form:
    """One of these."""
    return {"enum": list(words)}


def list_of(form: Form, least: int = 0, most: int | None = None) -> Form:
    """A list of `least` to `most` values of one form."""
    limits = {"minItems": least} if least else {}
    return {"type": "array", "items": form, **limits, **({} if most is None else {"maxItems": most})}


def row_of(*forms: Form) -> Form:
    """A list with one value of each form."""
    return {"type": "array", "items": list(forms), "minItems": len(forms), "maxItems": len(forms)}


def table_of(form: Form, least: int = 0) -> Form:
    """A table of values of one form, by names of the job."""
    return {"type": "object", "additionalProperties": form, **({"minProperties": least} if least else {})}


PLACE = list_of(LENGTH, 3, 3)
"""[x, y, z]."""
APART: Form = {
    "type": "object",
    "properties": {"from": any_of(TEXT, PLACE), "by": PLACE},
    "required": ["from", "by"],
    "additionalProperties": False,
}
"""So far from another point, exactly."""
POINT = any_of(TEXT, PLACE, APART)
DIRECTION = list_of(NUMBER, 3, 3)


def axis_form(sides: Iterable[str]) -> Form:
    """A side of the job by name, three numbers, or a point that it runs toward."""
    return any_of(word_of(sides), TEXT, DIRECTION, APART)
