"""The parts that frames, repeats and mirrors become, as a job file would write them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from fabgen.job.errors import Path
from fabgen.job.expansion.expanded_tables import Expanded
from fabgen.job.values.point import Point
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.shop.section import Section
from fabgen.wording.figures import figure

_MAKING = ("frame", "repeat", "mirror")
"""Tables that stand for others."""


def written(expanded: Expanded) -> str:
    """All parts of the job and what joins them, table by table as they are to stand in a job file without frames,
    repeats and mirrors, each after a line that says what made it, and the points that they need; "" where every one of
    them stands in the file itself.

    Tables of which something is made are written whole: ends are fitted in the order of the list.
    """
    made = set(expanded.made)
    nodes = {expanded.origin(path) for path in made if expanded.origin(path)[0] == "node"}
    tables = [table for table in expanded.tables if any(path[0] == table for path in made)]
    if nodes and "node" not in tables:
        tables.append("node")
    if not tables:
        return ""
    gone = [*tables, *(table for table in _MAKING if expanded.tables.get(table))]
    lines = [
        f"# In place of every {_listed(gone)} of the file, each list in this order:",
        "# ends are fitted to what stands before them.",
        "",
    ]
    if expanded.points:
        lines += ["[points]  # by mirrors: these lines go under your own [points]"]
        lines += [f"{name} = {written_value(point)}" for name, point in expanded.points.items()]
        lines += [""]
    for path in ((table, number) for table in tables for number in range(len(expanded.tables[table]))):
        if path not in nodes:  # which have made their hub
            lines += _table(expanded, path, path in made)
    return "\n".join(lines)


def _listed(tables: Sequence[str]) -> str:
    """Tables of lists, as a sentence names them."""
    named = [f"[[{table}]]" for table in tables]
    return " and ".join([", ".join(named[:-1]), named[-1]] if len(named) > 1 else named)


def _table(expanded: Expanded, path: Path, is_made: bool) -> Iterator[str]:
    table, place = str(path[0]), expanded.origin(path)
    entry: Mapping[str, Any] = expanded.tables[table][int(path[1])]
    own = expanded.images.get(str(entry.get("mark")), "")
    by = f"by {place[0]} {int(place[1]) + 1}" + (f", after {own}" if own else "") if is_made else "as it is"
    # A foot stands in its tube, which is fitted to its plate and makes that again.
    out = "# " if entry.get("mark") in expanded.feet else ""
    by += ", which makes it again" if out else ""
    yield f"{out}[[{table}]]  # {by}"
    yield from (f"{out}{_key(key)} = {written_value(value)}" for key, value in entry.items())
    yield ""


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else json.dumps(key, ensure_ascii=False)


def written_value(value: object) -> str:
    """A key's value as a job file has it."""
    if isinstance(value, Point):
        return "[" + ", ".join(f'"{figure(each, 3)} mm"' for each in value.xyz) + "]"
    if isinstance(value, Section):
        corner = "" if value.is_round or value.corner_by else f" r {figure(value.corner, 3)}"
        return f'"{value.written("")}{corner} mm"' if not value.is_solid else f'"{value.written(" mm")}"'
    if isinstance(value, ProfileSection):
        return f'"{value.written(" mm")}"'
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {written_value(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(written_value, value)) + "]"
    return json.dumps(value, ensure_ascii=False)
