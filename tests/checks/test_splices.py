"""Tubes end to end in one straight line, and tubes longer than any bar."""

from __future__ import annotations

import math
import re
from typing import Any

import numpy as np
import pytest
from jobs import checked, definitions, findings, tube
from pydantic import ValidationError

from fabgen.checks.checked import Checked
from fabgen.checks.registry import run_checks
from fabgen.checks.stock_and_prices import stock_size
from fabgen.checks.tube.clashes import foot_past_end, tubes_cross
from fabgen.checks.tube.splices import splice
from fabgen.job.errors import JobError
from fabgen.job.expansion.written import written
from fabgen.job.reader import read_text

PLAIN = {"cut": "plain"}
SLEEVED, WELDED = {"splice": "sleeved"}, {"splice": "welded"}
LEFT = tube("A", (0, 0, 0), (500, 0, 0))


def said(*tubes: dict[str, Any], units: str = "mm") -> list[str]:
    of = checked(definitions(tube=list(tubes)))
    return [found.said.words(units) for found in findings(of, [splice])]


# -- end to end --------------------------------------------------------------------------------
def test_two_tubes_in_one_straight_line_are_offered_as_one() -> None:
    (text,) = said(LEFT, tube("B", (500, 0, 0), (1200, 0, 0)))
    assert "A with B (1200 mm as one)" in text
    (text,) = said(LEFT, tube("B", (500, 0, 0), (1200, 0, 0)), units="in")
    assert '47.244" [1200 mm] as one' in text


def test_several_are_one_finding() -> None:
    (text,) = said(LEFT, tube("B", (500, 0, 0), (900, 0, 0)), tube("C", (900, 0, 0), (1300, 0, 0)))
    assert "A with B" in text
    assert "B with C" in text


def test_turned_end_for_end_and_rectangular_too() -> None:
    assert said(LEFT, tube("B", (1200, 0, 0), (500, 0, 0)))
    sides = {"section": "60 x 40 x 3", "turn": 0}
    assert said(tube("A", (0, 0, 0), (500, 0, 0), **sides), tube("B", (500, 0, 0), (900, 0, 0), **sides))


@pytest.mark.parametrize(("degrees", "speaks"), [(0.99, True), (1.01, False)])
def test_in_line_to_within_a_degree(degrees: float, speaks: bool) -> None:
    aside = 700.0 * math.tan(math.radians(degrees))
    assert bool(said(LEFT, tube("B", (500, 0, 0), (1200, aside, 0)))) is speaks


def test_a_splice_that_is_confirmed_and_a_tube_between_are_none() -> None:
    there = tube("B", (500, 0, 0), (1200, 0, 0))
    assert said(LEFT | {"finish": WELDED}, there) == []
    assert said(LEFT, there | {"start": WELDED}) == []
    assert said(tube("M", (500, -300, 0), (500, 300, 0)), LEFT, there) == []
    assert said(LEFT, tube("B", (500, 0, 0), (900, 0, 0), section="60.3 x 3.2")) == []
    assert said(LEFT, tube("B", (520, 0, 0), (900, 0, 0))) == []


def test_sawn_square_is_no_word_of_a_splice() -> None:
    assert said(LEFT | {"finish": PLAIN}, tube("B", (500, 0, 0), (1200, 0, 0), start=PLAIN))


def test_what_to_write_is_written_out() -> None:
    post = tube("P", (100, 0, 0), (100, 0, 600), section="33.7 x 2.6")
    (text,) = said(LEFT, tube("B", (500, 0, 0), (1200, 0, 0)), post)
    assert "make A and B one tube" in text
    assert '`splices = ["375 mm"]`' in text  # a quarter of what is free, 100 to 1200
    assert '`finish = { splice = "sleeved" }` in the table of A' in text


POST = tube("P", (500, 0, 0), (500, 0, 600), section="33.7 x 2.6")


