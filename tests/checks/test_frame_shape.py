"""How a frame as built is out, in words, for frames bent on purpose; and checks of measured lengths."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from jobs import checked, definitions, findings
from worded import fact_texts

from fabgen.checks.checked import Checked
from fabgen.checks.rule import Finding
from fabgen.checks.survey.frame_shape import shape_words
from fabgen.checks.survey.measuring import link_uncertain, poorly_held, reading_misfit, unchecked_point
from fabgen.documents.data.measuring_json import measuring_keys
from fabgen.job.points.as_built import Built, built_frame
from fabgen.job.tables.measuring_tables import AsBuilt
from fabgen.job.values.point import Point
from fabgen.parts.survey.following import Survey

CORNERS = {"RL": (0.0, 550.0, 0.0), "FL": (2000.0, 550.0, 0.0), "RR": (0.0, -550.0, 0.0), "FR": (2000.0, -550.0, 0.0)}
MIDDLES = {"ML": (1000.0, 550.0, 0.0), "MR": (1000.0, -550.0, 0.0)}
TURNED = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])


def built(
    off: dict[str, tuple[float, float, float]],
    by: str = "distances",
    more: bool = False,
    slip: float = 0.0,
    datum: float | None = None,
) -> Built:
    """The frame with some corners off by so much, measured all ways by the tape, with heights, or by places."""
    drawn = CORNERS | (MIDDLES if more else {})
    real = {name: tuple(np.add(at, off.get(name, (0.0, 0.0, 0.0)))) for name, at in drawn.items()}
    taped = [(a, b, math.dist(real[a], real[b])) for a, b in itertools.combinations(drawn, 2)]
    if slip:
        taped[0] = (*taped[0][:2], taped[0][2] + slip)
    given = AsBuilt.model_construct(
        distances=[] if by == "places" else taped,
        heights={name: at[2] + 312.0 for name, at in real.items()} if by == "heights" else {},
        points={n: tuple(TURNED @ np.array(at) + [100.0, 200.0, 3.0]) for n, at in real.items()}
        if by == "places"
        else {},
        made=[],
        error=None,
        allowed=2.0,
    )
    found, problems = built_frame(given, {n: Point(*at, n) for n, at in drawn.items()}, [], [], 1.0, datum)
    assert not problems
    assert found is not None
    return found


def levelled(datum: float | None = -200.0, **read: float) -> Built:
    """The corners' heights alone: 200 mm each over the datum as drawn."""
    drawn = {name: Point(*at, name) for name, at in (CORNERS | MIDDLES).items() if name in read}
    given = AsBuilt.model_construct(distances=[], heights=read, points={}, made=[], error=None, allowed=2.0)
    found, problems = built_frame(given, drawn, [], [], 1.0, datum)
    assert not problems
    assert found is not None
    return found


def told(frame: Built) -> list[str]:
    return [text.words() for text in shape_words(frame)]


def misfits(frame: Built) -> list[Finding]:
    return findings(Checked(definitions(), [], built=frame), [reading_misfit])


def test_a_true_frame() -> None:
    assert told(built({}))[0] == "same shape as drawn: every point that was measured is where it was drawn"


def test_a_racked_frame() -> None:
    """Both left corners 3 mm ahead: the diagonals differ by hypot(2003, 1100) - hypot(1997, 1100) = 5.3 mm."""
    assert math.hypot(2003, 1100) - math.hypot(1997, 1100) == pytest.approx(5.26, abs=0.01)
    (text,) = told(built({"FL": (3, 0, 0), "RL": (3, 0, 0)}))
    assert text.startswith("same shape but racked in plan by 5.3 mm across the diagonals")


def test_one_low_corner_of_six() -> None:
    low = {"FL": (0.0, 0.0, -4.0)}
    alike = "same shape as drawn, but FL stands 4 mm low; RL, RR, FR, ML and MR are alike"
    assert told(built(low, "heights", more=True))[0] == alike
    words = told(built(low, "places", more=True))
    assert words[0] == "same shape as drawn but for FL: it is 4 mm low; the others agree"
    assert words[1] == "to the directions it was measured in it stands turned by 90° about the upright axis"


