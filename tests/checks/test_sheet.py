"""Checks on sheet parts: every rule fires on one side of its limit and is silent on the other."""

from typing import Any

import pytest
from jobs import FLAT_RULES, checked, definitions, findings, made_by_hand, pieces_of

from fabgen.checks.checked import Checked, Workshop
from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.checks.sizes import sheet_size
from fabgen.geometry.plane.outline import Circle, Outline, Vertex
from fabgen.parts.piece import FlatPart, Hole, Mark, Piece

RULES = {rule.name: rule for rule in (*FLAT_RULES, sheet_size)}


def piece(family: str, **keys: Any) -> Piece:
    (made,) = pieces_of(definitions(**{family: [{"mark": "X1", "thickness": 5} | keys]}))
    return made


def check_flat(part: Piece, **header: Any) -> list[Finding]:
    return findings(made_by_hand(part, **header), RULES.values())


def found(rule: str, family: str, **keys: Any) -> list[Finding]:
    return findings(made_by_hand(piece(family, **keys)), [RULES[rule]])


BLANK = {"rectangle": [200, 100]}
ANGLE = {"shape": "angle", "length": 100, "legs": [80, 80], "thickness": 3}
STOUT = ANGLE | {"thickness": 6}
TAB = {"base": [100, 80], "flanges": [{"edge": 1, "height": 40, "from": 20, "to": 70}], "thickness": 3}
CORNER = {"base": [100, 80], "flanges": [{"edge": 1, "height": 40}, {"edge": 2, "height": 40}], "thickness": 3}


def hole(x: float, y: float, size: float, **keys: Any) -> dict[str, Any]:
    return {"at": [x, y], "diameter": size} | keys


def bolt(x: float, y: float, size: str, **keys: Any) -> dict[str, Any]:
    return {"at": [x, y], "bolt": size} | keys


