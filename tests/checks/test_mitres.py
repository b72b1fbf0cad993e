"""Mitres whose two outlines do not meet in the plane they part at.

Golden values by hand: a tube and its mirror image in the mitre's plane meet everywhere, so the roll that
mends a mitre of two like tubes is that of the mirrored top.
"""

import math
import re
from typing import Any

import jobs
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jobs import checked, definitions, findings

from fabgen.checks.rule import Finding
from fabgen.checks.tube.mitre_outlines import mitre_step, mitred_alike

MITRE = {"cut": "mitre"}
Point = tuple[float, float, float]


def tube(mark: str, *route: Point, section: str = "60 x 40 x 3", **keys: Any) -> dict[str, Any]:
    return jobs.tube(mark, *route, section=section, **keys)


def found(*tubes: dict[str, Any]) -> list[Finding]:
    return findings(checked(definitions(tube=list(tubes))), [mitre_step])


def one(*tubes: dict[str, Any]) -> Finding:
    (finding,) = found(*tubes)
    assert (finding.level, finding.rule) == ("warn", "mitre-step")
    return finding


def compound(turn: float | None = None) -> list[dict[str, Any]]:
    rolled = {} if turn is None else {"turn": turn}
    return [
        tube("E", (0, 1000, 0), (500, 1000, 200), finish=MITRE),
        tube("F", (500, 1000, 200), (800, 1400, 200), start=MITRE, **rolled),
    ]


def mirrored_turn(first: Point, corner: Point, last: Point) -> float:
    """The roll of the second tube whose top is the first's, mirrored in the plane that bisects, degrees."""
    f, c, t = (np.array(p, dtype=float) for p in (first, corner, last))
    d, e = ((p - c) / np.linalg.norm(p - c) for p in (f, t))
    n = (d - e) / np.linalg.norm(d - e)
    up = np.array([0.0, 0.0, 1.0])
    top = up - (up @ d) * d
    top = top - 2.0 * (top @ n) * n
    left = np.cross(up, e)
    left /= np.linalg.norm(left)
    sine, cosine = -(top @ left), top @ np.cross(e, left)
    return math.degrees(math.remainder(math.atan2(sine, cosine), math.pi))


def test_a_compound_mitre_of_tubes_rolled_differently() -> None:
    finding = one(*compound())
    assert finding.mark == "F"
    turn = float(re.search(r"`turn = (-?[\d.]+)` in the table of F makes them meet", finding.text)[1])  # type: ignore[index]
    assert turn == pytest.approx(mirrored_turn((0, 1000, 0), (500, 1000, 200), (800, 1400, 200)), abs=0.06)
    assert found(*compound(turn)) == []


def test_the_step_is_that_of_corners_rolled_out_of_line() -> None:
    """On the straight, square on its plane, a 60 x 40 of sharp corners rolled by 90: the 60 face stands 10 out."""
    sharp = "60 x 40 x 3 r 0.1"
    finding = one(
        tube("A", (0, 0, 0), (500, 0, 0), section=sharp, finish=MITRE),
        tube("B", (500, 0, 0), (1000, 0, 0), section=sharp, start=MITRE, turn=90),
    )
    assert "up to 10 mm apart" in finding.text
    assert "`turn = 0` in the table of B makes them meet" in finding.text


@settings(max_examples=15, deadline=None)
@given(st.tuples(*[st.floats(-300, 300)] * 3), st.sampled_from(["60 x 40 x 3", "50 x 50 x 3", "80 x 20 x 2"]))
def test_what_it_says_to_turn_mends_it(away: Point, section: str) -> None:
    last = (600.0 + away[0], away[1], 100.0 + away[2])
    if math.dist(last, (500, 0, 100)) < 60 or last[0] < 450:
        return
    pair = (
        tube("A", (0, 0, 0), (500, 0, 100), section=section, finish=MITRE),
        tube("B", (500, 0, 100), last, section=section, start=MITRE),
    )
    for finding in found(*pair):
        turn = float(re.search(r"`turn = (-?[\d.]+)` in the table of B", finding.text)[1])  # type: ignore[index]
        assert found(pair[0], {**pair[1], "turn": turn}) == []


def test_sizes_that_differ() -> None:
    finding = one(
        tube("A", (0, 0, 0), (500, 0, 0), finish=MITRE),
        tube("B", (500, 0, 0), (500, 400, 0), section="40 x 40 x 3", start=MITRE),
    )
    assert "up to 10 mm apart, as their sizes differ: 40 x 40 x 3 and 60 x 40 x 3" in finding.text
    assert "turn" not in finding.text


def test_a_round_one_of_another_size() -> None:
    finding = one(
        tube("A", (0, 0, 0), (500, 0, 0), section="60.3 x 3.2", finish=MITRE),
        tube("B", (500, 0, 0), (900, 0, 0), section="48.3 x 3.2", start=MITRE),
    )
    assert "up to 6 mm apart" in finding.text


