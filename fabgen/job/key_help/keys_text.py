"""What a job file can say, read from the definitions themselves: the text of `fabgen keys`."""

from __future__ import annotations

import inspect
import math
import textwrap
import typing
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from fabgen.job.key_help.accepted import model_in, models_in
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.written_forms import form_of

WIDTH = 100
_NOTHING = ("", "0", "false", '""')
"""Defaults that are nothing, zero or no."""


def tables() -> dict[str, type[BaseModel]]:
    """The tables of a job file by name, in the order of the definitions."""
    fields = Definitions.model_fields.items()
    return {name: model for name, field in fields if (model := model_in(field.annotation)) is not None}


def overview() -> Iterator[tuple[str, str]]:
    """Every table and its keys."""
    for name, model in tables().items():
        yield heading(name), ", ".join(key_name(key, field) for key, field in taken_keys(model))


def table_text(name: str) -> Iterator[str]:
    """All that one table can say: its note, then a line a key; tables inside it follow.

    Raises KeyError where there is no such table.
    """
    for number, table in enumerate(table_entries(name)):
        yield from ([""] if number else [])
        yield from _lines(table)


def heading(name: str) -> str:
    """'[job]' or '[[tube]]'."""
    several = typing.get_origin(Definitions.model_fields[name].annotation) is list
    return f"[[{name}]]" if several else f"[{name}]"


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One key: its name, whether it is needed, the words to choose among, what it means, and what it is where it is
    left out, as a job file would say it ('' where the model has nothing)."""

    name: str
    needed: bool
    choices: tuple[str, ...]
    meaning: str
    default: str

    @property
    def words(self) -> str:
        """All but the name on one line; a default that is nothing, no or zero is not worth a word there."""
        is_said = self.default in _NOTHING or "left out" in self.meaning
        default = "" if is_said else f"left out = {self.default}"
        parts = ("needed" if self.needed else "", " | ".join(self.choices), self.meaning, default)
        return "; ".join(text for text in parts if text)

    @property
    def left_out(self) -> str:
        """What stands in a column of its own: the default, or that the key's words say what is taken."""
        if self.needed:
            return "needed"
        return "as said" if "left out" in self.meaning else self.default or "none"


@dataclass(frozen=True, slots=True)
class TableEntry:
    """One table as it is written, the key that it stands at ('' of the first of them), its note, and its keys."""

    key: str
    heading: str
    note: str
    keys: tuple[KeyEntry, ...]


def table_entries(name: str) -> Iterator[TableEntry]:
    """The table of that name, then the tables inside it, each once.  Raises KeyError where there is none."""
    yield from _entries("", heading(name), tables()[name], set())


def _entries(at: str, title: str, model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[TableEntry]:
    seen.add(model)
    taken = taken_keys(model)
    keys = tuple(
        KeyEntry(
            key_name(key, field),
            field.is_required(),
            tuple(dict.fromkeys(_choices(field.annotation))),
            field.description or "",
            _default(field),
        )
        for key, field in taken
    )
    yield TableEntry(at, title, note_of(model, title), keys)
    inner = [(key_name(key, field), table) for key, field in taken for table in models_in(field.annotation)]
    for key, table in inner:
        if table not in seen:
            yield from _entries(key, f"{key} = {{ … }}", table, seen)


def note_of(model: type[BaseModel], title: str = "") -> str:
    """What is said of a table as a whole, less its title."""
    note = inspect.cleandoc(model.__doc__ or "").removeprefix(f"{title}: ")
    return note[:1].upper() + note[1:]


def taken_keys(model: type[BaseModel]) -> list[tuple[str, FieldInfo]]:
    """The fields of a table less those that are there to be refused in words of their own."""
    return [(key, field) for key, field in model.model_fields.items() if not field.exclude]


def _lines(table: TableEntry) -> Iterator[str]:
    yield table.heading
    yield from (f"  {line}".rstrip() for line in table.note.splitlines())
    for key in table.keys:
        lines = textwrap.wrap(key.words, WIDTH - 22) or [""]
        yield f"  {key.name:<18}  {lines[0]}".rstrip()
        yield from (" " * 22 + line for line in lines[1:])


def default_of(field: FieldInfo) -> bool | str | float | None:
    """What a key is where it is left out, as the job file would say it; None where that is nothing, or a table."""
    value = None if field.is_required() else field.get_default(call_default_factory=True)
    if isinstance(value, bool | str) or value == 0:
        return value
    if not isinstance(value, int | float):
        return None
    kind = form_of(field.metadata).get("title")
    if kind == "angle":
        return f"{math.degrees(value):g} deg"
    return f"{value:g} mm" if kind == "length" else value


def _default(field: FieldInfo) -> str:
    """The default as `keys` prints it."""
    value = default_of(field)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        has_unit = not isinstance(field.default, str)
        return value if has_unit else f'"{value}"'
    return "" if value is None else f"{value:g}"


def key_name(key: str, field: FieldInfo) -> str:
    """The key of a field, as the file has it."""
    return field.alias or key


def _choices(annotation: object) -> Iterator[str]:
    """The words an annotation lets choose among, as they are written in the file."""
    if typing.get_origin(annotation) is Literal:
        yield from (f'"{word}"' for word in typing.get_args(annotation))
    else:
        for part in typing.get_args(annotation):
            yield from _choices(part)