CASES = [
    ("hole-size", "plate", BLANK | {"holes": [hole(50, 50, 4.5)]}, BLANK | {"holes": [hole(50, 50, 5)]}),
    (
        "hole-size",
        "plate",
        BLANK | {"holes": [hole(50, 50, 4.5, length=30, turn=33)]},
        BLANK | {"holes": [hole(50, 50, 5.1, length=30, turn=33)]},
    ),
    ("hole-to-edge", "plate", BLANK | {"holes": [hole(9.5, 50, 10)]}, BLANK | {"holes": [hole(10, 50, 10)]}),
    (
        "hole-to-hole",
        "plate",
        BLANK | {"holes": [hole(50, 50, 10), hole(64, 50, 10)]},
        BLANK | {"holes": [hole(50, 50, 10), hole(65, 50, 10)]},
    ),
    # Bend of 3 mm sheet with 3 mm inside begins 6 mm from the outside corner: the hole's edge at 11.9 and at 12.1.
    (
        "hole-to-bend",
        "bracket",
        ANGLE | {"radius": 3, "die": 12, "holes": [hole(50, 16.9, 10, face="b")]},
        ANGLE | {"radius": 3, "die": 12, "holes": [hole(50, 17.1, 10, face="b")]},
    ),
    # Over 24 mm, which makes 3.84 mm inside: tangent line at 6.84, middle of the bend 3.995 before it, half the
    # opening 12: the hole's edge at 11.88 and at 12.12 from that middle, 1 % inside and outside.
    (
        "hole-to-bend",
        "bracket",
        ANGLE | {"holes": [hole(50, 19.725, 10, face="b")]},
        ANGLE | {"holes": [hole(50, 19.965, 10, face="b")]},
    ),
    (
        "hole-to-bend",
        "bracket",
        ANGLE | {"die": 40, "holes": [hole(50, 24, 10, face="b")]},
        ANGLE | {"die": 40, "holes": [hole(50, 24, 10, face="b", drilled=True)]},
    ),
    # A bend of 20 degrees draws little.
    (
        "hole-to-bend",
        "bracket",
        ANGLE | {"holes": [hole(50, 19, 10, face="b")]},
        ANGLE | {"bend_angle": 20, "holes": [hole(50, 19, 10, face="b")]},
    ),
    # M8: a washer of 16 mm (ISO 7089) reaches the tangent line at 6.84 from 8 mm off.
    (
        "washer-on-bend",
        "bracket",
        ANGLE | {"holes": [bolt(50, 14.76, "M8", face="a")]},
        ANGLE | {"holes": [bolt(50, 14.92, "M8", face="a")]},
    ),
    (
        "washer-on-bend",
        "bracket",
        ANGLE | {"holes": [bolt(50, 13, "M8", face="b", drilled=True)]},
        ANGLE | {"holes": [hole(50, 13, 9, face="b")]},
    ),
    # M10 in a hole of 11: 1.2 d0 = 13.2, 1.5 d = 15, 2 d = 20.
    ("bolt-edge", "plate", BLANK | {"holes": [bolt(13, 50, "M10")]}, BLANK | {"holes": [bolt(20, 50, "M10")]}),
    ("bolt-edge", "plate", BLANK | {"holes": [bolt(14.9, 50, "M10")]}, BLANK | {"holes": [bolt(20, 50, "M10")]}),
    ("bolt-edge", "plate", BLANK | {"holes": [bolt(19.9, 50, "M10")]}, BLANK | {"holes": [hole(13, 50, 11)]}),
    (
        "bolt-spacing",
        "plate",
        BLANK | {"holes": [bolt(50, 50, "M10"), bolt(74, 50, "M10")]},
        BLANK | {"holes": [bolt(50, 50, "M10"), bolt(74.2, 50, "M10")]},
    ),
    # Lower tool of 24 mm for 3 mm sheet: 16.97 mm of flange at 90 degrees; of 30 mm: 21.2 mm.
    ("flange-length", "bracket", ANGLE | {"legs": [80, 16.8]}, ANGLE | {"legs": [80, 17.1]}),
    ("flange-length", "bracket", ANGLE | {"legs": [16.8, 80]}, ANGLE | {"legs": [17.1, 80]}),
    # The tool that makes 5 mm: 31.25 mm, 22.1 mm of flange.
    (
        "flange-length",
        "bracket",
        ANGLE | {"legs": [80, 21.9], "radius": 5},
        ANGLE | {"legs": [80, 22.3], "radius": 5},
    ),
    ("flange-length", "bracket", ANGLE | {"legs": [80, 21.1], "die": 30}, ANGLE | {"legs": [80, 21.3], "die": 30}),
    # EN 10025-2, S235: 3 mm 3 mm either way; 6 mm along the grain 10 mm, across it 8 mm.  1 % inside and outside.
    ("bend-radius", "bracket", ANGLE | {"radius": 2.97}, ANGLE | {"radius": 3.03}),
    ("bend-radius", "bracket", STOUT | {"radius": 9.9}, STOUT | {"radius": 10.1}),
    (
        "bend-radius",
        "bracket",
        STOUT | {"radius": 7.92, "grain": "across"},
        STOUT | {"radius": 8.08, "grain": "across"},
    ),
    ("bend-radius", "bracket", STOUT | {"radius": 8.08, "grain": "along"}, STOUT | {"radius": 8.08, "grain": "across"}),
    # DIN 6935: above 120 degrees the next larger radius, here 4 for 3.
    (
        "bend-radius",
        "bracket",
        ANGLE | {"radius": 3.96, "bend_angle": 121},
        ANGLE | {"radius": 3.03, "bend_angle": 119},
    ),
    ("bend-radius", "bracket", ANGLE | {"material": "6082-T6", "radius": 10.4}, ANGLE | {"material": "6082-T6"}),
    ("bend-radius", "bracket", ANGLE | {"material": "S355", "radius": 3}, ANGLE | {"material": "S355MC", "radius": 3}),
    # Hardly bent it takes a wider radius of itself.
    ("bend-radius", "bracket", ANGLE | {"radius": 1}, ANGLE | {"radius": 1, "bend_angle": 20}),
    # A hem of four thicknesses over its fold.
    ("hem", "bracket", ANGLE | {"hem": 11.9}, ANGLE | {"hem": 12.1}),
    ("hem", "bracket", ANGLE | {"hem": 20, "material": "304"}, ANGLE | {"hem": 20, "material": "DC01"}),
    ("hem", "bracket", ANGLE | {"hem": 20, "thickness": 4}, ANGLE | {"hem": 20, "thickness": 2}),
    ("relief", "bracket", TAB | {"relief": "none"}, TAB | {"relief": "round"}),
    ("relief", "bracket", TAB | {"relief": "none"}, TAB | {"relief": "rectangular"}),
    ("relief", "bracket", CORNER | {"relief": "none"}, CORNER | {"relief": "round"}),
    (
        "flange-collision",
        "bracket",
        {"shape": "channel", "length": 60, "web": 60, "flanges": [90, 90], "bend_angle": 130, "radius": 5},
        {"shape": "channel", "length": 60, "web": 60, "flanges": [40, 40], "bend_angle": 130, "radius": 5},
    ),
    ("bend-length", "bracket", ANGLE | {"length": 3001}, ANGLE | {"length": 2999}),
    (
        "inside-corner",
        "plate",
        {"corners": [[0, 0], [90, 0], [90, 40], [40, 40], [40, 90], [0, 90]]},
        {"corners": [[0, 0], [90, 0], [90, 40], {"at": [40, 40], "radius": 5}, [40, 90], [0, 90]]},
    ),
    (
        "tiny-edge",
        "plate",
        {"corners": [[0, 0], [90, 0], [90, 40], [89.9, 40.1], [0, 90]]},
        {"corners": [[0, 0], [90, 0], [90, 40], [89.8, 40.2], [0, 90]]},
    ),
    ("mark-outside", "plate", BLANK | {"mark_at": [195, 50]}, BLANK | {"mark_at": [180, 50]}),
    (
        "mark-outside",
        "plate",
        BLANK | {"mark_at": [50, 50], "holes": [hole(52, 52, 10)]},
        BLANK | {"mark_at": [50, 60], "holes": [hole(52, 52, 10)]},
    ),
    ("mark-outside", "bracket", ANGLE | {"mark_at": [50, 75]}, ANGLE | {"mark_at": [50, 20]}),
    ("drain", "cover", {"shape": "cap", "drain": "none"} | BLANK, {"shape": "cap"} | BLANK),
    (
        "drain",
        "cover",
        {"shape": "cap", "drain": "none"} | BLANK,
        {"shape": "skirt", "diameter": 200, "height": 60, "thickness": 2},
    ),
    ("sheet-size", "plate", {"rectangle": [1600, 1550]}, {"rectangle": [1450, 2950]}),
    ("sheet-size", "plate", {"rectangle": [3100, 50]}, {"rectangle": [50, 2900]}),
]


