"""Pipe by nominal bore: what is meant by '1 1/2 sch 40' or 'DN 40'.  A nominal bore is no size of the pipe itself."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from tomllib import loads
from typing import Any

_NAMED = re.compile(
    r"(?:(?:NPS|NB)?\s*(?P<inches>[0-9]+(?:[ -][0-9]+/[0-9]+)?|[0-9]+/[0-9]+)\s*(?:\"|in|inch)?\s*(?:NPS|NB|pipe)?"
    r"|DN\s*(?P<dn>[0-9]+))\s*(?:pipe)?[\s,x]*(?:sch(?:edule)?\.?\s*(?P<schedule>[0-9]+)(?:\s*pipe)?)?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Pipe:
    """A pipe as it was named: in words, and its section, '' where its schedule is not known."""

    words: str
    section: str = ""


def pipe_named(text: str) -> Pipe | None:
    """The pipe that a text names, None where it names none.

    Args:
        text: e.g. '1 1/2 sch 40', 'DN 40', 'NPS 2'.
    Source: ASME B36.10M, outside diameters and walls (from memory, check against your part).
    """
    found = _NAMED.fullmatch(text.strip())
    if found is None or not re.search("sch|nps|nb|dn|pipe", text, re.IGNORECASE):
        return None
    inches = (found["inches"] or "").replace("-", " ")
    size = next((size for size in _sizes() if found["dn"] == str(size["dn"]) or inches == size["inches"]), None)
    if size is None:
        return Pipe("measure both")
    wall = size["walls"].get(found["schedule"] or "")
    words = f"NPS {size['inches']} (DN {size['dn']}) is {size['outside']:g} mm outside"
    if wall is None:
        return Pipe(words)
    return Pipe(f"{words}, schedule {found['schedule']} {wall:g} mm thick", f"{size['outside']:g} mm x {wall:g} mm")


@cache
def _sizes() -> list[dict[str, Any]]:
    table: list[dict[str, Any]] = loads((files("fabgen.shop") / "data" / "pipe_sizes.toml").read_text())["size"]
    return table
