"""A job of one part, for the tests of a family: the keys of the part's table in; its piece, flat or faults out."""

from __future__ import annotations

from importlib import import_module
from typing import Any

import pytest

from fabgen.job.errors import JobError, Problem
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.fields import Context
from fabgen.parts.piece import FlatPart, Piece

HEADER = {"title": "x", "number": "x", "units": "mm"}


class OnePart:
    """Parts of one family, e.g. OnePart("plate", mark="P1", thickness=6): those keys where a test gives no others.

    `more` are further tables of every such job, whose parts may be named by their marks.
    """

    def __init__(self, table: str, more: dict[str, Any] | None = None, **usual: Any) -> None:
        self.table, self.more, self.usual = table, more or {}, usual

    def job(self, header: dict[str, Any] | None = None, more: dict[str, Any] | None = None, **keys: Any) -> Definitions:
        """The job of a part; `header` are further keys of [job], `more` further tables, None leaves a key out."""
        part = {key: value for key, value in (self.usual | keys).items() if value is not None}
        tables = self.more | (more or {})
        tables[self.table] = [part, *tables.get(self.table, [])]
        marks = frozenset(entry["mark"] for table in FAMILIES for entry in tables.get(table, []))
        job = {"job": HEADER | (header or {}), **tables}
        return Definitions.model_validate(job, context=Context(marks=marks))

    def pieces(self, **keys: Any) -> list[Piece]:
        """All that the family makes of it."""
        family = import_module(f"fabgen.parts.{FAMILIES[self.table].built_by}")
        made: list[Piece] = family.pieces(self.job(**keys))
        return made

    def piece(self, **keys: Any) -> Piece:
        """Its one piece."""
        (piece,) = self.pieces(**keys)
        return piece

    def flat(self, **keys: Any) -> FlatPart:
        """Its flat."""
        flat = self.piece(**keys).flat_part
        assert flat is not None
        return flat

    def faults(self, **keys: Any) -> list[Problem]:
        """What keeps it from being made."""
        with pytest.raises(JobError) as caught:
            self.pieces(**keys)
        return caught.value.problems