@pytest.mark.parametrize(("rule", "family", "bad", "good"), CASES)
def test_both_sides_of_every_rule(rule: str, family: str, bad: dict[str, Any], good: dict[str, Any]) -> None:
    (finding,) = found(rule, family, **bad)
    assert finding.mark == "X1"
    assert finding.level in ("stop", "warn", "note")
    assert finding.source
    assert finding.text
    assert "safe" not in finding.text
    assert found(rule, family, **good) == []


# -- the way it is cut, the brake, the stock ---------------------------------------------
@pytest.mark.parametrize(
    ("process", "least", "web"),
    [("laser", 5.0, 5.0), ("plasma", 10.0, 7.5), ("waterjet", 2.5, 2.5), ("hand", 2.0, 5.0)],
)
def test_least_hole_and_web_go_with_the_process(process: str, least: float, web: float) -> None:
    """5 mm sheet: the figures of shop/cutting.py (common practice, no source), times the thickness."""
    for size, count in ((least - 0.1, 1), (least + 0.1, 0)):
        assert len(found("hole-size", "plate", **BLANK, process=process, holes=[hole(50, 50, size)])) == count
    for gap, count in ((web - 0.1, 1), (web + 0.1, 0)):
        far = [hole(50, 50, 20), hole(70 + gap, 50, 20)]
        assert len(found("hole-to-hole", "plate", **BLANK, process=process, holes=far)) == count
        assert len(found("hole-to-edge", "plate", **BLANK, process=process, holes=[hole(10 + gap, 50, 20)])) == count


