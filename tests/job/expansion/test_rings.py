"""Closed routes: a bent ring with one butt joint, and a mitred frame of straight sides."""

from __future__ import annotations

import json
import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from jobs import tube

from fabgen.checks.checked import Checked
from fabgen.checks.registry import run_checks
from fabgen.job.expansion.written import written
from fabgen.job.reader import JobError, read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.hollow.open_ends import open_ends
from fabgen.parts.shape.welds.weld_families import total_weld_length, weld_families

CORNERS = ((0, 0, 0), (1200, 0, 0), (1200, 800, 0), (0, 800, 0))
CLOSED = (*CORNERS, CORNERS[0])
RADIUS = 150.0
LENGTH = 2.0 * (1200.0 + 800.0) - 8.0 * RADIUS + 2.0 * math.pi * RADIUS
"""Four sides less what the bends take of them, and a full circle of bends."""
TWISTED = (
    *((0, 0, 0), (-600, 0, 0), (-600, 1200, 0), (-600, 1200, 600)),
    *((0, 1200, 600), (0, 600, 600), (0, 600, 0), (0, 0, 0)),
)
"""Square corners along which a tube comes round turned by a quarter."""
POINTED = [f"P{i}" for i in (1, 2, 3, 4, 1)]


def text(*tubes: dict[str, Any], points: dict[str, Any] | None = None) -> str:
    def value(given: Any) -> str:
        if isinstance(given, dict):
            return "{ " + ", ".join(f"{key} = {value(each)}" for key, each in given.items()) + " }"
        return "[" + ", ".join(map(value, given)) + "]" if isinstance(given, list | tuple) else json.dumps(given)

    lines = ['[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n[points]']
    lines += [f"{name} = {value(point)}" for name, point in (points or {}).items()]
    for each in tubes:
        lines += ["[[tube]]", *(f"{key} = {value(given)}" for key, given in each.items())]
    return "\n".join(lines)


def made(*tubes: dict[str, Any], **keys: Any) -> tuple[dict[str, LengthPart], dict[str, str]]:
    """The parts by mark, and of what was found all but notes."""
    job = read_text(text(*tubes, **keys)).definitions
    pieces = all_pieces(job)
    parts = {piece.mark: part for piece in pieces if (part := piece.length_part) is not None}
    found = run_checks(Checked(job, pieces))
    return parts, {finding.rule: finding.text for finding in found if finding.level != "note"}


def ring(mark: str = "R", *route: tuple[float, float, float], **keys: Any) -> dict[str, Any]:
    return tube(mark, *(route or CLOSED), section="42.4 x 2.6", **{"bend_radius": RADIUS} | keys)


def refused(*tubes: dict[str, Any]) -> str:
    with pytest.raises(JobError) as error:
        all_pieces(read_text(text(*tubes)).definitions)
    return str(error.value)


# -- bent ----------------------------------------------------------------------------------------
def test_a_ring_butts_in_the_middle_of_its_longest_straight() -> None:
    parts, found = made(ring())
    part = parts["R"]
    assert part.length == pytest.approx(LENGTH, abs=1e-6)
    assert [end.cut for end in part.ends] == ["plain", "plain"]
    for end in part.ends:
        assert end.frame.origin == pytest.approx([600.0, 0.0, 0.0])
    assert float(part.ends[0].frame.x @ part.ends[1].frame.x) == pytest.approx(-1.0)
    assert len(part.bends) == 4
    assert part.is_ring
    assert found == {}


def test_the_joint_may_be_chosen() -> None:
    parts, found = made(ring(closes_at=[1200, 300, 0]))
    part = parts["R"]
    assert part.ends[1].frame.origin == pytest.approx([1200.0, 300.0, 0.0])
    assert part.bends[0].at == pytest.approx(800.0 - 300.0 - RADIUS)
    assert part.length == pytest.approx(LENGTH)
    assert found == {}


def test_radii_of_their_own_stay_at_their_corners() -> None:
    """The ring begins on the side after its second corner, so the third corner's radius comes first."""
    parts, _ = made(ring(bend_radius=[100, 120, 140, 160], closes_at=[1200, 400, 0]))
    assert [bend.radius for bend in parts["R"].bends] == [140, 160, 100, 120]


