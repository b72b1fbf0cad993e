"""Brackets near a point that is no place on the skin: their hole meets it. Faults, what only looks wrong, the limit."""

from __future__ import annotations

import pytest
from jobs import checked, findings, read

from fabgen.checks.bolt.bolt_lines import bolt_out_of_line
from fabgen.checks.bolt.off_points import MOST, hole_off_point
from fabgen.checks.rule import Finding

JOB = """[job]
title = "Frame"
number = "F-1"
units = "{units}"
[points]
A = [0, 200, 0]
B = [600, 200, 0]
BOLT = [200, 265, 0]
[[tube]]
mark = "S1"
section = "{section}"
turn = 0
route = ["A", "B"]
"""
CLEVIS = {
    "shape": '"clevis"', "thickness": "4", "gap": "60", "length": "40", "height": "45", "bolt": '"M12"',
    "place": '{ against = "S1", near = "BOLT", side = "left", turn = 90 }',
}  # fmt: skip


def said(section: str = "40 x 40 x 3", units: str = "mm", table: str = "bracket", **keys: str) -> list[Finding]:
    own = {**(CLEVIS if table == "bracket" else {}), **keys}
    text = JOB.format(units=units, section=section) + f'[[{table}]]\nmark = "B1"\n'
    text += "".join(f"{key} = {value}\n" for key, value in own.items())
    return findings(checked(read(text)), (hole_off_point,))


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"height": "60"}, "misses BOLT by 15 mm, too far from S1: a height of 45 mm for B1 puts it there"),
        ({"height": "40"}, "misses BOLT by 5 mm, too near to S1: a height of 45 mm for B1"),
        ({"place": '{ against = "S1", near = "BOLT", side = "right" }'}, '`toward = "BOLT"` in place of `side`'),
        ({"place": '{ against = "S1", near = "BOLT", side = "top", turn = 90 }'}, "misses BOLT by"),
        ({"place": '{ against = "S1", near = "BOLT", side = "left", turn = 90, offset = 8 }'}, "8 mm, across S1"),
        ({"place": '{ against = "S1", near = "BOLT", side = "left", of = [32, 35] }'}, ", along S1"),
    ],
)
def test_holes_that_miss_their_bolt(keys: dict[str, str], words: str) -> None:
    (finding,) = said(**keys)
    assert words in finding.text
    assert finding.marks == ("B1",)


def test_several_are_one_finding() -> None:
    places = "".join(f'{{ against = "S1", near = "{at}", side = "left", turn = 90 }},' for at in ("BOLT", "C"))
    text = JOB.format(units="mm", section="40 x 40 x 3").replace("BOLT =", "C = [400, 265, 0]\nBOLT =")
    own = {**CLEVIS, "height": "50", "quantity": "2", "place": f"[{places}]"}
    text += '[[bracket]]\nmark = "B1"\n' + "".join(f"{key} = {value}\n" for key, value in own.items())
    (finding,) = findings(checked(read(text)), (hole_off_point,))
    assert "2 holes miss the points that their parts stand near: B1 at BOLT 5 mm" in finding.text


def test_of_several_places_the_one_is_named_that_is_to_be_turned() -> None:
    places = (
        '{ against = "S1", near = "BOLT", side = "left", turn = 90 }, { against = "S1", near = "C", side = "right" }'
    )
    text = JOB.format(units="mm", section="40 x 40 x 3").replace("BOLT =", "C = [400, 265, 0]\nBOLT =")
    own = {**CLEVIS, "quantity": "2", "place": f"[{places}]"}
    text += '[[bracket]]\nmark = "B1"\n' + "".join(f"{key} = {value}\n" for key, value in own.items())
    (finding,) = findings(checked(read(text)), (hole_off_point,))
    assert finding.text.endswith('`toward = "C"` in place of `side` at place 2 of B1 turns it to that point')


def test_in_inches() -> None:
    keys = {"gap": "2", "length": "1.5", "height": "3", "thickness": "0.16", "bolt": '"1/2 in"'}
    text = JOB.replace("200", "8").replace("600", "24").replace("265", "11")
    (finding,) = findings(
        checked(
            read(
                text.format(units="in", section="2 x 2 x 0.12")
                + '[[bracket]]\nmark = "B1"\n'
                + "".join(f"{key} = {value}\n" for key, value in {**CLEVIS, **keys}.items())
            )
        ),
        (hole_off_point,),
    )
    assert '1" [' in finding.text
    assert '2" [' in finding.text


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_limit_from_both_sides(sign: float) -> None:
    assert not said(height=f"{45.0 + 0.99 * sign * MOST}")
    assert len(said(height=f"{45.0 + 1.01 * sign * MOST}")) == 1


def test_what_only_looks_wrong() -> None:
    """On a bolt, on a round tube, near a joint of tubes, which is a place along it, and a plate with four holes."""
    assert not said()
    assert not said(section="40 x 3")
    assert not said(height="60", place='{ against = "S1", near = "A", side = "left", turn = 90 }')
    four = '[{ at = [10, 10], bolt = "M6", grid = { columns = 2, rows = 2, pitch = [40, 20] } }]'
    place = '{ against = "S1", near = "BOLT", side = "left" }'
    assert not said(table="plate", thickness="4", rectangle="[60, 40]", holes=four, place=place)


# -- the bolt that is to go through ---------------------------------------------------------------
ROD = """[[link]]
mark = "L1"
section = "25 x 4"
between = [{end}, [200, 600, 0]]
rod_ends = ["M12 right", "M12 left"]
[[bolt]]
thread = "M12"
through = ["B1", "3 mm", "L1", "3 mm", "B1"]
"""


def of_bolt(end: str, **keys: str) -> list[tuple[str, str]]:
    """(rule, level) of what is said of the bracket's holes and of the bolt."""
    text = JOB.format(units="mm", section="40 x 40 x 3") + '[[bracket]]\nmark = "B1"\n'
    text += "".join(f"{key} = {value}\n" for key, value in {**CLEVIS, "gap": "22", **keys}.items())
    of = checked(read(text + ROD.format(end=end)), planned=True)
    return [(each.rule, each.level) for each in findings(of, (hole_off_point, bolt_out_of_line))]


RIGHT = '{ against = "S1", near = "BOLT", side = "right", turn = 90 }'


@pytest.mark.parametrize(
    ("end", "keys", "said"),
    [
        ('"BOLT"', {}, []),
        ('"BOLT"', {"place": RIGHT}, [("hole-off-point", "stop")]),
        ('"BOLT"', {"height": "60"}, [("hole-off-point", "stop")]),
        ("[200, 280, 0]", {}, [("bolt-out-of-line", "stop")]),  # the rod's end is wrong
        # What is wrong with the rod is not the bracket's.
        ("[200, 280, 0]", {"height": "42"}, [("hole-off-point", "warn"), ("bolt-out-of-line", "stop")]),
    ],
)  # fmt: skip
def test_a_bolt_that_is_out_of_line_for_that_is_said_once(
    end: str, keys: dict[str, str], said: list[tuple[str, str]]
) -> None:
    assert sorted(of_bolt(end, **keys)) == sorted(said)
