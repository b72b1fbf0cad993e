"""The job as a list in the order of its tables, and one of its tables as a form made from the definitions."""

from __future__ import annotations

import math
import re
import typing
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from fabgen.app.bench.typed_value import shown_value
from fabgen.documents.render.words import counted
from fabgen.job.errors import Path
from fabgen.job.key_help.job_schema import bolt_sizes, profile_sizes
from fabgen.job.key_help.keys_text import heading, key_name, note_of, table_entries, tables, taken_keys
from fabgen.job.reader import Job
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.fields import BOLT, MARK, MATERIAL, PROFILE
from fabgen.job.text.value_edit import value_at
from fabgen.job.values.written_forms import POINT, Form, form_of
from fabgen.shop import materials
from fabgen.wording.figures import figure
from fabgen.wording.sentence import mm, sentence

NAMED = ("dimensions", "points")
"""Tables whose keys are names of the job's own."""
_HEADINGS = {
    "job": "Head of the papers",
    "dimensions": "Named dimensions",
    "points": "Points",
    **{table: family.many.capitalize() for table, family in FAMILIES.items()},
}
_NAMES = ("mark", "name", "of", "what", "item", "group", "size", "section", "at")
"""Keys that tell tables of a kind apart, the likeliest first."""


def job_list(raw: Mapping[str, Any]) -> list[dict[str, Any]]:
    """What the file holds: a group a table, a row an entry, in the order in which a job is worked through.

    Args:
        raw: the values of the file.
    """
    groups = []
    for name in Definitions.model_fields:
        value = raw.get(name)
        if value is None:
            continue
        entries = value if isinstance(value, list) else [value]
        rows = [
            {"at": [name, i] if isinstance(value, list) else [name], **_row(name, i, each)}
            for i, each in enumerate(entries)
            if isinstance(each, Mapping)
        ]
        groups.append(
            {"table": name, "heading": _HEADINGS.get(name, name.replace("_", " ").capitalize()), "rows": rows}
        )
    return groups


def _row(table: str, number: int, entry: Mapping[str, Any]) -> dict[str, str]:
    if table in NAMED:
        return {
            "name": counted(len(entry), "name"),
            "words": ", ".join(list(entry)[:6]) + (", …" if len(entry) > 6 else ""),
        }
    key = next((key for key in _NAMES if isinstance(entry.get(key), str | int)), None)
    title = entry.get("title")
    if table == "job":
        return {"name": str(entry.get("number", "")), "words": str(title or "")}
    words = [str(title)] if isinstance(title, str) else []
    words += [
        str(entry[each]) for each in ("section", "shape", "bolt") if each != key and isinstance(entry.get(each), str)
    ]
    words = words or [f"{each} {value}" for each, value in entry.items() if each != key and isinstance(value, str)][:2]
    return {"name": str(entry[key]) if key else str(number + 1), "words": ", ".join(words)}


def model_at(at: Path) -> type[BaseModel] | None:
    """The model of a table of the file; None where its keys are names of the job's own."""
    return None if at[0] in NAMED else tables().get(str(at[0]))


def field_form(at: Path, key: str) -> Form:
    """The form of a key's value; an empty one where it is not known.

    Args:
        at: the table, e.g. ('tube', 2).
        key: of it.
    """
    model = model_at(at)
    if model is None:
        return _NAMED_FORMS.get(str(at[0]), {})
    field = next((field for name, field in taken_keys(model) if key_name(name, field) == key), None)
    return {} if field is None else _form_in(field)


def _form_in(field: FieldInfo) -> Form:
    if found := form_of(field.metadata):
        return found
    stack = [field.annotation]
    while stack:
        each = stack.pop(0)
        if typing.get_origin(each) is list:
            continue
        if found := form_of(getattr(each, "__metadata__", ())):
            return found
        for kind, word in ((bool, "boolean"), (int, "integer"), (float, "number")):
            if each is kind:
                return {"type": word}
        stack += typing.get_args(each)
    return {}


def table_form(text: str, raw: Mapping[str, Any], at: Path, job: Job | None) -> dict[str, Any]:
    """A table as a form: a field a key, with the words that `keys` prints and what the file has.

    Args:
        text: of the file.
        raw: its values.
        at: the table, e.g. ('job',) or ('tube', 2).
        job: as last read well from this text, for the values that formulas come to; None where it does not read.
    Raises:
        KeyError: there is no such table in the file.
    """
    entry = _entry(raw, at)
    title = heading(str(at[0]))
    model = model_at(at)
    name = _row(str(at[0]), int(at[1]), entry)["name"] if len(at) > 1 else ""
    head = {"at": list(at), "name": name, "title": f"{_one_of(str(at[0]))} {name}".strip()}
    if model is None:
        return {**head, "note": _NOTES[str(at[0])], "grows": True,
                "fields": [_named_field(text, at, key, job) for key in entry]}  # fmt: skip
    fields = {key_name(name, field): (name, field) for name, field in taken_keys(model)}
    own = _read_entry(job, at)
    rows = []
    for key in next(table_entries(str(at[0]))).keys:
        name, field = fields[key.name]
        form, there = _form_in(field), value_at(text, (*at, key.name))
        inner = there is None and key.name in entry
        rows.append({
            "key": key.name, "words": key.words, "needed": key.needed, "default": key.default,
            "value": shown_value(there), "given": key.name in entry,
            # A table of a table that has a heading of its own is changed in the text.
            "apart": inner, "kind": str(form.get("type", "")) if form.get("type") == "boolean" else "",
            "choices": [word.strip('"') for word in key.choices] or ["true", "false"] * (form.get("type") == "boolean"),
            "offered": [] if key.choices else list(_offered(form, raw)),
            "beside": _beside(getattr(own, name, None), form) if own is not None and key.name in entry else "",
        })  # fmt: skip
    return {**head, "note": note_of(model, title), "grows": False, "fields": rows}


