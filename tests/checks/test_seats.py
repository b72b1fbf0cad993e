"""How much of a coped end's round sits on metal: each limit from both sides, faults, and what only looks wrong.

T0 stands upright, T1 comes to it from -x and stops short of it by a root gap; B comes from the side across their joint,
so what of its round lies over the gap sits on nothing. (Shares are held against solids in test_random_nodes.py.)
"""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, read, tube, tubes_text

from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.checks.tube.clashes import foot_past_end, tubes_cross
from fabgen.checks.tube.seats import seat, seated_share
from fabgen.checks.tube.tube_bodies import bodies_of

BOTH = {"finish": {"onto": ["T0", "T1"]}}


def crossed(gap: float, *more: dict[str, Any], main: str = "48.3 x 3.2", **branch: Any) -> list[dict[str, Any]]:
    keys: dict[str, Any] = {"section": "33.7 x 2.6", **BOTH, **branch}
    return [
        tube("T0", (0, 0, -500), (0, 0, 500), section=main),
        tube("T1", (-500, 0, 0), (0, 0, 0), section=main, finish={"gap": gap, "onto": "T0"}),
        tube("B", (-16.85, 500, 0), (-16.85, 0, 0), **keys),
        *more,
    ]


def share_of(tubes: list[dict[str, Any]], mark: str = "B") -> float:
    bodies = bodies_of(checked(definitions(tube=tubes)).tubes)
    return seated_share(bodies[mark], bodies[mark].finish, bodies)


def said(tubes: list[dict[str, Any]]) -> list[Finding]:
    return findings(checked(definitions(tube=tubes)), (seat,))


@pytest.mark.parametrize(
    ("gap", "share", "level"),
    [(0.0, 0.95 * 1.012, None), (0.8, 0.95 * 0.988, "note"), (1.9, 0.9 * 1.012, "note"), (2.6, 0.9 * 0.988, "warn")],
)
def test_limits_from_both_sides(gap: float, share: float, level: str | None) -> None:
    """1.2 % of either limit, as a share is known to a degree of the round."""
    assert share_of(crossed(gap)) == pytest.approx(share, abs=0.001)
    assert [str(finding.level) for finding in said(crossed(gap))] == ([level] if level else [])


def test_the_words_name_the_end_and_its_share() -> None:
    (finding,) = said(crossed(3.0))
    assert finding.text.startswith("1 end sits on less than 95 % of its round")
    assert f"(B finish {int(100.0 * share_of(crossed(3.0)))} %)" in finding.text
    assert finding.marks == ("B",)


def test_what_weld_fills_is_said_so_and_by_itself() -> None:
    """In both the rest of the round lies over the gap between T0 and T1, and nothing hangs past an end."""
    (wedges,), (gaps,) = said(crossed(1.9)), said(crossed(3.0))
    assert "wedges left open between the cuts of the tubes there: fill them with weld" in wedges.text
    assert "lies over gaps between the tubes there: let another tube run on" in gaps.text
    assert not any("past" in finding.text for finding in (wedges, gaps))


# -- what an old hand sees at once ------------------------------------------------------------------
FAULTS = [
    # over the gap: round, from the other side too (one finding for both), at an end's start, square
    (crossed(4.0), ["B"]),
    (crossed(4.0, tube("C", (-16.85, -500, 0), (-16.85, 0, 0), section="33.7 x 2.6", **BOTH)), ["B", "C"]),
    (
        [
            *crossed(4.0)[:2],
            tube("B", (-16.85, 0, 0), (-16.85, 500, 0), section="33.7 x 2.6", start={"onto": ["T0", "T1"]}),
        ],
        ["B"],
    ),
    (crossed(6.0, section="30 x 30 x 2", finish={"onto": ["T0", "T1"], "fit": "clear"}), ["B"]),
    # over the corner of a main that is narrower than the other: its foot lies beside it
    (
        [
            tube("T0", (0, 0, -500), (0, 0, 500), section="26.9 x 2.6"),
            tube("T1", (-500, 0, 0), (0, 0, 0), section="26.9 x 2.6", finish={"onto": "T0", "gap": 3}),
            tube("B", (-10, 400, 400), (-10, 0, 0), section="26.9 x 2.3", **BOTH),
        ],
        ["B"],
    ),
]


