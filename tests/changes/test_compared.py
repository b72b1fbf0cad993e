"""What somebody who has cut by the old papers must know: which marks are new, gone, renamed or changed, and in what."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import definitions, pieces_of

from fabgen.changes.as_issued import as_issued
from fabgen.changes.compared import compared
from fabgen.changes.issued_part import IssuedPart

Job = dict[str, list[dict[str, Any]]]

TUBE = {
    "mark": "T1",
    "section": "48.3 x 3.2",
    "route": [[0, 0, 0], [612.4, 0, 0]],
    "holes": [{"from": "start", "at": 120, "side": "top", "diameter": 11}],
}
PLATE = {
    "mark": "P1",
    "thickness": 6,
    "corners": [[0, 0], [120, 0], [120, 40], [60, 80], [0, 80]],
    "holes": [{"at": [20, 20], "diameter": 11}, {"at": [90, 20], "diameter": 11}],
}
BRACKET = {
    "mark": "B1",
    "thickness": 3,
    "base": [100, 60],
    "flanges": [{"edge": 2, "height": 30}, {"edge": 3, "height": 20}],
}
LINK = {"mark": "L1", "length": 412, "section": "25.4 x 4", "rod_ends": ["M12 right", "M12 left"]}
JOB: Job = {"tube": [TUBE], "plate": [PLATE], "bracket": [BRACKET], "link": [LINK]}


def issued(job: Job, **header: Any) -> tuple[IssuedPart, ...]:
    return as_issued(pieces_of(definitions(header, **job)))


def told(old: Job, new: Job, **header: Any) -> dict[str, str]:
    """What is said of each mark's metal, in the job's units; where parts moved has tests of its own."""
    units = header.get("units", "mm")
    return {
        mark: f"{change.how}: {change.said.words(units)}"
        for change in compared(issued(old, **header), issued(new, **header), units)
        if change.how != "moved"
        for mark in change.marks
    }


def with_part(table: str, part: dict[str, Any], **keys: Any) -> Job:
    """The job with other keys of one part."""
    return JOB | {table: [part | keys]}


def holes(*places: tuple[float, float], diameter: float = 11) -> list[dict[str, Any]]:
    return [{"at": list(at), "diameter": diameter} for at in places]


CHANGES: list[tuple[str, Job, dict[str, str]]] = [
    (
        "cut too short",
        with_part("tube", TUBE, route=[[0, 0, 0], [618, 0, 0]]),
        {"T1": "changed: saw length 612.4 to 618.0 mm"},
    ),
    (
        "a hole along the tube",
        with_part("tube", TUBE, holes=[{"from": "start", "at": 122.5, "side": "top", "diameter": 11}]),
        {"T1": "changed: hole Ø 11 mm moves by 2.5 mm, to 122.5 mm from the start"},
    ),
    (
        "a hole too narrow",
        with_part("tube", TUBE, holes=[{"from": "start", "at": 120, "side": "top", "diameter": 13}]),
        {"T1": "changed: hole Ø 11 mm at 120 mm from the start: now Ø 13 mm"},
    ),
    ("another wall", with_part("tube", TUBE, section="48.3 x 4"), {"T1": "changed: section 48.3 x 3.2 to 48.3 x 4"}),
    ("another metal", with_part("tube", TUBE, material="S355"), {"T1": "changed: material S235 to S355"}),
    ("one more", with_part("tube", TUBE, quantity=2), {"T1": "changed: quantity 1 to 2"}),
    (
        "an end at an angle",
        with_part("tube", TUBE, finish={"plane": {"at": [612.4, 0, 0], "normal": [1, 0, 1]}}),
        {
            "T1": "changed: saw length 612.4 to 636.5 mm; "
            "finish: sawn square, now sawn slanted; its cut moves by up to 48.3 mm"
        },
    ),
    (
        "a bend of sheet",
        with_part("bracket", BRACKET, flanges=[{"edge": 2, "height": 30, "angle": 85}, {"edge": 3, "height": 20}]),
        {"B1": "bend base / flange 1: angle 90 to 85°"},
    ),
    (
        "the opposite hand",
        with_part("bracket", BRACKET, flanges=[{"edge": 4, "height": 30}, {"edge": 3, "height": 20}]),
        {"B1": "changed: "},
    ),
    (
        "folded the other way",
        with_part("bracket", BRACKET, flanges=[{"edge": 2, "height": 30, "fold": "down"}, {"edge": 3, "height": 20}]),
        {"B1": "folds down, not up"},
    ),
    (
        "an outline of the same size",
        with_part("plate", PLATE, corners=[[0, 0], [120, 0], [120, 40], [63, 80], [0, 80]]),
        # 3 mm along the upper edge is 3 x 40 / hypot(60, 40) square to the slanted one.
        {"P1": "changed: the outline of the flat moves by up to 1.7 mm"},
    ),
    (
        # The corner of a square lies sqrt(2) - 1 of the radius off its arc.
        "a corner rounded",
        with_part("plate", PLATE, corners=[[0, 0], [120, 0], [120, 40], [60, 80], {"at": [0, 80], "radius": 3}]),
        {"P1": "changed: the outline of the flat moves by up to 1.2 mm"},
    ),
    ("thicker sheet", with_part("plate", PLATE, thickness=8), {"P1": "changed: thickness 6.0 to 8.0 mm"}),
    (
        "holes of a plate",
        with_part("plate", PLATE, holes=holes((22, 20), (92, 20))),
        {"P1": "changed: 2 holes Ø 11 mm move by 2 mm"},
    ),
    (
        "a hole more",
        with_part("plate", PLATE, holes=holes((20, 20), (90, 20), (55, 40))),
        {"P1": "changed: new: hole Ø 11 mm at 55, 40 mm"},
    ),
    (
        "a hole fewer",
        with_part("plate", PLATE, holes=holes((20, 20))),
        {"P1": "changed: hole Ø 11 mm at 90, 20 mm: no more"},
    ),
    (
        "other rod ends",
        with_part("link", LINK, rod_ends=["M12 right", "M14 x 1.5 left"]),
        {"L1": "bought with it: "},
    ),
    ("a part taken away", JOB | {"plate": []}, {"P1": "gone: gone: no longer needed"}),
    ("a part added", JOB | {"tube": [TUBE, TUBE | {"mark": "T2", "section": "30 x 3"}]}, {"T2": "new: new: make 1"}),
]


@pytest.mark.parametrize(("job", "expected"), [case[1:] for case in CHANGES], ids=[case[0] for case in CHANGES])
def test_what_spoils_cut_metal_is_told(job: Job, expected: dict[str, str]) -> None:
    found = told(JOB, job)
    assert found.keys() == expected.keys()
    for mark, text in expected.items():
        assert text in found[mark]


def turned_in_space(route: list[list[float]]) -> list[list[float]]:
    return [[-y, x, z + 700] for x, y, z in route]


SAME: list[tuple[str, Job]] = [
    ("words", with_part("tube", TUBE, title="rail", note="paint it red")),
    ("another place", with_part("tube", TUBE, route=turned_in_space(TUBE["route"]))),  # type: ignore[arg-type]
    (
        "from its other end",
        with_part("tube", TUBE, route=TUBE["route"][::-1], holes=[TUBE["holes"][0] | {"from": "finish"}]),  # type: ignore[index]
    ),
    (
        "TOP elsewhere",
        with_part("tube", TUBE, holes=[{"from": "start", "at": 120, "side": "left", "diameter": 11}]),
    ),
    ("from another corner", with_part("plate", PLATE, corners=PLATE["corners"][2:] + PLATE["corners"][:2])),  # type: ignore[index]
    (
        "a corner more on a straight edge",
        with_part("plate", PLATE, corners=[[0, 0], [50, 0], *PLATE["corners"][1:]]),  # type: ignore[index]
    ),
    (
        "drawn a quarter turned",
        with_part(
            "plate",
            PLATE,
            corners=[[80 - y, x] for x, y in PLATE["corners"]],  # type: ignore[union-attr]
            holes=holes((60, 20), (60, 90)),
        ),
    ),
    ("holes in another order", with_part("plate", PLATE, holes=holes((90, 20), (20, 20)))),
]


@pytest.mark.parametrize("job", [case[1] for case in SAME], ids=[case[0] for case in SAME])
def test_what_only_looks_changed_is_not_told(job: Job) -> None:
    assert told(JOB, job) == {}


def tubes(**lengths: float) -> Job:
    """Plain tubes that lie apart, of these lengths."""
    return {
        "tube": [
            {"mark": mark, "section": "30 x 3", "route": [[0, 500 * row, 0], [length, 500 * row, 0]]}
            for row, (mark, length) in enumerate(lengths.items())
        ]
    }


def quantities(job: Job, **counts: int) -> Job:
    return {"tube": [part | {"quantity": counts.get(part["mark"], 1)} for part in job["tube"]]}


def test_another_name_for_the_same_metal_is_told_under_the_name_that_is_on_it() -> None:
    assert told(tubes(T1=400, T2=600), tubes(T1=400, T9=600)) == {"T2": "renamed: now called T9, the metal is the same"}


def test_two_marks_exchanged() -> None:
    assert told(tubes(T1=400, T2=600), tubes(T1=600, T2=400)) == {
        "T1": "changed: saw length 400.0 to 600.0 mm; what is cut of it serves as T2",
        "T2": "changed: saw length 600.0 to 400.0 mm; what is cut of it serves as T1",
    }


def test_marks_that_became_one() -> None:
    assert told(tubes(T1=400, T2=400, T3=500), quantities(tubes(T1=400, T3=500), T1=2)) == {
        "T1": "changed: quantity 1 to 2",
        "T2": "renamed: now called T1, the metal is the same",
    }


def test_a_part_that_became_like_another_is_cut_anew() -> None:
    """T2 is now as long as T1: no piece cut for T1 is left for it."""
    assert told(tubes(T1=400, T2=600), tubes(T1=400, T2=400)) == {"T2": "changed: saw length 600.0 to 400.0 mm"}


def test_some_of_a_mark_serve_another() -> None:
    old = quantities(tubes(T1=400, T2=600), T2=3)
    assert told(old, quantities(tubes(T1=600, T2=600), T2=2)) == {
        "T1": "changed: saw length 400.0 to 600.0 mm",
        "T2": "changed: quantity 3 to 2; what is cut of it serves as T1",
    }
    assert told(old, quantities(tubes(T1=400, T5=600), T5=4)) == {
        "T2": "renamed: now called T5, the metal is the same",
        "T5": "new: new: make 1; 3 T2 serve as the rest",
    }


def test_many_marks_of_one_cause_are_one_line() -> None:
    old, new = tubes(T1=400, T2=400, T3=400), tubes(T1=410, T2=410, T3=410)
    assert [change.marks for change in compared(issued(old), issued(new))] == [("T1", "T2", "T3")]


@pytest.mark.parametrize(("by", "is_told"), [(0.0495, False), (0.0505, True)])
def test_the_least_change_of_a_length(by: float, is_told: bool) -> None:
    assert bool(told(tubes(T1=400), tubes(T1=400 + by))) == is_told
    assert bool(told(JOB, with_part("plate", PLATE, holes=holes((20, 20), (90 + by, 20))))) == is_told
    flanges = [{"edge": 2, "height": 30, "angle": 90 - by}, {"edge": 3, "height": 20}]
    assert bool(told(JOB, with_part("bracket", BRACKET, flanges=flanges))) == is_told
    slot = {"from": "start", "at": 120, "side": "top", "length": 30, "diameter": 9}
    old, new = (with_part("tube", TUBE, holes=[slot | {"turn": turn}]) for turn in (30, 30 + by))
    assert bool(told(old, new)) == is_told


def test_a_change_that_one_decimal_hides_has_two() -> None:
    assert told(tubes(T1=612.41), tubes(T1=612.49)) == {"T1": "changed: saw length 612.41 to 612.49 mm"}


def test_in_an_inch_job_inches_stand_beside() -> None:
    old = {"tube": [{"mark": "T1", "section": "1 3/4 x 0.120", "route": [[0, 0, 0], [24, 0, 0]]}]}
    new = {"tube": [{"mark": "T1", "section": "1 3/4 x 0.120", "route": [[0, 0, 0], ["24 1/4", 0, 0]]}]}
    wall = {"tube": [{"mark": "T1", "section": "1 3/4 x 0.134", "route": [[0, 0, 0], [24, 0, 0]]}]}
    assert told(old, new, units="in") == {"T1": 'changed: saw length 24 to 24 1/4" [609.6 to 616.0 mm]'}
    assert told(old, wall, units="in") == {"T1": 'changed: section 1 3/4 x 0.120" to 1 3/4 x 0.134"'}


FRAME: Job = {
    "tube": [
        {"mark": "T1", "section": "60.3 x 3.2", "route": [[0, 0, 0], [0, 0, 900]]},
        {"mark": "T2", "section": "42.4 x 2.6", "route": [[0, 0, 500], [700, 0, 500]]},
        {"mark": "T3", "section": "33.7 x 2.6", "route": [[0, 0, 150], [600, 0, 500]]},
    ]
}


def frame(**changes: dict[str, Any]) -> Job:
    return {"tube": [part | changes.get(part["mark"], {}) for part in FRAME["tube"]]}


def test_a_frame_turned_in_space_is_the_same_metal() -> None:
    for angle in (90.0, 33.0):
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        turned = {
            "tube": [
                part | {"route": [[x * c - y * s, x * s + y * c, z + 40] for x, y, z in part["route"]]}
                for part in FRAME["tube"]
            ]
        }
        assert told(FRAME, turned) == {}


def test_a_frame_laid_on_its_side_is_the_same_metal() -> None:
    """Every TOP lies elsewhere, and a route is drawn from its other end."""
    laid = {"tube": [part | {"route": [[z, x, y] for x, y, z in part["route"]]} for part in FRAME["tube"]]}
    laid["tube"][2]["route"].reverse()
    assert told(FRAME, laid) == {}


def test_a_cope_at_another_angle() -> None:
    found = told(FRAME, frame(T3={"route": [[0, 0, 100], [600, 0, 500]]}))
    assert found.keys() == {"T3"}
    assert "start: coped at 59.7 to 56.3°; its cut moves by up to" in found["T3"]
    assert "finish: " in found["T3"]


def test_a_main_of_another_size_changes_what_sits_on_it() -> None:
    found = told(FRAME, frame(T1={"section": "76.1 x 3.2"}))
    assert found.keys() == {"T1", "T2", "T3"}
    assert found["T1"] == "changed: section 60.3 x 3.2 to 76.1 x 3.2"
    assert "start: its cut moves by up to" in found["T2"]


def test_only_one_end_twisted_against_the_other_is_another_piece() -> None:
    """Two copes square to one another, then alike: neither template differs, the piece does."""
    mains = [
        {"mark": "A", "section": "60.3 x 3.2", "route": [[0, -300, 0], [0, 300, 0]]},
        {"mark": "C", "section": "60.3 x 3.2", "route": [[500, 0, -300], [500, 0, 300]]},
    ]
    branch = {"mark": "T1", "section": "42.4 x 2.6", "route": [[0, 0, 0], [500, 0, 0]]}
    alike = [mains[0], mains[1] | {"route": [[500, -300, 0], [500, 300, 0]]}, branch]
    found = told({"tube": [*mains, branch]}, {"tube": alike})
    assert found.keys() == {"T1"}


def test_what_is_made_already_is_not_told() -> None:
    old, new = issued(tubes(T1=400, T2=600)), issued(tubes(T1=410, T2=600))
    made = tuple(part.model_copy(update={"made": part.mark == "T1"}) for part in new)
    assert compared(old, made) == []


def test_two_holes_in_a_tube_of_which_one_goes_round() -> None:
    one = {"from": "start", "at": 120, "side": "top", "diameter": 11}
    old = with_part("tube", TUBE, holes=[one, one | {"at": 300}])
    new = with_part("tube", TUBE, holes=[one, one | {"at": 300, "side": "left"}])
    # A quarter of the way round, pi x 48.3 / 4.
    assert told(old, new) == {"T1": "changed: hole Ø 11 mm moves by 37.9 mm, 37.9 mm of it round the tube"}


def test_bends_of_a_tube() -> None:
    def bent(x: float, z: float) -> Job:
        route = [[0, 0, 0], [400, 0, 0], [400 + x, 0, z], [800, 300, 300]]
        return {"tube": [{"mark": "T1", "section": "33.7 x 2.6", "bend_radius": 100, "route": route}]}

    found = told(bent(0, 400), bent(40, 400))["T1"]
    assert "bend 1: angle 90 to 84.3°" in found
    assert "bend 1 begins at 300.0 to " in found
    assert told(bent(0, 400), bent(0, 400)) == {}


@pytest.mark.parametrize("table", ["plate", "tube"])
def test_a_slot_turned_the_other_way(table: str) -> None:
    """Its length, width, and how far it reaches either way are as they were."""
    part, slot = {
        "plate": (PLATE, {"at": [60, 30]}),
        "tube": (TUBE, {"from": "start", "at": 120, "side": "top"}),
    }[table]
    # Without it a slot in a round tube is the same slot seen from the other way round.
    hole = slot | {"at": [20, 20] if table == "plate" else 300, "diameter": 11}
    pair = [
        with_part(table, part, holes=[slot | {"length": 30, "diameter": 9, "turn": turn}, hole]) for turn in (30, -30)
    ]
    found = told(*pair)
    assert len(found) == 1
    assert "slot 30 x 9 mm" in next(iter(found.values()))
    assert ": its edge is another" in next(iter(found.values()))


# -- ends left in the air ---------------------------------------------------------------------
def tube(mark: str, *route: tuple[float, float, float], **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": "48.3 x 3.2", "route": [list(point) for point in route], **keys}


POST = tube("M", (0, 0, 0), (0, 0, 800))
ARMS = [tube("T1", (0, 0, 400), (600, 0, 400)), tube("T2", (0, 0, 700), (0, 600, 700))]
ON_PLATE = {"mark": "P", "thickness": 8, "rectangle": [100, 100], "place": {"at": [0, 0, 0], "of": [50, 50]}}
ANGLES = [
    {"mark": "A", "section": "angle 40 x 40 x 4", "route": [[0, 0, 0], [800, 0, 0]], "legs": ["top", "left"]},
    {"mark": "X", "section": "angle 30 x 30 x 3", "route": [[400, 4, 4], [400, 500, 4]], "legs": ["top", "front"]},
]


@pytest.mark.parametrize(
    ("old", "new", "mark", "ends"),
    [
        (
            {"tube": [POST, *ARMS]},
            {"tube": ARMS},
            "M",
            "T1 start, T2 start came to it, and end in the air",
        ),
        (
            {"tube": [POST, ARMS[0]]},
            {"tube": ARMS[:1]},
            "M",
            "T1 start came to it, and ends in the air",
        ),
        ({"tube": [POST], "plate": [ON_PLATE]}, {"tube": [POST]}, "P", "M start came to it"),
        ({"profile": ANGLES}, {"profile": ANGLES[1:]}, "A", "X start came to it"),
        # at a corner one end runs on and the others sit on it
        (
            {"tube": [POST, tube("T1", (0, 0, 400), (600, 0, 400)), tube("T2", (0, 0, 400), (0, 600, 400))]},
            {"tube": [tube("T1", (0, 0, 400), (600, 0, 400)), tube("T2", (0, 0, 400), (0, 600, 400))]},
            "M",
            "T1 start, T2 start came to it, and T1 start ends in the air now",
        ),
        # T1 ran on there
        (
            {"tube": [tube("T1", (0, 0, 0), (600, 0, 0)), tube("T2", (0, 0, 0), (0, 600, 0))]},
            {"tube": [tube("T1", (0, 0, 0), (600, 0, 0))]},
            "T2",
            "",
        ),
    ],
)
def test_what_is_gone_names_the_ends_that_came_to_it(old: Job, new: Job, mark: str, ends: str) -> None:
    said = told(old, new)[mark]
    assert said.startswith("gone: gone: no longer needed")
    assert ends in said
    assert ("in the air" in said) == bool(ends)


def test_an_end_that_sits_on_another_now_and_one_that_is_renamed_are_not_in_the_air() -> None:
    other = tube("N", (0, 0, 0), (0, 0, 900), section="60.3 x 3.2")
    said = told({"tube": [POST, *ARMS]}, {"tube": [other, *ARMS]})
    assert "in the air" not in " ".join(said.values())
    said = told({"tube": [POST, *ARMS]}, {"tube": [POST | {"mark": "N"}, *ARMS]})
    assert "in the air" not in " ".join(said.values())


def test_what_an_end_sits_on_is_no_matter_of_its_metal() -> None:
    """The same cut on a tube of another name changes nothing of the branch, nor its print on the page."""
    from fabgen.changes.metal_print import metal_prints

    one, other = (pieces_of(definitions({}, tube=[POST | {"mark": mark}, *ARMS])) for mark in ("M", "N"))
    assert metal_prints(one)["T1"] == metal_prints(other)["T1"]
    assert "T1" not in told({"tube": [POST, *ARMS]}, {"tube": [POST | {"mark": "N"}, *ARMS]})
