"""Holes in mains: who opens into whom, where the hole lies, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from jobs import findings, made_by_hand
from pydantic import ValidationError
from worded import fact_texts

from fabgen.checks.tube import bore_holes
from fabgen.job.errors import JobError
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Opening, Piece, length_parts

WIDE = "60.3 x 3.2"
OPENS = {"opens": True}


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def built(*tubes: dict[str, Any]) -> list[Piece]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return all_pieces(job)


def holes(*tubes: dict[str, Any]) -> dict[str, list[Opening]]:
    return holes_of(built(*tubes))


def holes_of(pieces: list[Piece]) -> dict[str, list[Opening]]:
    return {piece.mark: list(part.holes) for piece, part in length_parts(pieces) if part.holes}


def refused_of(pieces: list[Piece]) -> list[tuple[str, str]]:
    """(branch, why) of every hole that cannot be marked."""
    return [(piece.mark, why) for piece, part in length_parts(pieces) for end in part.ends for why in end.no_hole]


MAIN = tube("T1", (-500, 0, 0), (500, 0, 0), section=WIDE)


def test_none_unless_asked() -> None:
    assert holes(MAIN, tube("T2", (0, 0, 0), (0, 700, 0))) == {}


def test_a_square_branch_to_the_left() -> None:
    """The main's left is a quarter round against the sense of the station; its start is 500 mm away."""
    (hole,) = holes(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start=OPENS))["T1"]
    assert (hole.main, hole.branch, hole.at, hole.name) == ("T1", "T2", "start", "T2")
    assert hole.bore.width == pytest.approx(41.9)
    assert hole.edge.centre == pytest.approx((-math.pi * 60.3 / 4.0, 500.0))
    assert hole.edge.size == pytest.approx((60.3 * math.asin(41.9 / 60.3), 41.9))
    assert hole.through
    assert hole.place.words() == "500.0 mm from the start's saw cut, 47.4 mm round to the left of TOP"


def test_up_and_to_the_right() -> None:
    found = holes(
        MAIN, tube("T2", (100, 0, 0), (100, 0, 700), start=OPENS), tube("T3", (300, 0, 0), (300, -700, 0), start=OPENS)
    )["T1"]
    assert [hole.edge.centre for hole in found] == [
        pytest.approx((0.0, 600.0), abs=1e-9),
        pytest.approx((math.pi * 60.3 / 4.0, 800.0)),
    ]
    assert found[0].place.words().endswith("on TOP")


def test_the_start_is_the_mains_saw_cut() -> None:
    """A start longer than its point moves the figure, and so does a coped one."""
    long = {**MAIN, "start": {"extend": 40}}
    branch = tube("T2", (0, 0, 0), (0, 700, 0), start=OPENS)
    assert holes(long, branch)["T1"][0].edge.centre[1] == pytest.approx(540.0)
    post = tube("T9", (-500, 0, -300), (-500, 0, 300), section="88.9 x 4")
    (hole,) = holes(post, MAIN, branch)["T1"]
    # Fit clear: the main's longest points lie at its sides, where its bore is 26.95 off the post's axis.
    inner = 26.95
    assert hole.edge.centre[1] == pytest.approx(500.0 - math.sqrt(44.45**2 - inner**2))


def test_a_rectangular_main() -> None:
    box = tube("T1", (-500, 0, 0), (500, 0, 0), section="60 x 40 x 3 r 6")
    (hole,) = holes(box, tube("T2", (0, 0, 0), (0, 700, 0), section="33.7 x 2.6", start=OPENS))["T1"]
    girth = 200.0 - (8.0 - 2.0 * math.pi) * 6.0
    assert hole.edge.centre == pytest.approx((-girth / 4.0, 500.0))
    assert hole.edge.size == pytest.approx((28.5, 28.5))


