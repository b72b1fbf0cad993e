"""What pydantic finds wrong with a table, in the words of the shop."""

from __future__ import annotations

import re
import typing
from collections.abc import Iterator, Mapping, Sequence, Set
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from fabgen.job.errors import FollowOnError, InputError, Path, Problem, nearest, shown
from fabgen.job.key_help.accepted import items, meaning, number_wanted, table_at, wanted
from fabgen.job.values.quantity import LENGTH_UNITS

_MISSING, _UNKNOWN, _MEANINGLESS = "is missing", "there is no", "has no meaning here"


def problems_of(error: ValidationError, raw: Mapping[str, Any], root: type[BaseModel]) -> list[Problem]:
    """What pydantic found, in words: one problem for each fault, those that only follow from others left out.

    Args:
        error: of the validation.
        raw: the values as the file has them.
        root: the model they were validated as.
    """
    found: list[Problem] = []
    tables = (entry for table in raw.values() if isinstance(table, list) for entry in _tables(table))
    marks = {mark for entry in tables if isinstance(mark := entry.get("mark"), str)}
    for fault in error.errors(include_url=False):
        location, kind = fault["loc"], fault["type"]
        path = _path(location, raw, kind)
        cause = fault.get("ctx", {}).get("error")
        if isinstance(cause, FollowOnError):
            continue
        if isinstance(cause, InputError):
            found.append(Problem.of(path, cause))
        else:
            found.append(_problem(kind, path, location, fault["input"], fault.get("ctx", {}), root, marks))
    return _without_misspelt(_without_follow_ons(found))


def _tables(values: list[Any]) -> Iterator[Mapping[str, Any]]:
    return (value for value in values if isinstance(value, Mapping))


def _without_follow_ons(found: list[Problem]) -> list[Problem]:
    """The problems but for what is missing in a table within a part, or in a point, that has a wrong key: which of its
    forms it should be is not known before that is corrected."""
    wrong = (problem for problem in found if problem.what.startswith(_UNKNOWN) or problem.what.endswith(_MEANINGLESS))
    inner = {table for problem in wrong if not _is_entry(table := problem.path[:-1])}
    return [each for each in found if not (each.what.endswith(_MISSING) and {each.path, each.path[:-1]} & inner)]


def _is_entry(path: Path) -> bool:
    """Whether a path leads to a table of the file itself, e.g. [job] or a [[tube]]."""
    return len(path) < 2 or (len(path) == 2 and isinstance(path[1], int))


def _without_misspelt(found: list[Problem]) -> list[Problem]:
    """The problems but for each missing key that is there but misspelt, which is reported already."""
    meant = {(*problem.path[:-1], problem.nearest) for problem in found if problem.what.startswith(_UNKNOWN)}
    return [problem for problem in found if not (problem.what.endswith(_MISSING) and problem.path in meant)]