@pytest.mark.parametrize(("tubes", "marks"), FAULTS)
def test_feet_over_a_gap(tubes: list[dict[str, Any]], marks: list[str]) -> None:
    (finding,) = said(tubes)
    assert list(finding.marks) == marks
    assert finding.level == "warn"


def test_the_same_in_inches() -> None:
    keys = {"finish": {"onto": ["T0", "T1"]}, "section": "1.3 x 0.1"}
    tubes = [
        tube("T0", (0, 0, -20), (0, 0, 20), section="1.9 x 0.125"),
        tube("T1", (-20, 0, 0), (0, 0, 0), section="1.9 x 0.125", finish={"gap": 0.2, "onto": "T0"}),
        tube("B", (-0.65, 20, 0), (-0.65, 0, 0), **keys),
    ]
    (finding,) = findings(checked(read(tubes_text(*tubes, units="in"))), (seat,))
    assert "of its round" in finding.text


# -- what only looks wrong ----------------------------------------------------------------------
def test_a_foot_across_a_close_joint() -> None:
    assert said(crossed(0.0)) == []


def test_a_foot_beside_the_gap() -> None:
    """Square on the upright tube, or on the other alone."""
    tubes = crossed(4.0)
    for at, onto in ((0.0, "T0"), (-60.0, "T1")):
        moved = tube("B", (at, 500, 0), (at, 0, 0), section="33.7 x 2.6", finish={"onto": onto})
        assert said([*tubes[:2], moved]) == []


def test_a_foot_past_a_plain_end_is_left_to_its_own_rule() -> None:
    tubes = [tube("M", (-500, 0, 0), (10, 0, 0)), tube("B", (5, 500, 0), (5, 0, 0), section="33.7 x 2.6")]
    job = checked(definitions({"corners": "as drawn"}, tube=tubes))
    assert findings(job, (seat,)) == []
    assert len(findings(job, (foot_past_end,))) == 1


@pytest.mark.parametrize("style", ["run on", "mitred"])
@pytest.mark.parametrize("section", ["48.3 x 3.2", "40 x 40 x 3"])
def test_three_at_a_corner_as_the_program_joins_them(style: str, section: str) -> None:
    far = {"A": (500, 0, 0), "B": (0, 500, 0), "C": (0, 0, 500)}
    tubes = [tube(mark, (0, 0, 0), end, section=section) for mark, end in far.items()]
    assert "seat" not in {f.rule for f in run_checks(checked(definitions({"corners": style}, tube=tubes)))}


# -- mains whose own end misses something -----------------------------------------------------------
def beside_a_miss(*more: dict[str, Any]) -> list[dict[str, Any]]:
    """T1's start hangs past the side of T0, so on that side nothing cuts it."""
    return [
        tube("T0", (0, -500, 0), (0, 500, 0), section="48.3 x 3.2"),
        tube("T1", (0, 0, 12), (800, 0, 12), section="40 x 40 x 3", turn=0),
        *more,
    ]


def test_a_branch_sits_on_a_main_whose_end_misses_its_own() -> None:
    tubes = beside_a_miss(tube("B", (600, 0, 12), (600, 0, 400), section="33.7 x 2.6"))
    bodies = bodies_of(checked(definitions(tube=tubes)).tubes)
    assert bodies["T1"].start.line.misses
    assert seated_share(bodies["B"], bodies["B"].start, bodies) == 1.0
    assert not said(tubes)


def test_a_tube_that_misses_with_its_end_is_run_into_on_every_side() -> None:
    for z in (40, 12):  # into the side that its end misses with, and through it
        through = tube("X", (600, -300, z), (600, 300, z), section="21.3 x 2")
        found = findings(checked(definitions(tube=beside_a_miss(through))), (tubes_cross,))
        assert [finding.marks for finding in found] == [("X",)], z
