"""Joints with a fault that an old hand sees at once, and joints that only look wrong: of each check five it speaks of,
and two it is silent on."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.open_ends import open_tube_ends
from fabgen.checks.rule import Rule
from fabgen.checks.tube.access import weld_access
from fabgen.checks.tube.bore_holes import hole_in_wall, no_hole
from fabgen.checks.tube.clashes import foot_past_end, tubes_cross
from fabgen.checks.tube.ends.cope_sizes import branch_wider, cut_through, shallow_cope
from fabgen.checks.tube.ends.loose_ends import loose_end
from fabgen.checks.tube.ends.missed_ends import past_main_end, short_end
from fabgen.checks.tube.ends.straight_cuts import coped_round_corner
from fabgen.checks.tube.ends.tube_ends import solid_square
from fabgen.checks.tube.mitre_outlines import mitre_step

Job = list[dict[str, Any]]
PLAIN, MITRE, OPENS = {"cut": "plain"}, {"cut": "mitre"}, {"opens": True}
PIPE = tube("A", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")
SQUARE = tube("A", (-500, 0, 0), (500, 0, 0), section="60 x 60 x 3", turn=0)
THICK = tube("A", (-500, 0, 0), (500, 0, 0), section="100 x 100 x 8", turn=0)
STOPS = PIPE | {"start": PLAIN, "finish": PLAIN}
CHORD = tube("A", (-500, 0, 0), (500, 0, 0), section="114.3 x 5")

TRIANGLE = [(0.0, 0.0, 0.0), (500.0, 0.0, 0.0), (0.0, 500.0, 0.0)]


def up(*places: float, section: str = "33.7 x 2.6", **keys: Any) -> Job:
    """Posts on the main."""
    return [tube(f"P{i}", (x, 0, 0), (x, 0, 400), section=section, **keys) for i, x in enumerate(places)]


def beside(off: float) -> dict[str, Any]:
    """Another pipe that runs beside the main."""
    return tube("C", (-500, off, 0), (500, off, 0), section="60.3 x 3.2")


def brace(mark: str, foot: float, head: float, section: str = "33.7 x 2.6") -> dict[str, Any]:
    return tube(mark, (foot, 0, 0), (head, 0, 400), section=section)


def mitred(*ends: tuple[float, float, float], sections: str = "60 x 40 x 3,60 x 40 x 3", turn: float = 0) -> Job:
    """Two tubes mitred at the first point."""
    corner, first, last = ends
    one, other = sections.split(",")
    return [
        tube("E", first, corner, section=one, finish=MITRE, turn=0),
        tube("F", corner, last, section=other, start=MITRE, turn=turn),
    ]


SPEAKS: dict[Rule[Any], list[Job]] = {
    shallow_cope: [
        [PIPE, brace("P", 0, 1500)],
        [SQUARE, brace("P", 0, -900, "30 x 30 x 3")],
        [PIPE, tube("P", (0, 0, 0), (700, 300, 0))],
        [PIPE, beside(300), tube("P", (-300, 0, 0), (300, 300, 0))],  # at both ends
        [tube("A", (0, 0, -500), (0, 0, 500)), tube("P", (0, 0, 0), (0, 100, 400), section="33.7 x 2.6")],
    ],
    branch_wider: [
        [PIPE, *up(0, section="76.1 x 3")],
        [SQUARE, *up(0, section="80 x 80 x 3")],
        [PIPE, *up(0, section="40 x 80 x 3", turn=0)],  # laid the wide way
        [PIPE, *up(-200, 200, section="76.1 x 3")],
        [tube("A", (0, 0, -500), (0, 0, 500), section="21.3 x 2.3"), tube("P", (0, 0, 0), (300, 0, 0))],
    ],
    cut_through: [
        [PIPE, beside(50), tube("P", (0, 0, 0), (0, 50, 0))],
        [PIPE, beside(58), tube("P", (0, 0, 0), (0, 58, 0))],
        [PIPE, beside(58), tube("P", (0, 0, 0), (5, 58, 0), section="33.7 x 2.6")],
        [PIPE, beside(59), *(tube(f"P{x}", (x, 0, 0), (x, 59, 0)) for x in (0, 100))],
        [PIPE, tube("C", (-500, 0, 55), (500, 40, 55), section="60.3 x 3.2"), tube("P", (0, 0, 0), (0, 20, 55))],
    ],
    no_hole: [
        [STOPS, *up(490, start=OPENS)],
        [STOPS, *up(-490, start=OPENS)],
        [PIPE, tube("P", (0, 25, 0), (0, 25, 400), start=OPENS)],  # the bore runs past
        [PIPE, *up(0), tube("Q", (0, 0, 0), (300, 0, 500), start=OPENS)],  # shared by two
        [PIPE, tube("P", (0, -300, 0), (0, 300, 0), section="60.3 x 3.2", through="A")],
    ],
    hole_in_wall: [
        [PIPE | {"section": "48.3 x 5"}, *up(0, section="48.3 x 2", start=OPENS)],
        [PIPE | {"section": "48.3 x 5"}, *up(-100, 100, section="48.3 x 2", start=OPENS)],
        [PIPE | {"section": "60.3 x 10"}, tube("P", (0, 5, 0), (0, 5, 400), section="42.4 x 2.6", start=OPENS)],
        [PIPE | {"section": "60.3 x 8"}, *up(0, section="60.3 x 3", start=OPENS)],
        [PIPE | {"section": "33.7 x 6"}, tube("P", (0, 0, 0), (300, 0, 300), section="30 x 2", start=OPENS)],
    ],
    weld_access: [
        [CHORD, *up(0, 38)],
        [CHORD, brace("P", -20, -20), brace("Q", 16.5, 16.5)],
        [CHORD, brace("P", -25, -25), brace("Q", 12, 112)],
        [CHORD, brace("P", 0, 50), brace("Q", 60, 10)],  # they lean together
        [CHORD, brace("P", 33, -367), brace("Q", -33, 367)],  # at 90 degrees, 4 apart
    ],
    mitre_step: [
        mitred((500, 0, 0), (0, 0, 0), (500, 400, 0), turn=90),
        mitred((500, 0, 0), (0, 0, 0), (500, 400, 0), sections="60 x 40 x 3,40 x 40 x 3"),
        mitred((500, 0, 0), (0, 0, 0), (900, 0, 0), sections="60.3 x 3.2,48.3 x 3.2"),
        mitred((500, 1000, 200), (0, 1000, 0), (800, 1400, 200)),
        mitred((500, 0, 0), (0, 0, 0), (500, 0, 400), sections="60 x 40 x 3,60 x 60 x 3"),
    ],
    past_main_end: [
        [PIPE, *up(550)],
        [PIPE, *up(-530, 540)],
        [SQUARE, *up(535, section="30 x 30 x 3")],
        [PIPE, brace("P", 540, 800)],
        [PIPE | {"finish": {"extend": 20}}, *up(560)],
    ],
    short_end: [
        [PIPE, tube("P", (0, 0, 45), (0, 0, 400))],
        [SQUARE, tube("P", (0, 0, 35), (0, 0, 400), section="30 x 30 x 3")],
        [PIPE, beside(300), tube("P", (0, 40, 0), (0, 300, 0))],
        [PIPE, tube("P", (0, 0, 50), (200, 0, 400)), tube("Q", (300, 0, 45), (300, 0, 400))],
        [PIPE, tube("P", (0, 0, -400), (0, 0, -45))],  # its finish, from below
    ],
    foot_past_end: [
        [STOPS, *up(500)],
        [STOPS, *up(-495, 495)],
        [STOPS, brace("P", 495, 700)],
        [SQUARE | {"start": PLAIN, "finish": PLAIN}, *up(490, section="40 x 40 x 3")],
        [STOPS | {"finish": {"extend": -30}}, *up(470, start={"onto": ["A"]})],
    ],
    tubes_cross: [
        [PIPE, tube("P", (0, -300, 0), (0, 300, 0))],
        [PIPE, tube("P", (0, -300, 20), (0, 300, 20), section="40 x 40 x 3")],
        [PIPE, tube("P", (-300, 20, 0), (300, 20, 0))],  # side by side in one another
        [PIPE, *up(0, start=PLAIN | {"extend": 20})],
        [PIPE, tube("P", (0, 0, -55), (0, 0, 400))],  # past its main
    ],
    solid_square: [
        [PIPE, *up(0, section="round 20")],
        [PIPE, *up(-100, 100, section="round 30")],
        [PIPE | {"section": "33.7 x 2.6"}, *up(0, section="round 25")],
        [PIPE | {"section": "20 solid"}, *up(0, section="round 16")],
        [PIPE, tube("P", (0, 0, 0), (0, 300, 0), section="round 12")],
    ],
    coped_round_corner: [
        [THICK, *up(0, section="100 x 100 x 8")],
        [THICK, *up(-200, 200, section="100 x 100 x 8")],
        [THICK, *up(0, section="96 x 96 x 8")],
        [THICK, brace("P", 0, 300, "100 x 100 x 8")],
        [THICK | {"section": "150 x 100 x 8"}, *up(0, section="100 x 100 x 8")],
    ],
    loose_end: [
        [SQUARE, *up(0), tube("Q", (200, 300, -600), (200, 58, -36), section="40 x 40 x 3")],  # past the edge
        [SQUARE, *up(0), tube("Q", (200, 48, -400), (200, 48, -30.5), section="40 x 40 x 3")],  # by an edge only
        [PIPE, *up(0), tube("Q", (520, 0, 0), (900, 0, 0))],  # joined to nothing
        [PIPE, *up(0), tube("Q", (300, 0, 0), (60, 90, 300), section="33.7 x 2.6")],  # a brace with one end free
        [SQUARE, *up(0), *(tube(f"Q{x}", (x, 50, -400), (x, 50, -45), section="40 x 40 x 3") for x in (-99, 99))],
    ],
    open_tube_ends: [
        [PIPE],
        [PIPE, *up(0)],
        [SQUARE],
        [PIPE | {"quantity": 3}],
        [tube("H", (0, 0, 0), (0, 0, 500), (300, 0, 500), bend_radius=120)],
    ],
}
SILENT: dict[Rule[Any], list[Job]] = {
    shallow_cope: [
        [PIPE, brace("P", 0, 690)],  # at 30.1 degrees
        mitred((500, 0, 0), (0, 0, 0), (0, 150, 0)),  # no heel
    ],
    branch_wider: [
        [PIPE, *up(0, section="60.3 x 2.9")],
        [PIPE, *up(0, section="80 x 40 x 3", turn=0)],  # the 80 runs along the pipe
    ],
    cut_through: [
        [PIPE, tube("C", (-500, 70, 0), (500, 70, 0), section="60.3 x 3.2"), tube("P", (0, 0, 0), (0, 70, 0))],
        [PIPE, beside(300), tube("P", (-250, 0, 0), (250, 300, 0))],
    ],
    no_hole: [
        [PIPE, *up(0, start=OPENS)],
        [PIPE, tube("P", (0, -300, 0), (0, 300, 0), section="58 x 3", through="A")],  # just goes through
    ],
    hole_in_wall: [
        [PIPE, *up(0, section="60.3 x 5", start=OPENS)],  # as wide outside, its bore narrower than the main's
        [PIPE, tube("P", (0, 8, 0), (0, 8, 400), section="33.7 x 2.6", start=OPENS)],
    ],
    weld_access: [
        [CHORD, *up(0, 54)],
        [PIPE | {"section": "42.4 x 2.6"}, brace("P", 0, -300), brace("Q", 0, 300)],  # one coped onto the other
    ],
    mitre_step: [
        mitred((500, 0, 0), (0, 0, 0), (500, 400, 0)),
        mitred((500, 0, 0), (0, 0, 0), (800, 300, 0), sections="40 x 40 x 3,40 x 40 x 3", turn=90),
    ],
    past_main_end: [
        [PIPE, *up(650)],  # far away is meant so
        [PIPE, *up(550, start=PLAIN)],
    ],
    short_end: [
        [PIPE, tube("P", (0, 0, 45), (0, 0, 400), start=PLAIN)],
        [PIPE, tube("P", (0, 45, 0), (300, 45, 0))],  # beside it
    ],
    foot_past_end: [
        [PIPE, *up(500)],  # it runs on by itself
        [STOPS, *up(483)],  # half of 33.7 within
    ],
    tubes_cross: [
        [PIPE, tube("P", (0, -300, 0), (0, 300, 0), section="33.7 x 2.6", through="A")],
        [PIPE, tube("P", (-300, 54.3, 0), (300, 54.3, 0))],  # against it
    ],
    solid_square: [
        [PIPE, *up(0, section="round 20", start={"fit": "outside"})],
        [SQUARE, *up(0, section="round 20")],  # on a flat face
    ],
    coped_round_corner: [
        [THICK, *up(0, section="50 x 50 x 3")],  # on the flat
        [THICK, *up(0, section="100 x 100 x 8", start=PLAIN)],
    ],
    loose_end: [
        [PIPE, brace("P", 0, 300), brace("Q", 80, 380)],  # the arms of a rack
        [PIPE, *up(0, 60)],  # side by side
    ],
    open_tube_ends: [
        [PIPE | {"section": "40 solid"}],
        [  # mitred all round
            tube(f"E{i}", *ends, start=MITRE, finish=MITRE)
            for i, ends in enumerate(zip(TRIANGLE, TRIANGLE[1:] + TRIANGLE[:1], strict=True))
        ],
    ],
}


def cases(table: dict[Rule[Any], list[Job]]) -> list[Any]:
    return [
        pytest.param(rule, job, id=f"{rule.name}-{i}") for rule, jobs in table.items() for i, job in enumerate(jobs)
    ]


def test_each_has_five_and_two() -> None:
    assert {len(jobs) for jobs in SPEAKS.values()} == {5}
    assert {rule: len(jobs) for rule, jobs in SILENT.items()} == dict.fromkeys(SPEAKS, 2)


@pytest.mark.parametrize(("rule", "job"), cases(SPEAKS))
def test_it_speaks_of_and_names_each_once(rule: Rule[Any], job: Job) -> None:
    said = findings(checked(definitions(None, tube=job)), [rule])
    assert said
    assert len({finding.text for finding in said}) == len(said)
    assert len(said) == len({(finding.level, finding.text.partition(" (")[0]) for finding in said})


@pytest.mark.parametrize(("rule", "job"), cases(SILENT))
def test_it_is_silent_on(rule: Rule[Any], job: Job) -> None:
    assert [finding.text for finding in findings(checked(definitions(None, tube=job)), [rule])] == []


# -- limits: one per cent within, one per cent beyond ------------------------------------------------
def said(rule: Rule[Any], *job: dict[str, Any]) -> list[str]:
    return [finding.text for finding in findings(checked(definitions(None, tube=list(job))), [rule])]


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_thirty_degrees_are_the_limit_of_a_cope(share: float) -> None:
    run = 400.0 / math.tan(math.radians(30.0 * share))
    assert bool(said(shallow_cope, PIPE, brace("P", 0, run))) == (share < 1.0)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_the_main_s_own_width_is_the_limit_of_a_branch(share: float) -> None:
    assert bool(said(branch_wider, PIPE, *up(0, section=f"{60.3 * share:.3f} x 3"))) == (share > 1.0)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_an_end_more_than_100_mm_past_another_is_meant_so(share: float) -> None:
    assert bool(said(past_main_end, PIPE, *up(500.0 + 100.0 * share))) == (share < 1.0)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_main_goes_on_by_no_more_than_one_and_a_quarter_of_its_size(share: float) -> None:
    """The foot of 33.7 mm reaches 16.85 mm past its middle."""
    past = 1.25 * 60.3 * share - 16.85
    (text,) = said(past_main_end, PIPE, *up(500.0 + past))
    assert ("`finish = { extend = " in text) == (share < 1.0)
    assert f"move the foot {math.ceil(12.5 * 60.3 * share) / 10.0:g} mm back along A" in text


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_an_end_its_own_size_and_25_mm_short_is_meant_so(share: float) -> None:
    off = 30.15 + (33.7 + 25.0) * share
    assert bool(said(short_end, PIPE, tube("P", (0, 0, off), (0, 0, 400), section="33.7 x 2.6"))) == (share < 1.0)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_the_sum_of_both_walls_is_the_limit_of_a_gap(share: float) -> None:
    """Square bar-like feet on a flat face: the gap is the distance less one width; walls of 8 and 8 are 16."""
    apart = 40.0 + 16.0 * share
    thick = "40 x 40 x 8"
    posts = [tube(f"P{i}", (x, 0, 0), (x, 0, 400), section=thick) for i, x in enumerate((0.0, apart))]
    (text,) = said(weld_access, SQUARE, *posts)
    assert ("less than the sum of both walls" in text) == (share < 1.0)
    move = (16.0 if share < 1.0 else 20.0) - 16.0 * share
    assert f"move it {math.ceil(round(move * 10.0, 4)) / 10.0:g} mm away" in text


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_step_of_one_millimetre_is_the_limit_of_a_mitre(share: float) -> None:
    """Of two square tubes in one line one is so much wider: its corners stand out by half of that each way."""
    wide = 40.0 + 2.0 * share
    job = mitred((500, 0, 0), (0, 0, 0), (900, 0, 0), sections=f"40 x 40 x 3,40 x {wide:.4f} x 3")
    assert bool(said(mitre_step, *job)) == (share > 1.0)


def aside(below: float, off: float = 40.0) -> Job:
    """A post below a main, of which less than half would land on that."""
    post = tube("Q", (200, off, -600), (200, off, -30 - below), section="40 x 40 x 3")
    return [SQUARE, *up(0), post, tube("R", (200, off, -500), (200, 900, -500), section="30 x 30 x 3")]


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_loose_end_farther_off_than_its_own_size_and_25_mm_is_meant_so(share: float) -> None:
    assert bool(said(loose_end, *aside(65.0 * share))) == (share < 1.0)


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_what_is_a_millimetre_off_touches(share: float) -> None:
    told = said(loose_end, *aside(share, 35.0))
    assert told == [] if share < 1.0 else told[0].startswith("its finish ends 1 mm from A and is joined to nothing")


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_tube_100_mm_off_all_others_stands_by_itself(share: float) -> None:
    far = tube("Q", (-400, 30.15 + 24.15 + 100.0 * share, 0), (-100, 30.15 + 24.15 + 100.0 * share, 0))
    told = said(loose_end, PIPE, *up(400), far)
    assert told == (
        [] if share > 1.0 else ["touches nothing, the nearest is 99 mm from A: nothing holds it; are its points right?"]
    )


@pytest.mark.parametrize("share", [0.99, 1.01])
def test_a_brace_s_free_end_half_its_length_off_is_an_arm_s(share: float) -> None:
    main = tube("A", (-2000, 0, 0), (500, 0, 0), section="60 x 60 x 3", turn=0)
    rise = 300.0
    long = math.hypot(rise, rise)
    off = 0.5 * long * share + 15.0 + 20.0
    post = tube("P", (0, off, -600), (0, off, 900), section="40 x 40 x 3")
    tie = tube("T", (0, 0, -400), (0, off, -400), section="30 x 30 x 3")
    knee = tube("Q", (-rise, 0, 0), (0, 0, rise), section="30 x 30 x 3")
    assert bool(said(loose_end, main, post, tie, knee)) == (share < 1.0)


def test_a_ridge_lapped_under_hoops_up_to_the_middle_of_the_last_lies_against_it() -> None:
    hoops = [tube(f"H{x}", (x, -500, 0), (x, 500, 0), section="33.7 x 2.6") for x in (0, 500, 1000)]
    ties = [tube(f"T{y}", (-100, y, 0), (1100, y, 0), section="60.3 x 3.2") for y in (-500, 500)]
    assert said(loose_end, *ties, *hoops, tube("R", (0, 0, -33.7), (1000, 0, -33.7), section="33.7 x 2.6")) == []
