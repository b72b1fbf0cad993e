"""What a job file can say, told from the definitions themselves: the text of `fabgen keys`."""

from __future__ import annotations

import inspect
import textwrap
import typing
from collections.abc import Iterator
from typing import Literal

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from fabgen.job.definitions import Definitions
from fabgen.job.tables import Written

WIDTH = 100


def tables() -> dict[str, type[BaseModel]]:
    """The tables of a job file by name, in the order of the definitions."""
    found = {}
    for name, field in Definitions.model_fields.items():
        model = next(_models(field.annotation), None)
        if model is not None:
            found[name] = model
    return found


def overview() -> Iterator[tuple[str, str]]:
    """Every table and its keys."""
    for name, model in tables().items():
        yield heading(name), ", ".join(_key(key, field) for key, field in model.model_fields.items())


def table_text(name: str) -> Iterator[str]:
    """All that one table can say: its note, then a line a key; tables inside it follow.

    Raises KeyError where there is no such table.
    """
    seen: set[type[BaseModel]] = set()
    yield from _table(heading(name), tables()[name], seen)


def heading(name: str) -> str:
    """'[job]' or '[[tube]]'."""
    several = typing.get_origin(Definitions.model_fields[name].annotation) is list
    return f"[[{name}]]" if several else f"[{name}]"


def _table(heading: str, model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[str]:
    seen.add(model)
    yield heading
    note = inspect.cleandoc(model.__doc__ or "")
    if note and note != heading:
        yield from (f"  {line}".rstrip() for line in note.splitlines())
    inner: list[tuple[str, type[BaseModel]]] = []
    for key, field in model.model_fields.items():
        needed = "needed" if field.is_required() else ""
        choices = " | ".join(dict.fromkeys(_choices(field.annotation)))
        words = "; ".join(text for text in (needed, choices, field.description or "") if text)
        lines = textwrap.wrap(words, WIDTH - 22) or [""]
        yield f"  {_key(key, field):<18}  {lines[0]}".rstrip()
        yield from (" " * 22 + line for line in lines[1:])
        inner += [(key, table) for table in _models(field.annotation)]
    for key, table in inner:
        if table not in seen:
            yield ""
            yield from _table(f"{key} = {{ … }}", table, seen)


def _key(key: str, field: FieldInfo) -> str:
    return field.alias or key


def _choices(annotation: object) -> Iterator[str]:
    """The words an annotation lets choose among, as they are written in the file."""
    if typing.get_origin(annotation) is Literal:
        yield from (f'"{word}"' for word in typing.get_args(annotation))
    else:
        for part in typing.get_args(annotation):
            yield from _choices(part)


def _models(annotation: object) -> Iterator[type[BaseModel]]:
    """The tables an annotation speaks of, lists and choices looked into."""
    if isinstance(annotation, Written):
        yield annotation.model
    elif inspect.isclass(annotation) and issubclass(annotation, BaseModel):
        yield annotation
    else:
        for part in typing.get_args(annotation):
            yield from _models(part)