def _one_of(table: str) -> str:
    """What one entry of a table is called."""
    family = FAMILIES.get(table)
    word = family.one if family is not None else _HEADINGS.get(table, table.replace("_", " "))
    return word[:1].upper() + word[1:]


_NOTES = {
    "dimensions": "A length, angle or formula by a name, which any other length may use.",
    "points": "A place by a name: [x, y, z], or as `fabgen keys points` says; x forward, y left, z up.",
}
_NAMED_FORMS: dict[str, Form] = {"dimensions": {"type": ["number", "string"], "title": "length"}}


def _named_field(text: str, at: Path, key: str, job: Job | None) -> dict[str, Any]:
    there = value_at(text, (*at, key))
    beside = ""
    if job is not None and at[0] == "dimensions" and (found := job.definitions.dimensions.get(key)) is not None:
        if (found.length, found.angle) == (1, 0):
            beside = both_units(found.value)
        elif (found.length, found.angle) == (0, 1):
            beside = f"{figure(math.degrees(found.value), 3)}°"
        else:
            beside = figure(found.value, 5)
    elif job is not None and at[0] == "points" and (point := job.definitions.points.get(key)) is not None:
        beside = ", ".join(figure(float(value)) for value in point.xyz) + " mm"
    return {"key": key, "words": "", "needed": False, "default": "", "value": shown_value(there), "given": True,
            "apart": there is None, "kind": "", "choices": [], "offered": [], "beside": beside}  # fmt: skip


def both_units(length: float) -> str:
    """A length in mm and in inches."""
    said = sentence("", mm(length))
    # What stands in brackets behind it is in mm again.
    inch = re.split(r" [\[(]", said.words("in"))[0]
    return f"{figure(length, 3)} mm = {inch}"


def _beside(value: object, form: Form) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    if form.get("title") == "length":
        return both_units(float(value))
    return f"{figure(math.degrees(value), 3)}°" if form.get("title") == "angle" else ""


def _offered(form: Form, raw: Mapping[str, Any]) -> Iterator[str]:
    """What the shop's tables and the job know for a field."""
    title = form.get("title")
    if form == MATERIAL:
        yield from materials.names()
    elif title == BOLT["title"]:
        yield from bolt_sizes()
    elif title == PROFILE["title"]:
        yield from profile_sizes()
    elif form == POINT and isinstance(raw.get("points"), Mapping):
        yield from raw["points"]
    elif form == MARK:
        for table in FAMILIES:
            value = raw.get(table)
            for each in value if isinstance(value, list) else ():
                if isinstance(each, Mapping) and isinstance(each.get("mark"), str):
                    yield each["mark"]


def _entry(raw: Mapping[str, Any], at: Path) -> Mapping[str, Any]:
    found: Any = raw.get(str(at[0]))
    if len(at) > 1:
        found = found[int(at[1])] if isinstance(found, list) and 0 <= int(at[1]) < len(found) else None
    if not isinstance(found, Mapping):
        raise KeyError(at)
    return found


def _read_entry(job: Job | None, at: Path) -> object:
    """The table as read; of a list the first that the file's table becomes."""
    if job is None:
        return None
    found = getattr(job.definitions, str(at[0]), None)
    if len(at) == 1 or not isinstance(found, list):
        return found if len(at) == 1 else None
    return next((each for i, each in enumerate(found) if job.origin((at[0], i)) == tuple(at)), None)


def naming(raw: Mapping[str, Any], at: Path, name: str) -> list[str]:
    """The keys of other tables that name a part, in words: 'weld 2 on'.

    Args:
        raw: the values of the file.
        at: the part's table.
        name: its mark.
    """
    found = []
    for table, value in raw.items():
        for number, entry in enumerate(value if isinstance(value, list) else [value]):
            if not isinstance(entry, Mapping) or (table, number) == tuple(at):
                continue
            own = [table, _row(table, number, entry)["name"]] if isinstance(value, list) else [table]
            found += [" ".join([*own, key]) for key, each in entry.items() if key != "mark" and _names(each, name)]
    return found


def _names(value: object, name: str) -> bool:
    if isinstance(value, Mapping):
        return any(_names(each, name) for each in value.values())
    if isinstance(value, list):
        return any(_names(each, name) for each in value)
    return value == name