def carrying(*tubes: dict[str, Any]) -> Checked:
    of = checked(definitions(tube=[*tubes, POST]))
    assert [of.tubes[mark].length for mark in ("A", "B")] == pytest.approx([500.0, 700.0])
    assert [joint.onto for joint in of.tubes["P"].ends[0].joints] == ["A", "B"]
    assert findings(of, [tubes_cross, foot_past_end]) == []
    return of


def test_a_splice_that_is_not_confirmed_carries_no_third_tube() -> None:
    (stop,) = findings(carrying(LEFT, tube("B", (500, 0, 0), (1200, 0, 0))), [splice])
    assert stop.is_stop
    assert "P on A with B" in stop.text


def test_a_splice_that_is_confirmed_carries() -> None:
    there = tube("B", (500, 0, 0), (1200, 0, 0), start=WELDED)
    assert findings(carrying(LEFT, there), [splice]) == []
    of = checked(definitions(tube=[POST, LEFT, there]))  # whichever comes first
    assert [joint.onto for joint in of.tubes["P"].ends[0].joints] == ["A", "B"]
    assert findings(of, [splice, tubes_cross, foot_past_end]) == []


def test_a_spliced_end_has_nothing_else_said_of_it() -> None:
    with pytest.raises(ValidationError, match="splice"):
        definitions(tube=[LEFT | {"finish": {"splice": "welded", "onto": ["B"]}}])
    with pytest.raises(ValidationError, match="splice"):
        definitions(tube=[LEFT | {"finish": {"splice": "welded", "cut": "mitre"}}])


# -- longer than any bar -------------------------------------------------------------------------
def too_long(*tubes: dict[str, Any], **tables: Any) -> str:
    of = checked(definitions(tube=list(tubes), **tables), planned=True)
    (found,) = findings(of, [stock_size])
    return found.said.words("mm")


def test_a_tube_longer_than_any_bar_is_offered_a_splice_with_its_place() -> None:
    """Of the free stretches 0 to 3000 and 3000 to 8000 the longer one, a quarter of it along."""
    long = tube("L", (0, 0, 0), (8000, 0, 0))
    post = tube("M", (3000, 0, 0), (3000, 0, 600), section="33.7 x 2.6")
    assert '`splices = ["4250 mm"]`' in too_long(long, post)


def places(text: str) -> list[float]:
    return [float(each) for each in re.findall(r"([0-9.]+) mm\"", text.split("splices = [")[1].split("]")[0])]


@pytest.mark.parametrize("length", [6100.0, 7500.0, 9000.0, 11900.0, 12500.0, 23000.0])
def test_every_piece_comes_from_a_bar_and_there_are_no_more_than_need_be(length: float) -> None:
    found = places(too_long(tube("L", (0, 0, 0), (length, 0, 0))))
    assert all(96.6 - 0.1 <= piece <= 6000.0 for piece in np.diff([0.0, *found, length]))
    assert len(found) + 1 == math.ceil(length / 6000.0)


def test_bent_tubes_are_offered_places_in_their_straights() -> None:
    bent = tube("H", (0, 0, 0), (6000, 0, 0), (6000, 2000, 0), bend_radius=200)
    (place,) = places(too_long(bent))
    assert 96.6 <= place <= 5800 - 96.6 or place >= 5800 + math.pi * 100 + 96.6


# -- cut and spliced ----------------------------------------------------------------------------------
JOB = '[job]\ntitle = "t"\nnumber = "1"\nunits = "UNITS"\n'


def spliced(keys: str, *more: str, units: str = "mm", mark: str = "T1") -> Checked:
    tables = [f'[[tube]]\nmark = "{mark}"\n{keys}', *(f"[[tube]]\n{each}" for each in more)]
    return checked(read_text(JOB.replace("UNITS", units) + "\n".join(tables)).definitions, planned=True)


STRAIGHT = 'section = "48.3 x 3.2"\nroute = [[0, 0, 0], [8000, 0, 0]]\n'


