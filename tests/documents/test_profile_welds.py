"""The welds of profiles on the cut list: how many, on what, how long each runs."""

from __future__ import annotations

import math
from typing import Any

import pytest
from faulty_profiles import HEAD, hanging, profile
from jobs import pieces_of, read
from reportlab.platypus import Flowable, Table

from fabgen.documents.lists.weld_table import profile_weld_table
from fabgen.documents.render.flow import Word


def cells(flowables: list[Flowable]) -> list[list[str]]:
    """What stands in the rows of the tables."""
    rows: list[list[str]] = []
    for each in flowables:
        content = getattr(each, "_content", [each])
        for table in content:
            if isinstance(table, Table):
                rows += [[said(cell) for cell in row] for row in table._cellvalues]
    return rows


def said(cell: Any) -> str:
    """A cell's text; the table keeps each as a tuple of what stands in it."""
    (only,) = cell if isinstance(cell, tuple) else (cell,)
    return "\n".join(only.lines) if isinstance(only, Word) else getattr(only, "text", str(only))


def test_welds_alike_are_one_row_with_their_run() -> None:
    """A mitre of 45 degrees runs across one leg and slanted over the other, half of it counted for each end; the leg
    below has both its outer faces welded."""
    pieces = pieces_of(read(HEAD + hanging("[[0, 0, -500], [0, 0, 0]]")))
    rows = cells(profile_weld_table(pieces, "mm", 500.0).blocks)[1:]
    half = round((40.0 + 40.0 * math.sqrt(2.0)) / 2.0)
    assert rows[:-1] == [
        ["L1 start and L2 finish", "angle 40 x 40 x 4 mitred, each its half", str(half)],
        ["F finish", "angle 40 x 40 x 4 on L1 and L2", "80"],
    ]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_sum_counts_every_piece(units: str) -> None:
    pieces = pieces_of(read(HEAD + hanging("[[0, 0, -500], [0, 0, 0]]")))
    rows = cells(profile_weld_table(pieces, units, 500.0).blocks)
    total = {"mm": "0.18 m", "in": "0.58 ft"}[units]  # 80 + 96.6 mm
    assert rows[-1][-1] == total


def test_profiles_that_nothing_joins_have_no_table() -> None:
    assert not profile_weld_table(pieces_of(read(HEAD + profile("R", "[[0, 0, 0], [500, 0, 0]]"))), "mm", 500.0).blocks
