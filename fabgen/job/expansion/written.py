"""The parts that frames, repeats and mirrors become, as a job file would write them."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from fabgen.job.errors import Path
from fabgen.job.expansion.expanded_tables import Expanded
from fabgen.job.values.point import Point
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.shop.section import Section
from fabgen.wording.figures import figure


def written(expanded: Expanded) -> str:
    """The tables of every part that does not stand in the file itself, each after a line that says what made it, and
    the points that they need."""
    lines = [f"{name} = {written_value(point)}" for name, point in expanded.points.items()]
    points = ["[points]  # by mirrors, beside your own", *lines, ""] if lines else []
    parts = (line for path in expanded.made for line in _table(expanded, path, expanded.origin(path)))
    return "\n".join([*points, *parts])


def _table(expanded: Expanded, path: Path, place: Path) -> Iterator[str]:
    table, number = str(path[0]), int(path[1])
    entry: Mapping[str, Any] = expanded.tables[table][number]
    # Ends are fitted in the order of the tables, in which an image follows its own.
    own = expanded.images.get(str(entry.get("mark")), "")
    yield f"[[{table}]]  # by {place[0]} {int(place[1]) + 1}" + (f", after {own}" if own else "")
    yield from (f"{key} = {written_value(value)}" for key, value in entry.items())
    yield ""


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
        return "{ " + ", ".join(f"{key} = {written_value(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(written_value, value)) + "]"
    return json.dumps(value, ensure_ascii=False)