def test_only_the_earlier_can_be_turned() -> None:
    pair = compound()
    pair[1] |= {"route": [[500, 1000, 200], [800, 1400, 200], [1300, 1400, 200]], "bend_radius": 150}
    assert "`turn = " in (finding := one(*pair)).text
    assert " in the table of E makes them meet" in finding.text


@pytest.mark.parametrize("section", ["60 x 40 x 3", "40 x 40 x 3", "48.3 x 3.2"])
def test_frames_in_one_plane_are_silent(section: str) -> None:
    corners: list[Point] = [(0, 0, 0), (500, 0, 0), (600, 400, 0)]
    legs = [
        tube(mark, a, b, section=section, start=MITRE, finish=MITRE)
        for mark, a, b in zip("ABC", corners, corners[1:] + corners[:1], strict=True)
    ]
    assert found(*legs) == []


def test_three_at_a_box_s_corner_are_silent() -> None:
    ends: list[Point] = [(500, 0, 0), (0, 500, 0), (0, 0, 500)]
    assert (
        found(*(tube(m, (0, 0, 0), e, section="40 x 40 x 3", start=MITRE) for m, e in zip("ABC", ends, strict=True)))
        == []
    )


# -- mitres that the job leaves to the program ----------------------------------------------------
RIDGE = [tube("A", (-466.308, 0, 0), (0, 0, 1000)), tube("B", (466.308, 0, 0), (0, 0, 1000))]
KINK = [tube("A", (-500, 0, 0), (0, 0, 0)), tube("B", (0, 0, 0), (500, 0, 134))]
NOSE = [
    tube("A", (0, 300, 0), (900, 0, 0), section="60 x 40 x 3"),
    tube("B", (0, -300, 0), (900, 0, 0), section="60 x 40 x 3"),
]
OBTUSE = [tube("A", (-500, 0, 0), (0, 0, 0)), tube("B", (0, 0, 0), (300, 400, 0))]


def noted(*tubes: dict[str, Any], **tables: Any) -> list[str]:
    return [
        each.text
        for each in findings(checked(definitions(tables.pop("job", None), tube=list(tubes), **tables)), [mitred_alike])
    ]


@pytest.mark.parametrize(
    ("tubes", "what"),
    [
        (RIDGE, "A finish with B finish at 50°"),
        (KINK, "A finish with B start at 165°"),
        (NOSE, "A finish with B finish at 36.9°"),
        (OBTUSE, "A finish with B start at 126.9°"),
        ([*KINK, tube("C", (0, 0, 0), (0, 0, -400), section="33.7 x 2.6")], "A finish with B start at 165°"),
    ],
)
def test_a_mitre_that_the_job_leaves_open_is_noted_once(tubes: list[dict[str, Any]], what: str) -> None:
    (text,) = noted(*tubes)
    assert text.startswith(f"1 pair of like ends that meets at no right angle is mitred ({what}): ")


@pytest.mark.parametrize(
    "tubes",
    [
        [RIDGE[0] | {"finish": {"cut": "mitre"}}, RIDGE[1]],  # the job says so
        [tube("A", (0, 0, 0), (500, 0, 0)), tube("B", (0, 0, 0), (0, 500, 0))],  # square: one runs on, noted there
    ],
)
def test_it_is_silent_where_the_job_speaks(tubes: list[dict[str, Any]]) -> None:
    assert noted(*tubes) == []
    assert noted(*RIDGE, job={"corners": "mitred"}) == []
    assert noted(*RIDGE, node=[{"at": [0, 0, 1000], "corners": "mitred"}]) == []


@pytest.mark.parametrize(("off", "speaks"), [(5.05, True), (4.95, False)])
def test_five_degrees_off_square_are_the_limit(off: float, speaks: bool) -> None:
    lean = math.radians(90.0 + off)
    assert (
        bool(
            noted(
                tube("A", (0, 0, 0), (500, 0, 0)), tube("B", (0, 0, 0), (500 * math.cos(lean), 500 * math.sin(lean), 0))
            )
        )
        is speaks
    )


def test_what_it_says_to_write_copes_one_onto_the_other() -> None:
    (text,) = noted(*RIDGE)
    assert text.endswith('`finish = { onto = ["A"] }` in the table of B copes B instead')
    assert noted(RIDGE[0], RIDGE[1] | {"finish": {"onto": ["A"]}}) == []


def test_pairs_are_one_note() -> None:
    rows = [
        each | {"mark": f"{each['mark']}{i}", "route": [[x, 200 * i, z] for x, _, z in each["route"]]}
        for i in range(9)
        for each in RIDGE
    ]
    (text,) = noted(*rows)
    assert text.startswith(
        "9 pairs of like ends that meet at no right angle are mitred (A0 finish with B0 finish at 50°, "
    )
    assert " and 1 more): " in text
