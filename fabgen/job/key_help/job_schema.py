"""The JSON Schema of a job file, made from the definitions that read it: for editors that complete and explain keys.

It is of draft-07, which such editors read best.  A file that the reader takes passes it; of what a file may hold it
knows the keys, their words and forms and what each shape needs, not what names and figures amount to.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any, Literal

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaMode, JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from fabgen import __version__
from fabgen.job.key_help.accepted import models_in
from fabgen.job.key_help.keys_text import default_of, heading, key_name, note_of, tables, taken_keys
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.fields import BOLT, MARK, MARK_ADVICE, MATERIAL, PROFILE
from fabgen.job.tables.table import Case, ShortTable, Table
from fabgen.job.values.profile_text import PROFILE_ADVICE
from fabgen.job.values.written_forms import APART, DIRECTION, PLACE, POINT, Form, any_of, word_of
from fabgen.shop.profiles.as_sold import sold
from fabgen.shop.profiles.profile_section import Kind
from fabgen.shop.threaded.clearance_holes import holes

DIALECT = "http://json-schema.org/draft-07/schema#"
_REFERENCE = "#/definitions/{model}"
_NAMED: dict[str, tuple[Form, str]] = {
    "point": (POINT, "a point: its name under [points], [x, y, z], or so far from another one"),
    "apart": (APART, 'so far from another point, { from = "A", by = [x, y, z] }'),
    "place": (PLACE, "[x, y, z]: three lengths; x forward, y left, z up"),
    "direction": (DIRECTION, "three bare numbers, e.g. [0, 1, 0] for across"),
    "material": (MATERIAL, "the name of a known material, or of a [[material]] of the job"),
    "mark": (MARK, f"a mark: {MARK_ADVICE}"),
    "bolt": (BOLT, "the size of a bolt, e.g. 'M10' or '3/8 in'"),
    "profile": (PROFILE, PROFILE_ADVICE),
}
"""Forms that many keys have, in words; each stands in the file once, larger ones before those inside them."""
_WHOLE = (
    "A job file. A length is a number in the job's units, or a text: a figure with its unit, or a formula, which may "
    'use the names of [dimensions], e.g. "1 5/8 in" or "track / 2 - 12 mm".'
)


class _AsWritten(GenerateJsonSchema):
    """Tables as the file has them, which knows no null and no type of Python."""

    schema_dialect = DIALECT

    def generate(self, schema: CoreSchema, mode: JsonSchemaMode = "validation") -> JsonSchemaValue:
        made = super().generate(schema, mode)
        made["definitions"] = made.pop("$defs")
        return made

    def function_before_schema(self, schema: core_schema.BeforeValidatorFunctionSchema) -> JsonSchemaValue:
        """One value may stand for a list of it wherever something is done to a list before it is read."""
        inner = super().function_before_schema(schema)
        return {"anyOf": [inner["items"], inner]} if inner.get("type") == "array" else inner

    def tagged_union_schema(self, schema: core_schema.TaggedUnionSchema) -> JsonSchemaValue:
        return {"anyOf": super().tagged_union_schema(schema)["oneOf"]}

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        """Defaults are values as read; `_described` states them as the file would."""
        return self.generate_inner(schema["schema"])

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False


def job_schema() -> dict[str, Any]:
    """The schema as JSON has it."""
    made = Definitions.model_json_schema(ref_template=_REFERENCE, schema_generator=_AsWritten)
    definitions = made.pop("definitions")
    made.pop("title")
    titles = {model: heading(name) for name, model in tables().items()}
    for model in set(_tables(Definitions)) - {Definitions}:
        definitions[model.__name__] = _described(definitions[model.__name__], model, titles.get(model, ""))
    for name, model in tables().items():
        first = definitions[model.__name__]["description"].partition("\n")[0]
        made["properties"][name] = {**_alone(made["properties"][name]), "description": first}
    named = {name: {**_referring(form, name), "description": words} for name, (form, words) in _NAMED.items()}
    for name, sizes in (("bolt", bolt_sizes()), ("profile", profile_sizes())):
        words = named[name].pop("description")
        named[name] = {**any_of(word_of(sizes), named[name]), "description": words}
    head = {"$schema": DIALECT, "title": "a job file of fabgen", "description": _WHOLE}
    return {**head, **_referring(made), "definitions": {**named, **_referring(definitions)}}


def schema_text() -> str:
    """The file that holds it, a line a table; the same bytes each time."""
    whole = {"$comment": f"{_COMMENT}{__version__}", **job_schema()}
    lines = [f"{_json(key)}: {_json(value)}" for key, value in whole.items() if key != "definitions"]
    below = [f"{_json(name)}: {_json(form)}" for name, form in whole["definitions"].items()]
    return "{\n" + ",\n".join([*lines, '"definitions": {\n' + ",\n".join(below) + "\n}"]) + "\n}\n"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def outdates(text: str, kept: str) -> bool:
    """Whether the schema of this version goes in the place of another file.

    Args:
        text: of this version's schema.
        kept: what the file holds; one that a later version wrote stays, and so does one that is no schema of fabgen's.
    """
    found = _WRITTEN_BY.search(kept[:200])
    return text != kept and found is not None and _numbers(found[1]) <= _numbers(__version__)


def _numbers(version: str) -> list[int]:
    return [int(part) for part in re.findall(r"[0-9]+", version)]


_COMMENT = "written by fabgen "
_WRITTEN_BY = re.compile(rf'"\$comment": "{_COMMENT}([0-9.]+)')


def bolt_sizes() -> Iterator[str]:
    """The sizes of bolts in the tables, to choose among."""
    systems: tuple[tuple[Literal["metric", "inch"], str], ...] = (("metric", ""), ("inch", " in"))
    for system, end in systems:
        yield from (f"{size}{end}" for size in holes(system))


def profile_sizes() -> Iterator[str]:
    """Likewise profiles as sold; flats apart, which are sold in every width and thickness."""
    kinds: tuple[Kind, ...] = ("angle", "channel", "T", "square bar", "hexagon bar")
    yield from (each.text for in_inch in (False, True) for kind in kinds for each in sold(kind, in_inch))


def _tables(model: type[BaseModel], seen: set[type[BaseModel]] | None = None) -> Iterator[type[BaseModel]]:
    """The table and all that are written inside it, each once."""
    seen = set() if seen is None else seen
    if model not in seen:
        seen.add(model)
        yield model
        for field in model.model_fields.values():
            for inner in models_in(field.annotation):
                yield from _tables(inner, seen)


def _described(made: dict[str, Any], model: type[BaseModel], title: str) -> dict[str, Any]:
    """A table's schema with its keys' words and defaults, and what its shapes ask for; in place of what was made."""
    keys = {}
    for key, field in taken_keys(model):
        name, default = key_name(key, field), default_of(field)
        own = {part: each for part, each in made["properties"][name].items() if part != "description"}
        words: dict[str, Any] = {"description": field.description} if field.description else {}
        if default not in (None, ""):
            words["default"] = int(default) if isinstance(default, float) and default.is_integer() else default
        keys[name] = {**_alone(_referring(own)), **words}
    made.pop("title", None)
    table = made | {"properties": keys, "description": note_of(model, title)}
    if issubclass(model, Table) and (cases := [_case(case, model) for case in model.cases()]):
        table["allOf"] = cases
    if issubclass(model, ShortTable):
        short = {name: each for name, each in made["properties"][model.short].items() if name != "description"}
        return {"anyOf": [short, table]}
    return table


def _alone(form: dict[str, Any]) -> dict[str, Any]:
    """The form so that words may stand beside it: draft-07 passes over what stands beside a reference."""
    return {"allOf": [form]} if "$ref" in form else form


def _case(case: Case, model: type[Table]) -> dict[str, Any]:
    """If the key has the word, then these keys are needed and those may not be."""
    given = {"required": [case.key]}
    if case.word == "":
        when: dict[str, Any] = {"not": given}
    elif case.word is None:
        when = given
    else:
        when = {"properties": {case.key: {"const": case.word}}}
        if model.model_fields[case.key].get_default() != case.word:
            when |= given
    then: dict[str, Any] = {"required": list(case.needed)} if case.needed else {}
    if case.barred:
        then["properties"] = dict.fromkeys(case.barred, False)
    return {"if": when, "then": then}


def _referring(value: Any, below: str = "") -> Any:
    """The value with a reference for each form that has a name.

    Args:
        below: the name whose own form it is.
    """
    for name, (form, _) in _NAMED.items():
        if name != below and value == form:
            return {"$ref": _REFERENCE.format(model=name)}
    if isinstance(value, dict):
        return {key: _referring(each) for key, each in value.items()}
    return [_referring(each) for each in value] if isinstance(value, list) else value