def test_the_butt_weld_is_counted_once() -> None:
    job = read_text(text(ring())).definitions
    pieces = all_pieces(job)
    assert total_weld_length(pieces) == pytest.approx(math.pi * 42.4, rel=1e-3)
    assert open_ends(job, pieces) == {}, "its two ends close one another"
    (family,) = weld_families(pieces)
    assert [member.name for member in family.members] == ["R start butted", "R finish butted"]


@pytest.mark.parametrize("x", [600.0, 595.0, 610.0, 300.0])
def test_what_lands_on_the_sides_is_not_told_to_extend(x: float) -> None:
    """A bar across the joint, beside it, and far from it; its bore meets the ring first, at its sides."""
    parts, found = made(ring(), tube("S", (x, 0, 0), (x, 800, 0), section="33.7 x 2.6"))
    assert [[joint.onto for joint in end.joints] for end in parts["S"].ends] == [["R"], ["R"]]
    seat = math.sqrt(21.2**2 - 14.25**2)
    assert parts["S"].length == pytest.approx(800.0 - 2.0 * seat, abs=0.01)
    assert parts["R"].length == pytest.approx(LENGTH)
    assert found == {}


def test_a_ring_has_no_metal_past_its_corners() -> None:
    """A tube that would meet the first side carried on past the corner meets nothing, and is left plain."""
    parts, _ = made(ring(), tube("S", (-200, -300, 0), (-200, 0, 0), section="33.7 x 2.6"))
    assert [end.cut for end in parts["S"].ends] == ["plain", "plain"]


def test_a_ring_of_rectangular_tube_keeps_its_turn() -> None:
    """The turn is that of the first side as drawn, upright here, wherever the joint is."""
    upright = ((0, 0, 0), (0, 0, 900), (0, 700, 900), (0, 700, 0), (0, 0, 0))
    for closes_at in ([0, 0, 450], [0, 350, 900], [0, 700, 400], [0, 350, 0]):
        keys = {"bend_radius": 160, "turn": 90, "closes_at": closes_at}
        parts, found = made(tube("R", *upright, section="50 x 30 x 3", **keys))
        frame = parts["R"].frame
        assert frame is not None
        # On the first side the first figure lies along y, in the ring's plane; and so it stays.
        assert abs(float(frame.z @ np.array([1.0, 0.0, 0.0]))) < 1e-9
        assert found == {}


def test_a_hoop_that_stays_open_is_none() -> None:
    parts, found = made(ring("H", *CORNERS, (0, 40, 0)))
    assert parts["H"].axis == pytest.approx(1200 + 800 + 1200 + 760 - 6 * RADIUS + 1.5 * math.pi * RADIUS)
    assert not parts["H"].is_ring
    assert found == {}


# -- straight ------------------------------------------------------------------------------------
def test_a_closed_route_without_radius_is_a_mitred_frame() -> None:
    """Over the outside of 40 mm tube a side is as long as between its points, and 40 mm more."""
    parts, found = made(tube("F", *CLOSED, section="40 x 40 x 3"))
    assert list(parts) == ["Fa", "Fb", "Fc", "Fd"]
    assert [round(part.length, 3) for part in parts.values()] == [1240.0, 840.0, 1240.0, 840.0]
    assert all(end.cut == "mitre" for part in parts.values() for end in part.ends)
    assert found == {}


def test_points_along_a_side_are_no_corners() -> None:
    parts, _ = made(tube("F", (0, 0, 0), (500, 0, 0), *CORNERS[1:], (0, 0, 0), section="40 x 40 x 3"))
    assert list(parts) == ["Fa", "Fb", "Fc", "Fd"]


