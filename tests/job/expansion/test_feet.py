"""`foot` at the ends of tubes: the plates it makes, where they stand, and the tubes cut to them."""

from __future__ import annotations

import pytest
from jobs import checked, read

from fabgen.checks.registry import run_checks
from fabgen.job.errors import JobError
from fabgen.job.tables.definitions import Definitions

HEAD = """[job]
title = "t"
number = "1"
units = "mm"
"""
PLATE = 'plate = [100, 80], thickness = 8, bolt = "M10", edge = 15'


def job(*tubes: str, head: str = HEAD) -> Definitions:
    return read("\n".join((head, *tubes)))


def leg(mark: str, x: float, foot: str, top: str = "", far: float | None = None) -> str:
    far = x if far is None else far
    finish = f"finish = {{ foot = {{ {top} }} }}" if top else ""
    return f"""[[tube]]
mark = "{mark}"
section = "40 x 40 x 3"
route = [[{x}, 0, 0], [{far}, 0, 700]]
start = {{ foot = {{ {foot} }} }}
{finish}
"""


def test_four_like_feet_are_one_plate_four_times() -> None:
    made = job(*(leg(f"T{i}", 200.0 * i, PLATE) for i in range(4)))
    (plate,) = made.plate
    assert (plate.mark, plate.quantity, plate.thickness, tuple(plate.rectangle or ())) == (
        "FOOT",
        4,
        8.0,
        (100.0, 80.0),
    )
    assert [place.at.x for place in plate.place] == [0.0, 200.0, 400.0, 600.0]
    (hole,) = plate.holes
    assert (tuple(hole.at), hole.bolt) == ((15.0, 15.0), "M10")
    assert hole.grid is not None
    assert tuple(hole.grid.pitch) == (70.0, 50.0)


@pytest.mark.parametrize(("point", "length"), [("bottom", 692.0), ("middle", 696.0), ("top", 700.0)])
def test_the_point_lies_where_it_is_said_to(point: str, length: float) -> None:
    made = checked(job(leg("T", 0, f'{PLATE}, point = "{point}"')))
    part = made.tubes["T"]
    assert part.ends[0].stands_on == "FOOT"
    assert part.length == pytest.approx(length)


def test_a_leaning_leg_is_sawn_to_its_level_plate() -> None:
    part = checked(job(leg("T", 0, PLATE, far=210.0))).tubes["T"]
    assert part.ends[0].saw is not None
    assert part.ends[0].saw.from_square_deg == pytest.approx(16.699, abs=1e-3)


def test_a_head_plate_and_a_cap() -> None:
    made = job(leg("T", 0, PLATE, PLATE), leg("U", 300, PLATE, 'disc = 60, thickness = 4, lies = "square"', far=400))
    assert [(plate.mark, plate.title, plate.quantity) for plate in made.plate] == [
        ("FOOT", "foot plate", 2),
        ("FOOT2", "head plate", 1),
        ("FOOT3", "cap", 1),
    ]
    tubes = checked(made).tubes
    assert tubes["T"].length == pytest.approx(684.0)
    assert [end.stands_on for end in tubes["U"].ends] == ["FOOT", "FOOT3"]
    assert tubes["U"].ends[1].flats[0].from_square == pytest.approx(0.0, abs=1e-6)


def test_a_castor_by_its_pitch_and_a_mark_of_its_own() -> None:
    (plate,) = job(leg("T", 0, 'plate = [100, 90], thickness = 6, diameter = 9, pitch = [80, 60], mark = "C1"')).plate
    assert plate.mark == "C1"
    assert tuple(plate.holes[0].at) == (10.0, 15.0)


def test_in_inches() -> None:
    text = leg("T", 0, 'plate = [4, 4], thickness = "3/8", bolt = "M10", edge = "5/8"').replace(
        "40 x 40 x 3", "2 x 2 x 0.12"
    )
    made = job(text.replace("700", "30"), head=HEAD.replace("mm", "in"))
    assert made.plate[0].thickness == pytest.approx(9.525)
    assert checked(made).tubes["T"].length == pytest.approx((30.0 - 0.375) * 25.4)


def test_it_draws_no_stop_and_no_look() -> None:
    found = run_checks(checked(job(leg("T", 0, PLATE.replace("15", "20"), far=210.0))))
    assert [finding.text for finding in found if finding.level != "note"] == []


@pytest.mark.parametrize(
    ("foot", "said"),
    [
        ("plate = [100, 80], disc = 60, thickness = 8", "disc"),
        ("thickness = 8", "plate"),
        ('plate = [100, 80], thickness = 8, bolt = "M10"', "where its four holes are"),
        ('plate = [100, 80], thickness = 8, bolt = "M10", edge = 45', "leave its plate"),
        ('plate = [100, 80], thickness = 8, bolt = "M10", pitch = [120, 60]', "leave its plate"),
        ('plate = [100, 80], thickness = 8, mark = "T"', "mark of another part"),
        ("plate = [100, 80], thickness = 8, edge = 10", "edge goes with"),
    ],
)
def test_what_does_not_do_is_one_clear_error(foot: str, said: str) -> None:
    with pytest.raises(JobError, match=said):
        job(leg("T", 0, foot))


def test_a_level_tube_has_no_level_foot() -> None:
    with pytest.raises(JobError, match="runs level"):
        job(leg("T", 0, PLATE, far=600.0).replace("700", "10"))