def test_a_rectangular_branch_stands_as_the_job_turns_it() -> None:
    for turn, size in ((0.0, (34.0, 14.0)), (90.0, (14.0, 34.0))):
        branch = tube("T2", (0, 0, 0), (0, 700, 0), section="40 x 20 x 3", start=OPENS, turn=turn)
        (hole,) = holes(tube("T1", (-500, 0, 0), (500, 0, 0), section="80 x 60 x 3 r 6"), branch)["T1"]
        assert hole.bore_size.words() == "34 x 14 mm"
        assert hole.edge.size == pytest.approx(size)


def test_both_ends_of_one_branch() -> None:
    other = tube("T3", (-500, 700, 0), (500, 700, 0), section=WIDE)
    found = holes(MAIN, other, tube("T2", (0, 0, 0), (0, 700, 0), start=OPENS, finish=OPENS))
    assert [found["T1"][0].name, found["T3"][0].name] == ["T2", "T2"]
    assert found["T3"][0].edge.centre == pytest.approx((math.pi * 60.3 / 4.0, 500.0))


def test_the_main_tells_its_holes() -> None:
    main = built(MAIN, tube("T2", (0, 0, 0), (0, 0, 700), start=OPENS))[0]
    assert fact_texts(main.facts)["hole for T2"] == "bore 41.9 mm, centre 500.0 mm from the start's saw cut, on TOP"


def test_a_second_main_that_the_bore_does_not_reach() -> None:
    """T3 stands on T1 and T2, but T2 rises above T1 only from y = sqrt(30.15^2 - 24.15^2) = 18.05 on,
    outside its bore of 16.2 mm radius: one whole hole, in T1."""
    found = built(
        MAIN,
        tube("T2", (0, 0, 0), (0, 700, 0)),
        tube("T3", (0, 0, 0), (0, 0, 600), section="42.4 x 5", start={"onto": ["T1", "T2"], **OPENS}),
    )
    part = found[2].length_part
    assert part is not None
    assert [joint.onto for joint in part.ends[0].joints] == ["T1", "T2"]
    assert not refused_of(found)
    assert [(main, [hole.branch for hole in holes]) for main, holes in holes_of(found).items()] == [("T1", ["T3"])]


class TestBentMains:
    """A hoop: 600 mm along x, then 500 mm up, with a bend of 150 mm between them."""

    HOOP = tube("T1", (0, 0, 0), (600, 0, 0), (600, 0, 500), section=WIDE, bend_radius=150)

    def test_holes_are_placed_along_the_tube_before_it_is_bent(self) -> None:
        found = built(
            self.HOOP,
            tube("T2", (300, 0, 0), (300, 700, 0), start=OPENS),
            tube("T3", (600, 0, 300), (600, 700, 300), start=OPENS),
            tube("T4", (600, 0, 400), (1200, 0, 400), section="33.7 x 2.6", start=OPENS),
        )
        assert refused_of(found) == []
        arc = 150.0 * math.pi / 2.0
        quarter = math.pi * 60.3 / 4.0
        assert [hole.edge.centre for hole in holes_of(found)["T1"]] == [
            pytest.approx((-quarter, 300.0)),
            # The top line follows the bend: up the leg it is on the inside, toward -x; the left stays the left.
            pytest.approx((-quarter, 450.0 + arc + 150.0)),
            pytest.approx((2.0 * quarter, 450.0 + arc + 250.0)),
        ]

    def test_on_a_bend_and_into_one(self) -> None:
        near = tube("T2", (440, 0, 0), (440, 700, 0), start=OPENS)
        ((_, why),) = refused_of(built(self.HOOP, near))
        assert "into a bend of T1" in why
        ((_, why),) = refused_of(built(self.HOOP, tube("T2", (560, 0, 40), (560, 700, 40), start=OPENS)))
        assert "T1 is bent there" in why


