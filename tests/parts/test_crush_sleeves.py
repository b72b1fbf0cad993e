"""Crush sleeves in tubes: pieces of their own, as long as the way from skin to skin, their holes to fit."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.closed_members import RULES
from fabgen.checks.tube import tube_holes
from fabgen.documents.scene.bodies import body
from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.shape.hollow.open_ends import open_ends
from fabgen.parts.shape.welds.weld_families import total_weld_length, weld_families
from fabgen.plan.buying.seams import seams
from fabgen.plan.job_plan import plan_job
from fabgen.plan.mass_and_centre import mass_and_centre

SLEEVED = {"at": 120, "side": "top", "diameter": 11, "both_walls": True, "sleeve": "16 x 2"}


def built(*holes: dict[str, Any], section: str = "48.3 x 3.2", **keys: Any) -> list[Piece]:
    return all_pieces(definitions(tube=[bar(*holes, section=section, **keys)]))


def bar(*holes: dict[str, Any], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return tube("T1", (0, 0, 0), (800, 0, 0), section=section, holes=list(holes), **keys)


def test_the_sleeve_of_the_design_is_a_piece_to_saw() -> None:
    main, sleeve = built(SLEEVED)
    part = sleeve.length_part
    assert part is not None
    assert (sleeve.mark, sleeve.part_of, str(part.section), sleeve.quantity) == ("T1-S1", "T1", "16 x 2", 1)
    assert part.length == pytest.approx(48.3)
    assert sleeve.mass == pytest.approx(math.pi / 4 * (16**2 - 12**2) * 48.3 * 7850e-9)
    assert main.length_part is not None
    assert [hole.width for hole in main.length_part.drilled] == [16.2, 16.2]  # 0.2 mm to go in
    words = {fact.key: fact.text.words("mm") for fact in sleeve.facts}
    assert words["sits"] == "in T1, hole 1, flush with both walls"
    assert words["weld"] == "to T1 all round at both walls, 100.5 mm each"  # 2 x pi x 16


@pytest.mark.parametrize(("side", "length"), [("top", 60), ("left", 40)])
def test_it_reaches_from_face_to_face(side: str, length: float) -> None:
    part = built({**SLEEVED, "side": side}, section="60 x 40 x 3")[1].length_part
    assert part is not None
    assert part.length == pytest.approx(length)


def test_beside_the_middle_of_a_round_tube_it_is_a_chord() -> None:
    part = built({**SLEEVED, "offset": 10})[1].length_part
    assert part is not None
    assert part.length == pytest.approx(2 * math.sqrt(24.15**2 - 10**2))


def test_alike_ones_are_one_mark_counted_and_planned() -> None:
    job = definitions(
        tube=[bar({**SLEEVED, "row": {"count": 3, "pitch": 60}}, {**SLEEVED, "side": "left", "at": 500}, quantity=2)]
    )
    pieces = all_pieces(job)
    assert [(piece.mark, piece.quantity) for piece in pieces] == [("T1", 2), ("T1-S1", 8)]
    plan = plan_job(job, pieces)
    assert sum(len([cut for cut in bar.cuts if cut.mark == "T1-S1"]) * bar.count for bar in plan.bars) == 8


def test_its_ends_are_no_open_ends_and_it_is_no_vent() -> None:
    pieces = built(SLEEVED)
    assert open_ends(definitions(), pieces) == {"T1": 2}
    rails = [tube(mark, (x, -300, 0), (x, 300, 0)) for mark, x in (("L", 0), ("R", 800))]
    closed = checked(definitions(tube=[*rails, bar(SLEEVED, section="33.7 x 2.6")]))
    assert [each.rule for each in findings(closed, RULES)] == ["closed-tube"]
    assert findings(closed, [*tube_holes.RULES, tube_holes.crushed_by_bolt]) == []


def test_a_bolt_that_does_not_pass_it_is_refused() -> None:
    built({**SLEEVED, "diameter": 12.0})
    with pytest.raises(JobError, match=r"12\.1 mm is wider than the sleeve's bore of 12 mm"):
        built({**SLEEVED, "diameter": 12.1})
    with pytest.raises(JobError, match="a crush sleeve is a round tube"):
        built({**SLEEVED, "sleeve": "20 x 20 x 2"})


def test_each_stands_at_its_hole() -> None:
    """From the near skin inward; the second of a row beside the first, the third through the sides."""
    holes = ({**SLEEVED, "row": {"count": 2, "pitch": 60}}, {**SLEEVED, "side": "left", "at": 500})
    main, sleeve = built(*holes)
    part = sleeve.length_part
    assert part is not None
    assert part.frame is not None
    assert sleeve.is_placed
    starts = [frame.origin.tolist() for frame in (part.frame, *part.also)]
    assert starts == [
        pytest.approx([120, 0, 24.15], abs=0.01),
        pytest.approx([180, 0, 24.15], abs=0.01),
        pytest.approx([500, 24.15, 0], abs=0.01),
    ]
    low, high = body(sleeve).bounds
    assert (low, high) == (pytest.approx([112, -24.15, -24.15], abs=0.05), pytest.approx([508, 24.15, 24.15], abs=0.05))
    whole = mass_and_centre([main, sleeve])
    assert whole.unplaced == ()
    assert mass_and_centre([sleeve]).centre == pytest.approx((800 / 3, 0, 0), abs=0.01)


def test_its_welds_are_in_the_weld_table_and_the_filler() -> None:
    """Two runs round 16 mm each, 100.53 mm a sleeve; flush with the wall there is no corner, so no angle."""
    job = definitions(tube=[bar({**SLEEVED, "row": {"count": 3, "pitch": 60}}, quantity=2)])
    pieces = all_pieces(job)
    families = weld_families(pieces)
    assert {family.joint("mm") for family in families} == {"16 x 2 on 48.3 x 3.2, 90°"}
    assert [member.name for family in families for member in family.members] == [
        "T1-S1 start on T1",
        "T1-S1 finish on T1",
    ]
    assert math.isnan(families[0].weld.run.least)
    assert total_weld_length(pieces) == pytest.approx(6 * 2 * math.pi * 16, rel=1e-3)
    found, _ = seams(job, pieces)
    assert [(seam.mark, seam.thickness) for seam in found] == [("T1-S1", 2)] * 2
    assert sum(seam.length for seam in found) == pytest.approx(6 * 2 * math.pi * 16, rel=1e-3)


def test_no_tube_check_takes_it_for_a_tube() -> None:
    """It runs through its tube, and ends in no tube: neither is a fault."""
    said = findings(checked(definitions(tube=[bar(SLEEVED)])))
    assert [each.text for each in said if "T1-S1" in each.marks] == []