@pytest.mark.parametrize(
    ("read", "said"),
    [
        ({"FL": 206, "FR": 200, "RL": 200, "RR": 200}, "but FL stands 6 mm high; RL, RR and FR are alike"),
        ({"FL": 200, "FR": 200, "RL": 194, "RR": 200}, "but RL stands 6 mm low; FL, RR and FR are alike"),
        ({"FL": 206, "FR": 206, "RL": 206, "RR": 200}, "but RR stands 6 mm low; RL, FL and FR are alike"),
        ({"FL": 206, "FR": 201.5, "RL": 200, "RR": 199.2}, "but FL stands 5.8 mm high; RL, RR and FR are alike"),
        ({"FL": 206, "FR": 200, "RL": 200, "RR": 200, "ML": 200, "MR": 195}, "but FL stands 6 mm high and MR stands 5"),
        ({"FL": 206, "FR": 203, "RL": 200, "RR": 200}, "FL stands 6 mm high and FR stands 3 mm high over the datum"),
        ({"FL": 202.02, "FR": 200, "RL": 200, "RR": 200}, "but FL stands 2 mm high"),
    ],
)
def test_over_a_datum_the_corner_that_differs_is_named(read: dict[str, float], said: str) -> None:
    names = {name: read[name] for name in CORNERS | MIDDLES if name in read}
    assert said in told(levelled(**names))[0]


@pytest.mark.parametrize(
    ("read", "more"),
    [
        ({"RL": 200, "FL": 206, "RR": 200, "FR": 206}, ["it stands 0.17° out of level fore and aft"]),
        ({"RL": 206, "FL": 206, "RR": 206, "FR": 206}, ["it stands 6 mm high over the datum"]),
        ({"RL": 200, "FL": 201.98, "RR": 200, "FR": 200}, []),
    ],
)
def test_a_frame_that_only_stands_otherwise_is_as_drawn(read: dict[str, float], more: list[str]) -> None:
    first, *rest = told(levelled(**read))
    assert first.startswith("same shape as drawn: ")
    assert [text.split(",")[0] for text in rest] == more


def test_two_corners_out_of_six_are_named_without_a_datum_too() -> None:
    """Four alike, in a plane and at one height: no tilt is made up to explain the two."""
    (text,) = told(levelled(None, RL=200, FL=206, RR=200, FR=200, ML=200, MR=195))
    assert text.startswith("same shape as drawn, but FL stands 6 mm high and MR stands 5 mm low; RL, RR, FR and ML are")


def test_three_heights_over_a_datum_name_the_corner_though_they_give_no_shape() -> None:
    (text,) = told(levelled(FL=206, RR=200, FR=200))
    assert text.startswith("FL stands 6 mm high over the datum; too little was measured for the frame's shape")


def test_what_stands_as_drawn_over_the_datum_stays_there() -> None:
    """So that nothing that hangs on the three corners alike gets another length."""
    frame = levelled(RL=200, FL=206, RR=200, FR=200)
    assert {name: round(point.z, 3) for name, point in frame.points.items()} == {"RL": 0, "FL": 6, "RR": 0, "FR": 0}


def test_without_a_datum_both_readings_of_a_twist_are_said() -> None:
    (text,) = told(levelled(None, RL=200, FL=206, RR=200, FR=200))
    assert text == (
        "same shape but twisted: FL or RR stands 6 mm high, or RL or FR 6 mm low (RL, RR and FR read alike, FL "
        "differs): no datum tells them apart, so give [measuring] `datum`"
    )
    (text,) = told(built({"FL": (0.0, 0.0, -4.0)}, "places"))[:1]
    assert "RL or FR stands 4 mm high, or FL or RR 4 mm low: no datum tells them apart" in text


