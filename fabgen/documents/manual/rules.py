"""What the checks look at, in the words of their own docstrings."""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Iterator

_MODULES = (
    *("tube.access", "sheet.bending", "tube.clashes", "links", "survey.measuring", "tube.mitre_outlines"),
    *("motion.motion_checks", "tube.open_bores", "sheet.flat_parts", "sheet.sheet_bends", "sheet.sheet_holes"),
    *("sheet.sheet_outline", "bolts_and_prices", "sizes", "tube.solid_ends", "tube.tube_bends", "tube.tube_ends"),
    "welds",
)
"""In the order of the manual."""

_WHOLE = ("Every finding", "All findings", "A stop for each", "A note for every")
"""Functions that only gather the findings of others begin so."""


def rules() -> Iterator[tuple[str, list[str]]]:
    """(what a module checks, its rules), by module."""
    for module in _MODULES:
        loaded = importlib.import_module(f"fabgen.checks.{module}")
        about = _first(loaded.__doc__)
        if not about.startswith("Check"):
            continue
        told = [
            _first(function.__doc__)
            for name, function in inspect.getmembers(loaded, inspect.isfunction)
            if function.__module__ == loaded.__name__ and not name.startswith("_")
        ]
        kept = [text for text in told if text and not text.startswith(_WHOLE) and text.endswith(".")]
        yield about.rstrip("."), kept


def _first(text: str | None) -> str:
    """The first paragraph of a docstring on one line."""
    return " ".join(inspect.cleandoc(text or "").split("\n\n")[0].split())