def test_a_long_tube_becomes_two_pieces_and_a_sleeve() -> None:
    of = spliced(STRAIGHT + 'splices = ["4250 mm"]')
    assert {mark: part.length for mark, part in of.tubes.items()} == pytest.approx(
        {"T1a": 4250.0, "T1b": 3750.0, "T1a-SL1": 4 * 48.3}
    )
    sleeve = of.tubes["T1a-SL1"]
    assert str(sleeve.section).startswith("40 x 3.2")
    assert sleeve.sleeve_of == ("T1a", "T1b")
    assert sleeve.frame is not None
    assert sleeve.frame.origin.tolist() == pytest.approx([4250 - 2 * 48.3, 0, 0])
    assert [found for found in run_checks(of) if found.level != "note"] == []
    assert "tube-lap" not in {found.rule for found in run_checks(of)}
    (opened,) = (found for found in run_checks(of) if found.rule == "open-ends")
    assert opened.marks == ("T1a", "T1b")


def test_what_sat_on_it_sits_on_the_pieces() -> None:
    posts = [
        f'mark = "P{x}"\nsection = "33.7 x 2.6"\nroute = [[{x}, 0, 0], [{x}, 0, 500]]\nstart = {{ onto = ["T1"] }}'
        for x in (1000, 4250, 6000)
    ]
    of = spliced(STRAIGHT + 'splices = ["4250 mm"]', *posts)
    onto = [[joint.onto for joint in of.tubes[f"P{x}"].ends[0].joints] for x in (1000, 4250, 6000)]
    assert onto == [["T1a"], ["T1a", "T1b"], ["T1b"]]


@pytest.mark.parametrize("count", [2, 3, 5])
def test_as_many_pieces_as_places(count: int) -> None:
    given = ", ".join(f'"{8000 * i / count:g} mm"' for i in range(1, count))
    of = spliced(STRAIGHT + f"splices = [{given}]")
    pieces = [part for part in of.tubes.values() if not part.sleeve_of]
    assert [part.length for part in pieces] == pytest.approx([8000 / count] * count, abs=0.01)
    assert len(of.tubes) == 2 * count - 1


@pytest.mark.parametrize(("section", "bare"), [("48.3 x 3.2", ""), ("60 x 40 x 3", 'sleeve = "none"\n')])
def test_a_bent_one_is_cut_along_its_centreline(section: str, bare: str) -> None:
    keys = f'section = "{section}"\nroute = [[0, 0, 0], [2000, 0, 0], [2000, 0, 1500], [2000, 900, 1500]]\n'
    keys += "bend_radius = [200, 150]\n"
    (whole,) = spliced(keys).tubes.values()
    assert whole.path is not None
    at = whole.path.straights[1].at + 600.0
    parts = [p for p in spliced(keys + bare + f'splices = ["{at} mm"]').tubes.values() if not p.sleeve_of]
    assert [p.axis for p in parts] == pytest.approx([at, whole.axis - at], abs=1e-3)
    assert [len(p.bends) for p in parts] == [1, 1]
    assert [p.bends[0].radius for p in parts] == [200.0, 150.0]
    assert parts[1].frame is not None
    assert parts[1].frame.z.tolist() == pytest.approx(whole.path.frame_at(at).z.tolist(), abs=1e-6) or not bare


@pytest.mark.parametrize(("place", "fits"), [(96.7, True), (96.5, False), (1703.3, True), (1703.5, False)])
def test_none_in_a_bend_or_within_half_a_sleeve_of_one_or_of_an_end(place: float, fits: bool) -> None:
    """The straight runs from 0 to 1800 mm; half a sleeve is 2 x 48.3 mm."""
    keys = 'section = "48.3 x 3.2"\nroute = [[0, 0, 0], [2000, 0, 0], [2000, 0, 1500]]\nbend_radius = 200\n'
    keys += f'splices = ["{place} mm"]'
    if fits:
        assert "T1b" in spliced(keys).tubes
    else:
        with pytest.raises(JobError, match="half a sleeve"):
            spliced(keys)