def test_unequal_sides_lie_alike_all_round_an_upright_frame() -> None:
    upright = ((0, 0, 0), (0, 0, 600), (0, 800, 600), (0, 800, 0), (0, 0, 0))
    parts, found = made(tube("F", *upright, section="60 x 40 x 3", turn=0))
    for part in parts.values():
        assert part.frame is not None
        # The first figure lies along x on the first side, which stands upright.
        assert abs(float(part.frame.z[0])) == pytest.approx(1.0)
    assert found == {}


def test_an_end_that_names_the_frame_sits_on_the_side_there() -> None:
    bar = tube("S", (400, 0, 0), (400, 800, 0), section="30 x 30 x 3", start={"onto": "F"}, finish={"onto": ["F"]})
    parts, found = made(tube("F", *CLOSED, section="40 x 40 x 3"), bar)
    assert [[joint.onto for joint in end.joints] for end in parts["S"].ends] == [["Fa"], ["Fc"]]
    assert parts["S"].length == pytest.approx(760.0, abs=0.5)
    assert found == {}


def test_points_lie_on_sides_and_on_rings() -> None:
    points = {f"P{i}": list(corner) for i, corner in enumerate(CORNERS, 1)}
    points |= {"on_side": {"on": "Fb", "along": 100}, "on_ring": {"on": "R", "along": 100}}
    frame = {"mark": "F", "section": "40 x 40 x 3", "route": POINTED}
    bent = {"mark": "R", "section": "42.4 x 2.6", "route": POINTED, "bend_radius": RADIUS}
    for each, place in ((frame, (1200.0, 100.0, 0.0)), (bent, (700.0, 0.0, 0.0))):
        on = {name: point for name, point in points.items() if name in POINTED or each["mark"] in str(point)}
        name = "on_side" if each is frame else "on_ring"
        bar = {"mark": "S", "section": "33.7 x 2.6", "route": [name, [700, 900, 300]]}
        job = read_text(text(each, bar, points=on)).definitions
        assert job.tube[-1].route[0].xyz == pytest.approx(place)


def test_expanded_shows_what_a_closed_route_became_in_the_list_that_it_stands_in() -> None:
    job = read_text(text(tube("F", *CLOSED, section="40 x 40 x 3"), tube("S", (0, 0, 900), (90, 0, 900))))
    assert job.expanded is not None
    shown = written(job.expanded)
    lines = shown.splitlines()
    made = [after for line, after in pairwise(lines) if line == "[[tube]]  # by tube 1"]
    assert made == [f'mark = "F{side}"' for side in "abcd"]
    assert lines[lines.index("[[tube]]  # as it is") + 1] == 'mark = "S"'
    assert read_text(text() + "\n" + shown).definitions.tube[1].mark == "Fb"


# -- what cannot be made ---------------------------------------------------------------------------
def test_faults_of_closed_routes() -> None:
    assert "a closed route has no start" in refused(ring(start={"cut": "plain"}))
    assert "mark" in refused({key: value for key, value in tube("F", *CLOSED).items() if key != "mark"})
    assert "onto" in refused(tube("F", *CLOSED), tube("S", (400, 0, 0), (400, 0, 90), start={"onto": ["F", ["G"]]}))
    assert "lies on no straight of the ring" in refused(ring(closes_at=[50, 0, 0]))
    assert "lies on no straight of the ring" in refused(ring(closes_at=[600, 20, 0]))
    assert "goes with bend_radius" in refused(tube("F", *CLOSED, closes_at=[600, 0, 0]))
    assert "a route that ends at its first point" in refused(ring("H", *CORNERS, closes_at=[600, 0, 0]))
    assert "4 inner points, but 3 bend radii" in refused(ring(bend_radius=[100, 100, 100]))
    assert "the bends there take" in refused(ring(bend_radius=450))
    assert "tighter than the tube itself" in refused(ring(bend_radius=20))
    skewed = tube("R", *TWISTED, section="50 x 30 x 3", bend_radius=120)
    assert "turned by 90.0 degrees" in refused(skewed)
    assert made(tube("R", *TWISTED, section="40 x 40 x 3", bend_radius=120))[0]["R"].is_ring, "a square fits itself"
    assert made(ring("R", *TWISTED))[0]["R"].is_ring, "a round tube fits whatever the twist"
