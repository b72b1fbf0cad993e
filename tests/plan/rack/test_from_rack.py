"""Stock on hand in the plan: used first, each piece once, and named by its mark."""

from __future__ import annotations

import pytest

from fabgen.job.errors import JobError, describe
from fabgen.job.rack import read_rack_text
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.plan.job_plan import plan_job
from fabgen.plan.plan import Plan, Take

JOB = """
[job]
title = "Rack"
number = "R-1"
units = "mm"
material = "S355"
[[tube]]
mark = "T1"
section = "40 x 3"
route = [[0, 0, 0], [900, 0, 0]]
quantity = 5
[[plate]]
mark = "P1"
thickness = 3
rectangle = [300, 200]
quantity = 2
[[link]]
mark = "L1"
section = "25.4 x 4"
length = 400
rod_ends = ["M12 right", "M12 left"]
quantity = 3
[[bolt]]
thread = "M10"
through = ["P1", "P1"]
quantity = 4
[[price]]
item = "rod end"
each = 10
"""

RACK = """
[rack]
units = "mm"
[[bar]]
mark = "A"
section = "40 x 3"
material = "S355"
length = 1000
[[bar]]
mark = "B"
section = "40 x 3"
material = "S355"
length = 1000
count = 2
[[bar]]
mark = "WRONG"
section = "40 x 3"
material = "S235"
length = 6000
count = 9
[[bar]]
mark = "NONE"
section = "25.4 x 4"
material = "S355"
length = 3000
count = 0
[[sheet]]
thickness = 3
material = "S355"
size = [400, 300]
[[remnant]]
mark = "K"
thickness = 3
material = "S355"
outline = [[0, 0], [500, 0], [500, 260], [200, 420], [0, 420]]
[[hardware]]
item = "Rod-end"
spec = "M12 left"
count = 2
[[hardware]]
item = "washers"
spec = "M10 200 HV"
count = 100
[[hardware]]
item = "rod end"
spec = "M10 left"
count = 7
"""


def plan(rack: str = RACK, job: str = JOB) -> Plan:
    definitions = read_text(job).definitions
    return plan_job(definitions, all_pieces(definitions), read_rack_text(rack))


def test_bars_on_hand_come_first_and_each_once() -> None:
    made = plan()
    spare = [bar for bar in made.bars if bar.spare]
    assert sorted(mark for bar in spare for mark in bar.rack_marks) == ["A", "B", "B"]
    assert {(str(bar.section), bar.material, bar.stock) for bar in spare} == {("40 x 3", "S355", 1000.0)}
    assert [take for take in made.takes if take.table == "bar"] == [Take("bar", 0, 1), Take("bar", 1, 2)]
    bought = [bar for bar in made.bars if not bar.spare and str(bar.section) == "40 x 3"]
    assert sum(len(bar.cuts) * bar.count for bar in bought) == 2
    assert all(bar.rack_marks == () for bar in bought)


def test_another_material_or_count_zero_is_not_used() -> None:
    assert not {take.number for take in plan().takes if take.table == "bar"} & {2, 3}


def test_sheets_and_remnants_go_by_their_entries() -> None:
    made = plan()
    assert all(sheet.spare for sheet in made.sheets)
    assert len([take for take in made.takes if take.table in ("sheet", "remnant")]) == len(made.sheets)
    names = [mark for sheet in made.sheets for mark in sheet.rack_marks]
    assert set(names) <= {"K", "sheet 1 of the rack file"}
    assert not [line for line in made.shopping if line.item == "sheet"]


def test_hardware_on_hand_is_bought_no_more() -> None:
    made = plan()
    lines = {(line.item, line.spec): line for line in made.shopping}
    assert lines["rod end", "M12 x 1.75 left"].quantity == 1
    assert lines["rod end", "M12 x 1.75 left"].price == 10.0
    assert "2 more on hand" in lines["rod end", "M12 x 1.75 left"].note.words()
    assert lines["rod end", "M12 x 1.75 right"].quantity == 3
    assert ("washer", "M10, 200 HV") not in lines
    assert Take("hardware", 0, 2) in made.takes
    assert Take("hardware", 1, 8) in made.takes
    held = {(line.item, line.spec): line.quantity for line in made.on_hand}
    assert held["washer", "M10, 200 HV"] == 8


def test_bought_and_on_hand_together_are_what_is_needed() -> None:
    with_rack, without = plan(), plan('[rack]\nunits = "mm"\n')
    for line in without.shopping:
        if line.unit == "piece":
            bought = sum(
                other.quantity for other in with_rack.shopping if (other.item, other.spec) == (line.item, line.spec)
            )
            held = sum(
                other.quantity for other in with_rack.on_hand if (other.item, other.spec) == (line.item, line.spec)
            )
            assert bought + held == line.quantity


def test_the_saw_s_kerf_serves_for_the_rack_too() -> None:
    text = JOB + '[[stock]]\nsection = "40 x 3"\nlengths = ["6 m"]\nkerf = 3.5\n'
    assert {bar.kerf for bar in plan(job=text).bars if str(bar.section) == "40 x 3"} == {3.5}


def test_the_job_s_own_stock_on_hand_is_no_entry_of_the_rack() -> None:
    text = JOB + '[[stock]]\nsection = "40 x 3"\nlengths = [950]\non_hand = 5\n'
    made = plan(RACK.replace("length = 1000", "length = 880"), text)
    own = [bar for bar in made.bars if bar.spare and bar.stock == 950.0]
    assert sum(bar.count for bar in own) == 5
    assert all(bar.rack_marks == () for bar in own)
    assert not [take for take in made.takes if take.table == "bar"]


def test_an_outline_that_will_not_do_is_told_in_the_rack_file() -> None:
    outline = "{ corners = [[0, 0], { at = [100, 0], radius = 900 }, [100, 100], [0, 100]] }"
    bad = RACK.replace("[[0, 0], [500, 0], [500, 260], [200, 420], [0, 420]]", outline)
    with pytest.raises(JobError) as caught:
        plan(bad)
    told = describe(caught.value.problems[0])
    assert told.startswith("rack.toml:")
    assert 'remnant 1 "K"' in told


def test_hardware_whose_spec_is_too_short_to_be_known_is_told() -> None:
    short = '[rack]\nunits = "mm"\n[[hardware]]\nitem = "washer"\nspec = "M10"\ncount = 20\n'
    assert [remark[1] for remark in plan(rack=short).remarks] == ["rack-hardware"]
    assert "M10, 200 HV" in plan(rack=short).remarks[0][2]
    assert plan(rack=short.replace("M10", "M10, 200 HV")).remarks == ()