class TestRefusals:
    def why(self, *tubes: dict[str, Any]) -> str:
        found = built(*tubes)
        ((branch, why),) = refused_of(found)
        assert holes_of(found) == {}
        (finding,) = findings(made_by_hand(*found), bore_holes.RULES)
        assert (finding.level, finding.rule, finding.mark) == ("stop", "no-hole", branch)
        assert why in finding.text
        return why

    def test_the_bore_runs_past(self) -> None:
        assert "past T1" in self.why(MAIN, tube("T2", (0, 0, 25), (0, 700, 25), start=OPENS))

    def test_two_mains_share_the_bore(self) -> None:
        why = self.why(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)), tube("T3", (0, 0, 0), (300, 500, 0), start=OPENS))
        assert "T1 and T2 at once" in why

    def test_off_the_end_of_the_main(self) -> None:
        stops = {**MAIN, "start": {"cut": "plain"}, "finish": {"cut": "plain"}}
        assert "off the finish of T1" in self.why(stops, tube("T2", (490, 0, 0), (490, 700, 0), start=OPENS))
        assert "off the start of T1" in self.why(stops, tube("T2", (-490, 0, 0), (-490, 700, 0), start=OPENS))

    def test_a_bore_wider_than_the_mains(self) -> None:
        """44.3 mm of bore in a tube of 38.3 mm: at its sides the cut stays in the wall."""
        thick = tube("T1", (-500, 0, 0), (500, 0, 0), section="48.3 x 5")
        found = built(thick, tube("T2", (0, 0, 0), (0, 700, 0), section="48.3 x 2", start=OPENS))
        (hole,) = holes_of(found)["T1"]
        assert not hole.through
        (finding,) = findings(made_by_hand(*found), bore_holes.RULES)
        assert (finding.level, finding.rule) == ("warn", "hole-in-wall")


class TestFaults:
    def fault(self, *tubes: dict[str, Any]) -> tuple[tuple[str | int, ...], str]:
        with pytest.raises(JobError) as error:
            built(*tubes)
        (problem,) = error.value.problems
        return problem.path, problem.what

    def test_a_plain_end(self) -> None:
        path, what = self.fault(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), finish=OPENS))
        assert path == ("tube", 1, "finish", "opens")
        assert "plain" in what

    def test_a_mitred_end(self) -> None:
        _, what = self.fault(
            tube("T1", (0, 0, 0), (800, 0, 0), finish={"cut": "mitre"}),
            tube("T2", (800, 0, 0), (800, 600, 0), start=OPENS),
        )
        assert "mitred" in what

    def test_a_solid_bar(self) -> None:
        assert "no bore" in self.fault(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), section="20 solid", start=OPENS))[1]
        bar = tube("T1", (-500, 0, 0), (500, 0, 0), section="60 solid")
        assert "T1 is a solid bar" in self.fault(bar, tube("T2", (0, 0, 0), (0, 700, 0), start=OPENS))[1]

    @pytest.mark.parametrize(
        "end", [{"cut": "plain", "opens": True}, {"opens": "yes"}, {"cut": "mitre", "opens": True}]
    )
    def test_as_written(self, end: dict[str, Any]) -> None:
        with pytest.raises(ValidationError):
            built(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), start=end))


def test_the_edge_lies_on_the_main_and_on_the_bore() -> None:
    """Oblique and offset, in space: back from the sheet to the tube."""
    found = built(MAIN, tube("T2", (0, 0, 5), (300, 600, 105), section="33.7 x 2.6", start=OPENS))
    (hole,) = holes_of(found)["T1"]
    radius = 30.15
    angle = hole.edge.station / radius
    points = np.column_stack((hole.edge.along - 500.0, -radius * np.sin(angle), radius * np.cos(angle)))
    axis = np.array([300.0, 600.0, 100.0]) / np.linalg.norm([300.0, 600.0, 100.0])
    away = points - np.array([0.0, 0.0, 5.0])
    assert np.linalg.norm(away - (away @ axis)[:, None] * axis, axis=1) == pytest.approx(np.full(360, 14.25))