def test_the_job_s_process_serves_parts_that_name_none() -> None:
    part = piece("plate", **BLANK, holes=[hole(50, 50, 8)])
    own = piece("plate", **BLANK, holes=[hole(50, 50, 8)], process="laser")
    assert "hole-size" not in {finding.rule for finding in check_flat(own, process="plasma")}
    assert "by plasma" in next(f.text for f in check_flat(part, process="plasma") if f.rule == "hole-size")


def test_the_workshop_is_read_from_the_job() -> None:
    header = {"process": "plasma", "brake_length": 1250}
    stock = [{"thickness": 3, "material": "S235", "sheets": [[1000, 500]]}, {"thickness": 5, "sheets": [[4000, 2000]]}]
    job = definitions(header, stock=stock)
    shop = Workshop.of(job)
    assert (shop.process, shop.brake_length) == ("plasma", 1250)
    assert shop.stocks("S235", 3.0)
    assert not shop.stocks("S355", 3.0)
    assert shop.stocks("S355", 5.0)
    long = piece("bracket", **ANGLE | {"length": 1300})
    assert findings(Checked(job, [long]), [RULES["bend-length"]])
    # Where the job has sheets of its own the plan says what is too large for them.
    large = piece("plate", rectangle=[3600, 1900])
    assert not findings(Checked(job, [large]), [sheet_size])
    assert findings(made_by_hand(large), [sheet_size])


def test_a_part_too_large_for_the_job_s_own_sheets_is_a_stop() -> None:
    plate = {"mark": "P1", "thickness": 3, "rectangle": [1200, 300]}
    job = definitions(plate=[plate], stock=[{"thickness": 3, "sheets": [[1000, 500]]}])
    stops = [finding for finding in run_checks(checked(job, planned=True)) if finding.is_stop]
    assert [(finding.rule, finding.mark) for finding in stops] == [("stock-size", "P1")]


def test_a_part_larger_than_any_sheet_is_told_once() -> None:
    job = definitions(plate=[{"mark": "P1", "thickness": 3, "rectangle": [4000, 500]}])
    (finding,) = run_checks(checked(job, planned=True))
    assert (finding.rule, finding.level, finding.mark) == ("sheet-size", "stop", "P1")
    assert "4000 mm x 500 mm" in finding.text


# -- outlines that no family makes ---------------------------------------------------------
def flat_piece(outline: Any, *holes: Any, marks: tuple[Mark, ...] = ()) -> Piece:
    flat = FlatPart(5.0, outline, tuple(Hole(shape, "h") for shape in holes), marks=marks)
    return Piece("X1", "plate", 1, "S235", 1.0, flat)


def texts(part: Piece, rule: str) -> list[str]:
    return [finding.text for finding in check_flat(part) if finding.rule == rule]


def test_outlines_with_no_inside_are_stops() -> None:
    bow = Outline(tuple(Vertex(x, y) for x, y in ((0, 0), (90, 90), (90, 0), (0, 90))))
    assert "crosses or touches itself (45 mm from the left, 45 mm from below)" in texts(flat_piece(bow), "outline")[0]
    sliver = Outline(tuple(Vertex(x, y) for x, y in ((0, 0), (90, 0), (45, 0.01))))
    assert "no area" in texts(flat_piece(sliver), "outline")[0]
    sheet = Outline.rectangle(100, 80)
    assert texts(flat_piece(sheet, Circle(50, 40, 0.5)), "outline") == []  # too small to cut, but a hole
    assert "crosses the outline" in texts(flat_piece(sheet, Circle(98, 40, 10)), "outline")[0]
    assert "crosses the outline" in texts(flat_piece(sheet, Circle(300, 40, 10)), "outline")[0]
    two = texts(flat_piece(sheet, Circle(40, 40, 20), Circle(55, 40, 20)), "outline")
    assert [text.split(" crosses ")[1] for text in two] == ["hole h"]
    assert texts(flat_piece(sheet, Circle(30, 40, 20), Circle(65, 40, 20)), "outline") == []
    levels = {finding.level for finding in check_flat(flat_piece(bow)) if finding.rule == "outline"}
    assert levels == {"stop"}