def test_racking_and_a_high_corner_are_two_sentences() -> None:
    frame = built({"FL": (3, 0, 6), "RL": (3, 0, 0)}, "heights", datum=-312.0)
    first, second = told(frame)
    assert first.startswith("same shape but racked in plan by 5.")
    assert second == "besides, FL stands 6 mm high; RL, RR and FR are alike"


def test_a_long_frame() -> None:
    (text,) = told(built({"FL": (6, 0, 0), "FR": (6, 0, 0)}, more=False))
    assert text == "same shape but 6 mm too long over 2000 mm"


def test_no_single_shape_is_made_up() -> None:
    words = told(built({"FL": (6, 3, 0), "ML": (0, 5, 0)}, more=True))
    assert words[0].startswith("out of shape")
    assert any(text.startswith("FL is") for text in words)


def test_a_slip_of_the_tape_is_named() -> None:
    (misfit,) = misfits(built({}, more=True, slip=20.0))
    assert misfit.text.startswith("likeliest wrong is RL to FL, read 2020 mm, where the others say 2000 mm")
    assert misfit.level == "stop"
    assert [f.level for f in misfits(built({}, more=True, slip=3.0))] == ["warn"]


JOB = """
[job]
title = "t"
number = "1"
units = "mm"
[measuring]
tape_error = "{error}"
[points]
A = [0, 600, 0]
B = [0, -600, 0]
C = [1500, 600, 0]
H = {{ tape = {{ A = 943.4, B = 1268.9, C = 860.2 }}, side = "above" }}
[[link]]
mark = "L1"
section = "25.4 x 4"
between = ["A", "H"]
rod_ends = ["M12 right", "M12 left"]
"""


def test_a_link_known_worse_than_it_adjusts_is_told() -> None:
    """Its length is the reading A itself, within the stated error; it adjusts by 15 mm."""
    for error, is_told in (("2 mm", False), ("25 mm", True)):
        of = checked(JOB.format(error=error))
        assert fact_texts(of.pieces[0].facts)["as measured"] == f"± {error} between its points"
        assert bool(findings(of, [link_uncertain])) is is_told
        assert not [finding for finding in findings(of, [poorly_held, reading_misfit]) if finding.is_stop]


def test_points_that_nothing_checks_are_one_note_with_the_reading_that_would() -> None:
    one = JOB.format(error="2 mm").replace("C = [1500, 600, 0]\n", "C = [1500, 600, 0]\nD = [1500, -600, 200]\n")
    one += '\n[[tube]]\nmark = "OLD"\nsection = "60 x 60 x 3"\nturn = 0\nstate = "there already"\n'
    one += "route = [[1500, -800, 170], [1500, 300, 170]]\n"
    two = one.replace("[[link]]", 'K = { tape = { B = 1268.9, A = 943.4, C = 860.2 }, side = "above" }\n[[link]]')
    assert [f.text for f in findings(checked(one), [unchecked_point])] == [
        "hangs on three readings: nothing checks them. Take one more: H to D, 1157.6 mm (1288.4 mm if it lies on the "
        "other side)"
    ]
    (both,) = findings(checked(two), [unchecked_point])
    assert both.marks == ("H", "K")
    assert both.level == "note"


def test_a_length_that_its_readings_do_not_hold_has_no_tolerance_but_the_reason() -> None:
    """Taped from three places in whose plane it lies: nothing says how high it is."""
    flat = JOB.format(error="2 mm").replace(
        "A = 943.4, B = 1268.9, C = 860.2", "A = 860.2326, B = 989.9495, C = 943.3982"
    )
    of = checked(flat.replace('["A", "H"]', '["H", [700, 100, 400]]'))
    assert fact_texts(of.pieces[0].facts)["as measured"] == "not held by its readings"
    (told,) = findings(of, [link_uncertain])
    assert told.text.startswith("pin to pin is not held by its readings, but it adjusts by ")
    measuring = measuring_keys(Survey(of.job, of.job))["measuring"]
    x, y, z = measuring["points"]["H"]["tolerance_mm"]
    assert max(x, y) < 5.0
    assert z is None
    assert "do not hold it" in measuring["points"]["H"]["tolerance_reason"]
