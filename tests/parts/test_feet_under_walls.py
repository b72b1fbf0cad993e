"""Discs and plates at the ends of tubes, a little smaller than these, that leave room for a weld outside: they carry
the tube while the middle of its wall stands on them (a weld all round outside: common practice, no source)."""

from __future__ import annotations

import pytest
from jobs import checked, findings, read

HEAD = '[job]\ntitle = "Feet"\nnumber = "F-1"\nunits = "mm"\nmaterial = "S235"\n'
RAIL = '[[tube]]\nmark = "R"\nsection = "60 x 60 x 3"\nroute = [[0, 0, 500], [800, 0, 500]]\n'


def leg(section: str, foot: str, foot_end: str = "[400, 0, 0]") -> str:
    return (
        f'{HEAD}{RAIL}[[tube]]\nmark = "L"\nsection = "{section}"\nroute = [[400, 0, 500], {foot_end}]\n'
        f"finish = {{ foot = {{ {foot}, thickness = 6 }} }}\n"
    )


def told(text: str) -> list[str]:
    of = checked(read(text), planned=True)
    about = ("off-plate", "into-one-another", "sheet-in-air")
    return [each.text for each in findings(of) if each.rule in about]


CARRIED = [("50 x 3", "disc = 48"), ("50 x 3", "plate = [48, 48]"), ("50 x 50 x 3", "plate = [48, 48]"),
           ("50 x 3", "disc = 80"), ("60 x 40 x 4", "plate = [70, 50]")]  # fmt: skip
LOST = [("50 x 3", "disc = 43"), ("50 x 3", "disc = 46"), ("50 x 50 x 3", "plate = [40, 40]"),
        ("50 x 50 x 3", "plate = [80, 30]"), ("60 x 40 x 4", "disc = 44")]  # fmt: skip


@pytest.mark.parametrize(("section", "foot"), CARRIED)
def test_a_foot_under_the_wall_carries_it(section: str, foot: str) -> None:
    text = leg(section, foot)
    assert told(text) == []
    (piece,) = [each for each in checked(read(text)).pieces if each.mark == "L"]
    end = piece.length_part.ends[1]
    assert [plate.off for plate in end.plates] == [0.0]


@pytest.mark.parametrize(("section", "foot"), LOST)
def test_a_foot_that_the_wall_misses_is_told(section: str, foot: str) -> None:
    assert told(leg(section, foot))


@pytest.mark.parametrize(("plate", "speaks"), [("[55, 50]", False), ("[46, 46]", True)])
def test_under_a_leaning_leg(plate: str, speaks: bool) -> None:
    assert bool(told(leg("50 x 3", f"plate = {plate}", "[450, 0, 0]"))) == speaks
