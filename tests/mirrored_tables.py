"""Jobs of tables with all their parts mirrored across a plane that lies clear of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from jobs import HEADER, toml

from fabgen.app.hands import with_own_images
from fabgen.app.work import WorkedJob, built, planned
from fabgen.job.reader import read_text

ASIDE = -5000
"""y of the plane, mm."""


def mirrored(tables: Mapping[str, Sequence[Mapping[str, Any]]], handed: bool = False) -> str:
    """The text of a job of these tables and a mirror of all their parts.

    Args:
        tables: entries by the name of their table.
        handed: whether text is etched on plates and base brackets, which makes opposite hands of their images.
    """
    lines = ["[job]", *(f"{key} = {toml(value)}" for key, value in HEADER.items()), "[points]"]
    lines += [f"Q{i} = [{x}, {ASIDE}, {z}]" for i, (x, z) in enumerate(((0, 0), (500, 0), (0, 500)), 1)]
    for table, listed in tables.items():
        for entry in listed:
            etched = handed and (table == "plate" or "base" in entry)
            keys = {**entry, **({"mark_text": "AB"} if etched else {})}
            lines += [f"[[{table}]]", *(f"{key} = {toml(value)}" for key, value in keys.items())]
    marks = [entry["mark"] for listed in tables.values() for entry in listed if "mark" in entry]
    return "\n".join([*lines, "[[mirror]]", f"parts = {toml(marks)}", 'plane = ["Q1", "Q2", "Q3"]', ""])


def worked(text: str) -> WorkedJob:
    """A job in a text, worked through as the commands do."""
    loaded = with_own_images(read_text(text))
    return planned(loaded, built(loaded), None, effort=None)
