"""Parts that a mirror or a repeat makes again, with more made of them than they have places: five faults, and four that
only look so."""

from __future__ import annotations

from dataclasses import replace

import pytest
from jobs import checked, findings
from one_sided_parts import CROSS, RAIL, bracket, mirror, plate

from fabgen.app.hands import with_own_images
from fabgen.checks.hands import made_again, one_side
from fabgen.job.expansion.written_keys import WrittenKeys
from fabgen.job.reader import read_text

TWICE = RAIL + "quantity = 2\n"
LINK = '[[link]]\nmark = "L"\nsection = "25 x 4"\nbetween = [[0, 100, 0], [400, 100, 0]]\n'
LINK += 'rod_ends = ["M12 right", "M12 left"]\nquantity = 3\n'
REPEAT = '[[repeat]]\nparts = ["S1"]\ncount = 3\nstep = [0, 0, 200]\n'
LOOSE = '[[plate]]\nmark = "W"\nthickness = 4\nrectangle = [30, 30]\nquantity = 6\n'
FAULTS = [
    (
        TWICE + mirror("S1"),
        "has quantity = 2 and stands at 1 place; the [[mirror]] makes its image besides: leave `quantity` out",
    ),
    (TWICE + REPEAT, "has quantity = 2 and stands at 1 place; the [[repeat]] makes its copies besides: leave"),
    (RAIL + plate() + "quantity = 2\n" + mirror("S1", "P3"), "has quantity = 2 and stands at 1 place"),
    (
        RAIL + bracket(at="200 400").replace("quantity = 2", "quantity = 4") + mirror("S1", "B3"),
        "has quantity = 4 and stands at 2 places; the [[mirror]] makes its image besides: quantity = 2",
    ),
    (
        TWICE + LINK + mirror("S1", "L"),
        "S1 has quantity = 2 and stands at 1 place, L has quantity = 3 and stands at 1 place; the [[mirror]] makes "
        "their images besides: leave `quantity` out of S1 and L",
    ),
]
ONLY_LOOKS_SO = [
    RAIL + bracket(at="200 400") + mirror("S1", "B3"),
    RAIL + LOOSE + mirror("S1", "W"),
    TWICE + CROSS + mirror("S2"),
    RAIL + "quantity = 1\n" + mirror("S1") + REPEAT,
]


def said(text: str, *rules: object) -> list[str]:
    job = with_own_images(read_text(text))
    return [each.text for each in findings(replace(checked(job.definitions), written=WrittenKeys.of(job)), rules)]


@pytest.mark.parametrize(("text", "words"), FAULTS)
def test_more_than_the_places_is_told(text: str, words: str) -> None:
    (found,) = said(text, made_again)
    assert words in found


@pytest.mark.parametrize("text", ONLY_LOOKS_SO)
def test_as_many_as_the_places_is_not(text: str) -> None:
    assert said(text, made_again) == []


def test_a_part_that_is_listed_is_not_called_left_behind_where_its_image_stands_off() -> None:
    by_point = "{ at = [300, 320, 300], of = [30, 15], along = [1, 0, 0], up = [0, 1, 0] }"
    text = RAIL + plate().replace('{ against = "S1", at = 300, side = "left", turn = 0 }', by_point)
    smaller = 'change = { S1-R = { section = "30 x 30 x 3" } }\n'
    assert said(text + mirror("S1", "P3") + smaller, one_side) == []
    (found,) = said(text + mirror("S1") + smaller, one_side)
    assert 'add "P3" to `parts`' in found
