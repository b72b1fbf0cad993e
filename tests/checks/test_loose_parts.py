"""The one note on parts without a place: jobs in which they are loose, and jobs in which nothing is amiss."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabgen.app.work import built, planned
from fabgen.job.reader import read_text

HEAD = '[job]\ntitle = "Loose"\nnumber = "L-1"\nunits = "mm"\n'
FRAME = "".join(
    f'[[tube]]\nmark = "S{i}"\nsection = "40 x 2"\nroute = [[0, {y}, 0], [900, {y}, 0]]\n'
    for i, y in ((1, 0), (2, 300))
)
PLATE = '[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [60, 40]\n'
PLACED = 'place = { against = "S1", at = 300 }\n'
ANGLE = '[[bracket]]\nmark = "B1"\nshape = "angle"\nthickness = 4\nradius = 4\nlength = 80\nlegs = [50, 30]\n'
HOOK = '[[bar]]\nmark = "R1"\ndiameter = 8\nlegs = [60, 40]\nbends = [90]\nradius = 12\n'
LINK = '[[link]]\nmark = "L1"\nsection = "20 x 3"\nlength = 400\nrod_ends = ["M12 right", "M12 left"]\n'
COVER = '[[cover]]\nmark = "C1"\nshape = "disc"\nthickness = 2\ndiameter = 200\n'


def told(*tables: str) -> list[str]:
    loaded = read_text(HEAD + "".join(tables), Path("job.toml"))
    found = planned(loaded, built(loaded), None).findings
    return [f"{finding.mark}: {finding.text}" for finding in found if finding.rule == "no-place"]


@pytest.mark.parametrize(
    ("tables", "words"),
    [
        ((FRAME, PLATE), ["P1: has no place: it stands aside in the view", 'against = "S1"']),
        ((FRAME, PLATE + "quantity = 4\n" + PLACED), ["P1: has no place (3 of 4 P1): they stand"]),
        ((FRAME, PLATE + "quantity = 2\n"), ["P1: has no place: its 2 pieces stand aside in the view and were held"]),
        ((FRAME, PLATE, ANGLE), ["P1, B1: have no place"]),
        ((FRAME, LINK), ["L1: has no place", "`between` of a link"]),
        ((FRAME, PLATE + PLACED, HOOK), ["R1: has no place"]),
    ],
)
def test_loose_parts_are_said_once(tables: tuple[str, ...], words: list[str]) -> None:
    (text,) = told(*tables)
    assert all(word in text for word in words), text


@pytest.mark.parametrize(
    "tables",
    [
        (FRAME, PLATE + PLACED),
        (PLATE, ANGLE),  # sheet to be cut, and nothing that it could have a place in
        (FRAME.split("[[tube]]")[1].join(["[[tube]]", ""]), PLATE),  # one tube and a plate make no frame
    ],
)
def test_jobs_that_only_look_loose(tables: tuple[str, ...]) -> None:
    assert told(*tables) == []