def _problem(
    kind: str,
    path: Path,
    location: Path,
    value: object,
    limits: Mapping[str, Any],
    root: type[BaseModel],
    marks: Set[str],
) -> Problem:
    """The problem of one of pydantic's own faults, worded by its kind."""
    name = str(path[-1]) if path else ""
    if kind == "missing":
        return Problem(path, f"this {'table' if len(path) == 1 else 'key'} {_MISSING}", wanted(location, root))
    if kind == "extra_forbidden":
        fields = table_at(location[:-1], root).model_fields
        keys = [field.alias or key for key, field in fields.items() if not field.exclude]
        kind = "table" if len(path) == 1 else "key"
        near = _of_the_job(name, path, root) or nearest(name, keys)
        return Problem(path, f"{_UNKNOWN} {kind} {shown(name)} here", ", ".join(keys), near)
    if kind == "literal_error":
        options = re.findall(r"'([^']*)'", str(limits.get("expected", "")))
        accepted = " or ".join(shown(option) for option in options)
        near = _choice_near(value, options) if isinstance(value, str) else ""
        if isinstance(value, str) and not near and value.strip().lower() in LENGTH_UNITS:
            accepted += (
                f', for bare numbers; any length may have a unit of its own in quotes, e.g. "60 {value.strip()}"'
            )
        return Problem(path, f"{shown(value)} is none of the choices", accepted, near and shown(near))
    if kind in ("too_short", "too_long"):
        least, most = limits.get("min_length"), limits.get("max_length")
        number = number_wanted(*_limits_at(location, least, most, root))
        return Problem(path, f"the list has {items(limits.get('actual_length'))}", number)
    if kind == "list_type":
        if len(path) == 1 and path[0] in _list_tables(root):
            return Problem(path, f"{name} is not a list of tables", f"[[{name}]], in double brackets, for each {name}")
        return Problem(path, f"cannot read {shown(value)} as a list", "a list in square brackets, e.g. [1, 2]")
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        accepted = f"[{name}], in single brackets" if len(path) == 1 else "{ key = value }"
        inner = table_at(location, root).model_fields if len(path) > 1 else {}
        if inner:
            accepted += f"; its keys: {', '.join(field.alias or key for key, field in inner.items())}"
        near = _as_table(value, inner, marks) if isinstance(value, str) else ""
        return Problem(path, f"cannot read {shown(value)} as a table", accepted, near)
    return Problem(path, f"cannot read {shown(value)}", meaning(location, root))


def _of_the_job(name: str, path: Path, root: type[BaseModel]) -> str:
    """'vents, but under [job]' of a key that only the job's header has; '' of others."""
    if "job" not in root.model_fields or len(path) < 2 or path[0] == "job":
        return ""
    fields = table_at(("job",), root).model_fields
    return f"{name}, but under [job]" if name in [field.alias or key for key, field in fields.items()] else ""


def _choice_near(value: str, options: Sequence[str]) -> str:
    """The choice most like a word; of units only one that is as long, for cm is no mm."""
    size = LENGTH_UNITS.get(value.strip().lower())
    if size is not None and all(option in LENGTH_UNITS for option in options):
        return next((option for option in options if LENGTH_UNITS[option] == size), "")
    return nearest(value, options)


def _as_table(value: str, keys: Mapping[str, FieldInfo], marks: Set[str]) -> str:
    """The table that a bare word was meant as: that of the key which takes it; '' where none does."""
    for key, field in keys.items():
        if value in typing.get_args(field.annotation) or (key == "onto" and value in marks):
            return f"{{ {field.alias or key} = {shown(value)} }}"
    return ""


def _list_tables(root: type[BaseModel]) -> set[str]:
    return {name for name, field in root.model_fields.items() if typing.get_origin(field.annotation) is list}


def _limits_at(
    location: Path, least: int | None, most: int | None, root: type[BaseModel]
) -> tuple[int | None, int | None]:
    """Both limits of the list at `location`; pydantic gives only the one that was broken."""
    for part in reversed(location):
        if isinstance(part, str):
            field = table_at(location[:-1], root).model_fields.get(part)
            for limit in _metadata(field) if field else ():
                least = getattr(limit, "min_length", None) or least
                most = getattr(limit, "max_length", None) or most
            break
    return least, most


def _metadata(field: Any) -> list[Any]:
    found = list(field.metadata)
    for part in (field.annotation, *typing.get_args(field.annotation)):
        for extra in getattr(part, "__metadata__", ()):
            found += getattr(extra, "metadata", [])
    return found


def _path(location: Path, raw: Mapping[str, Any], kind: str) -> Path:
    """The location as a path of the file: parts that the file does not have are passed over.

    Such parts name the choice taken of several, or the longer form of a short one ([x, y] for
    {at = [x, y]}).  The last part of a missing key stays.
    """
    path: list[str | int] = []
    value: Any = raw
    for part in location:
        keys: Any = range(len(value)) if isinstance(value, list) else value if isinstance(value, Mapping) else ()
        if part in keys:
            path.append(part)
            value = value[part]
    if kind == "missing" and location:
        path.append(location[-1])
    return tuple(path)