def test_holes_near_bends_that_only_look_wrong() -> None:
    """A boxed-in bolt's hole is drilled last and its head stands on its own washer; a hole beyond a bend's end."""
    boxed = piece("bracket", shape="tabbed", base=[40, 90], bolt="M10", thickness=2, material="DC01")
    rules = {finding.rule for finding in check_flat(boxed)}
    assert not rules & {"hole-to-bend", "washer-on-bend", "bolt-edge"}
    aside = TAB | {"flanges": [{"edge": 1, "height": 40, "from": 40, "to": 90}]}
    beside = [bolt(18, 14, "M8", face="base")]
    assert found("hole-to-bend", "bracket", **aside, holes=beside) == []
    assert found("washer-on-bend", "bracket", **aside, holes=beside) == []


def test_a_sound_part_is_passed_in_silence() -> None:
    holes = [bolt(30, 30, "M10", grid={"columns": 2, "rows": 2, "pitch": [140, 40]})]
    assert check_flat(piece("plate", **BLANK, holes=holes)) == []
    channel = {"shape": "channel", "length": 100, "web": 80, "flanges": [50, 50], "thickness": 3}
    assert check_flat(piece("bracket", **channel, holes=[bolt(50, 30, "M8", face="left")])) == []
    assert check_flat(piece("cover", shape="cap", rectangle=[200, 100], thickness=2)) == []


def test_a_curved_cut_out_has_no_sharp_corners() -> None:
    keys = {"shape": "skirt", "diameter": 200, "height": 90, "cut_out": {"diameter": 90}, "thickness": 2}
    assert found("inside-corner", "cover", **keys) == []


def test_like_holes_make_one_finding() -> None:
    holes = [bolt(9, 12, "M8", row={"count": 4, "pitch": 25, "turn": 90}), bolt(190, 50, "M6")]
    (finding,) = found("hole-to-edge", "plate", **BLANK, holes=holes)
    assert "9 for M8" in finding.text
    assert "each of the 4" in finding.text


def test_a_face_is_told_once() -> None:
    channel = {"shape": "channel", "length": 100, "web": 16.5, "flanges": [50, 50], "thickness": 3}
    assert len(found("flange-length", "bracket", **channel)) == 1


def test_every_rule_is_tried_above() -> None:
    """Those that no family's parts can break are tried on parts made by hand."""
    assert set(RULES) - {"outline", "kerf"} == {case[0] for case in CASES}


@pytest.mark.parametrize("angle", [50, 60, 75, 90, 120])
def test_a_lip_that_runs_out_over_slanting_noses_tears_nothing(angle: float) -> None:
    keys = {"shape": "gusset", "thickness": 4, "legs": [160, 150], "angle": angle, "lip": 20}
    assert found("relief", "bracket", **keys) == []


def test_corners_where_a_flange_begins_are_no_sharp_corners_but_those_of_a_square_notch_are() -> None:
    """Whoever draws a box cannot do without the first; round notches do away with the others."""
    box = {"shape": "box", "base": [120, 80], "height": 40, "thickness": 2}
    for corner in ("open", "gap", "butt"):
        assert found("inside-corner", "bracket", **box, corner=corner) == []
    assert found("inside-corner", "bracket", **TAB, relief="round") == []
    (finding,) = found("inside-corner", "bracket", **TAB, relief="rectangular")
    assert "4 sharp inside corners" in finding.text


@pytest.mark.parametrize(("thickness", "told"), [(4.71, True), (4.7625, True), (4.81, False), (10, False)])
def test_one_and_a_half_times_the_bolt_is_for_sheet(thickness: float, told: bool) -> None:
    """M12 in 13 mm at 17.5 mm: over 1.2 d0 = 15.6, under 1.5 d = 18, which AISI S100 wants up to 3/16 in."""
    keys = {"rectangle": [200, 100], "thickness": thickness, "holes": [bolt(17.5, 50, "M12", fit="close")]}
    levels = [finding.level for finding in found("bolt-edge", "plate", **keys)]
    assert levels == (["warn"] if told else ["note"])
