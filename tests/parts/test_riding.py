"""Ends near a plate: what moves against it is not cut to it, since it would be welded there."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import definitions, pieces_of, tube

PLATE = {
    "mark": "P", "thickness": 6, "rectangle": [100, 100],
    "place": {"at": [0.5, -50, -50], "along": [0, 1, 0], "up": [1, 0, 0]},
}  # fmt: skip
ARM = {"name": "arm", "marks": ["T"]}
OTHER = {"name": "knuckle", "marks": ["P"]}


def joint(kind: str, *between: str) -> dict[str, Any]:
    given = {"name": "J", "kind": kind, "between": list(between), "at": [0, 0, 0]}
    return given | ({"axis": [1, 0, 0]} if kind == "hinge" else {})


@pytest.mark.parametrize(
    ("tables", "onto"),
    [
        ({}, "P"),
        ({"body": [ARM], "joint": [joint("hinge", "frame", "arm")]}, ""),
        ({"body": [ARM | {"marks": ["T", "P"]}], "joint": [joint("hinge", "frame", "arm")]}, "P"),
        ({"body": [ARM | {"marks": ["X"]}], "joint": [joint("hinge", "frame", "arm")]}, "P"),
        # A body that no joint lets move is part of the frame: a donor's, which new tubes stand on.
        ({"body": [ARM | {"state": "there already"}]}, "P"),
        ({"body": [ARM], "joint": [joint("fixed", "frame", "arm")]}, "P"),
        ({"body": [ARM, OTHER], "joint": [joint("hinge", "arm", "knuckle")]}, ""),
        ({"body": [ARM, OTHER], "joint": [joint("hinge", "frame", "arm"), joint("fixed", "arm", "knuckle")]}, "P"),
    ],
)
def test_what_moves_is_not_cut_to_what_it_moves_against(tables: dict[str, Any], onto: str) -> None:
    far = tube("X", (0, 0, 500), (200, 0, 500))
    job = definitions(tube=[tube("T", (7, 0, 0), (200, 0, 0)), far], plate=[PLATE], **tables)
    (piece,) = (piece for piece in pieces_of(job) if piece.mark == "T")
    assert piece.length_part is not None
    assert piece.length_part.ends[0].stands_on == onto