def test_drawn_as_two_it_gets_its_sleeve_once_and_again_from_its_own_expanded_tables() -> None:
    two = 'section = "48.3 x 3.2"\nroute = [[0, 0, 0], [500, 0, 0]]\nfinish = { splice = "sleeved" }'
    other = 'mark = "B"\nsection = "48.3 x 3.2"\nroute = [[500, 0, 0], [1200, 0, 0]]\nstart = { splice = "sleeved" }'
    of = spliced(two, other, mark="A")
    assert list(of.tubes) == ["A", "B", "A-SL1"]
    text = JOB.replace("UNITS", "mm") + f'[[tube]]\nmark = "A"\n{STRAIGHT}splices = ["3000 mm", "6000 mm"]'
    again = read_text(JOB.replace("UNITS", "mm") + written(read_text(text).expanded)).definitions
    assert [each.mark for each in again.tube] == ["Aa", "Ab", "Ac", "Aa-SL1", "Ab-SL1"]


def test_in_inches() -> None:
    keys = 'section = "2 x 0.12"\nroute = [[0, 0, 0], [300, 0, 0]]\nsplices = ["150 in"]'
    sleeve = spliced(keys, units="in").tubes["T1a-SL1"]
    assert (sleeve.section.width, sleeve.length) == pytest.approx((1.75 * 25.4, 8 * 25.4))


@pytest.mark.parametrize(
    ("keys", "what"),
    [
        ('section = "60 x 40 x 3"\nroute = [[0, 0, 0], [8000, 0, 0]]\nsplices = ["4000 mm"]', "54 x 34 mm"),
        ('section = "25 solid"\nroute = [[0, 0, 0], [8000, 0, 0]]\nsplices = ["4000 mm"]', "solid"),
        (STRAIGHT + 'splices = ["5000 mm", "4000 mm"]', "nearer than two half sleeves"),
        (STRAIGHT + 'finish = { splice = "sleeved" }', "no other tube goes on"),
        (STRAIGHT + 'sleeve_of = ["X", "Y"]', 'no tube "X"'),
    ],
)
def test_what_cannot_be_is_said(keys: str, what: str) -> None:
    with pytest.raises(JobError, match=what):
        spliced(keys)


def test_welded_pieces_have_no_sleeve() -> None:
    of = spliced('section = "25 solid"\nroute = [[0, 0, 0], [8000, 0, 0]]\nsplices = ["3000 mm"]\nsleeve = "none"')
    assert list(of.tubes) == ["T1a", "T1b"]
    assert findings(of, [splice]) == []


def test_repeated_tubes_have_sleeves_of_their_own() -> None:
    """What a copy names, that is repeated with it, is the copy's own."""
    text = JOB.replace("UNITS", "mm") + (
        '[[tube]]\nmark = "A"\nsection = "48.3 x 3.2"\nroute = [[0, 0, 0], [500, 0, 0]]\n'
        'finish = { splice = "sleeved" }\n'
        '[[tube]]\nmark = "B"\nsection = "48.3 x 3.2"\nroute = [[500, 0, 0], [1200, 0, 0]]\n'
        '[[tube]]\nmark = "S"\nsection = "40 x 3"\nroute = [[400, 0, 0], [600, 0, 0]]\nsleeve_of = ["A", "B"]\n'
        '[[repeat]]\nparts = ["A", "B", "S"]\ncount = 2\nstep = [0, 300, 0]\n'
    )
    of = checked(read_text(text).definitions)
    assert list(of.tubes) == ["A", "B", "S", "A-2", "B-2", "S-2"]
    assert of.tubes["S-2"].sleeve_of == ("A-2", "B-2")
    assert [found for found in run_checks(of) if found.level != "note"] == []
