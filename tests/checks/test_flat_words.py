"""What a check says of a place leads to it on the drawing: same datum, same letters, same numbers."""

import re
from typing import Any

import pytest
from jobs import FLAT_RULES, definitions, findings, made_by_hand, pieces_of

from fabgen.checks.sheet.flat_words import bend_words, one_of, place
from fabgen.documents.drawing.tables_of_a_part import hole_table
from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.parts.piece import FlatPart, Hole, Piece


def piece(family: str, **keys: Any) -> Piece:
    (made,) = pieces_of(definitions(**{family: [{"mark": "X1", "thickness": 5} | keys]}))
    return made


def found(part: Piece, rule: str) -> str:
    (text,) = [finding.text for finding in findings(made_by_hand(part), FLAT_RULES) if finding.rule == rule]
    return text


def test_a_plate_is_measured_from_its_lower_left_corner() -> None:
    part = piece("plate", rectangle=[200, 100], holes=[{"at": [82, 8], "bolt": "M6"}])
    assert found(part, "hole-to-edge").startswith("hole Ø6.6 for M6 (82 mm from the left, 8 mm from below) is 4.7 mm")


def test_a_disc_is_measured_from_its_centre() -> None:
    flat = FlatPart(5.0, Circle(75.0, 75.0, 150.0))
    assert place(flat, (15.0, 85.5)).words() == "60 mm left of and 10.5 mm above the centre"
    assert place(flat, (75.0, 65.0)).words() == "0 mm right of and 10 mm below the centre"


def test_a_folded_part_names_the_face_and_the_bend_by_its_number() -> None:
    holes = [{"face": "right", "at": [30, 16], "bolt": "M8"}]
    part = piece("bracket", shape="channel", web=60, flanges=[50, 50], length=80, radius=5, holes=holes)
    text = found(part, "hole-to-bend")
    assert text.startswith('hole Ø9 for M8 in face "right" (30 mm from the left, ')
    assert " from below on the flat) is " in text
    assert "from where bend 2 (web / right) begins" in text
    assert part.flat_part is not None
    assert bend_words(part.flat_part, 1) == "bend 2 (web / right)"


def test_holes_near_two_bends_name_both() -> None:
    """Two like holes, each by another bend: naming one for both sends the second to the wrong bend."""
    holes = [{"face": "web", "at": [40, y], "bolt": "M8"} for y in (16, 44)]
    part = piece("bracket", shape="channel", web=60, flanges=[50, 50], length=80, radius=5, holes=holes)
    assert "from where bends 1 and 2 begin" in found(part, "hole-to-bend")


def test_where_one_hole_is_the_worst_its_own_bend_is_named_alone() -> None:
    """Three holes, each by a bend, of which one is nearer: to name all three bends sends it to two wrong ones."""
    holes = [{"face": face, "at": [40, v], "diameter": 6} for face, v in (("left", 16), ("right", 14), ("web", 16))]
    part = piece("bracket", shape="channel", web=60, flanges=[50, 50], length=80, radius=5, holes=holes)
    text = found(part, "hole-to-bend")
    assert text.startswith('the worst of 3 holes Ø6, that in face "right"')
    assert "from where bend 2 (web / right) begins" in text


def test_a_washer_with_no_room_between_two_bends_is_not_to_be_moved() -> None:
    """An M8 washer (ISO 7089) is 16 mm wide; a web of 38 mm keeps 12 of flat metal, one of 60 mm has enough."""
    narrow = piece("bracket", shape="channel", web=38, flanges=[30, 30], length=80,
                   holes=[{"face": "web", "at": [40, 19], "bolt": "M8"}])  # fmt: skip
    text = found(narrow, "washer-on-bend")
    assert narrow.flat_part is not None
    kept = 38.0 - 2.0 * narrow.flat_part.bends[0].bend.setback
    assert f"the {kept:g} mm of flat metal between the bends on both sides has no room" in text
    assert f"widen the face by {16.0 - kept:g} mm or take a smaller bolt" in text
    assert "move it out" not in text
    wide = piece("bracket", shape="channel", web=60, radius=5, flanges=[30, 30], length=80,
                 holes=[{"face": "web", "at": [40, 15], "bolt": "M8"}])  # fmt: skip
    assert "move it out" in found(wide, "washer-on-bend")
    angle = piece("bracket", shape="angle", legs=[60, 30], length=80, radius=5,
                  holes=[{"face": "b", "at": [40, 15], "bolt": "M8"}])  # fmt: skip
    assert "move it out" in found(angle, "washer-on-bend")


def test_many_holes_bear_the_letters_of_the_hole_table() -> None:
    holes = tuple(Hole(Circle(20.0 + 3.0 * i * i, 40.0, 9.0), "9 for M8", "M8") for i in range(7))
    flat = FlatPart(5.0, Outline.rectangle(200.0, 60.0), holes)
    table = hole_table(flat)
    assert table is not None
    rows = {row[0]: row[1:3] for row in table.rows}
    words = one_of(flat, holes[3:4], 0).words()
    assert words == "hole A4, Ø9 for M8 (47 mm from the left, 40 mm from below)"
    assert rows["A4"] == ("47", "40")
    assert one_of(flat, holes, 3).words().startswith("the worst of 7 holes Ø9 for M8, A4 (47 mm")
    assert one_of(flat, holes, 3, all_alike=True).words() == "each of the 7 holes Ø9 for M8"
    assert one_of(flat, holes[1:], 2, all_alike=True).words().startswith("the worst of 6 holes Ø9 for M8, A4 (47 mm")


def test_holes_that_are_all_as_near_are_told_as_one() -> None:
    holes = [{"at": [20, 8], "bolt": "M6", "row": {"count": 4, "pitch": 40}}]
    text = found(piece("plate", rectangle=[200, 100], holes=holes), "hole-to-edge")
    assert text.startswith("each of the 4 holes Ø6.6 for M6 is 4.7 mm from the edge")


@pytest.mark.parametrize("rolled", [False, True])
def test_flat_is_said_only_of_what_does_not_stay_flat(rolled: bool) -> None:
    from fabgen.parts.piece import Rolled

    flat = FlatPart(2.0, Outline.rectangle(100.0, 50.0), rolled=Rolled(32.0, 32.0, 50.0, 6.28) if rolled else None)
    assert place(flat, (10.0, 20.0)).words().endswith("on the flat") is rolled


def test_tabs_that_have_no_room_for_a_wider_bend_are_offered_clearance() -> None:
    """S235 of 3 mm wants 3 mm inside; beside the hole of an M12 there is room for 2.3, so `radius = 3` is refused: what
    works is more clearance, by as much as is told and hardly less."""
    tabbed: dict[str, Any] = {"shape": "tabbed", "base": [60, 50], "bolt": "M12", "thickness": 3, "material": "S235"}
    text = found(piece("bracket", **tabbed), "bend-radius")
    told = re.search(r"give the head ([\d.]+) mm more clearance, and the tabs take 3 mm, or take softer sheet", text)
    assert told
    wider = piece("bracket", **tabbed, clearance=0.4 + float(told[1]))
    assert not [each for each in findings(made_by_hand(wider), FLAT_RULES) if each.rule == "bend-radius"]
    assert found(piece("bracket", **tabbed, clearance=0.2 + float(told[1])), "bend-radius")
    plain = piece("bracket", shape="angle", legs=[60, 50], length=50, thickness=3, radius=2.3, material="S235")
    assert "take 3 mm or softer sheet" in found(plain, "bend-radius")
