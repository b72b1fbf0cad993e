"""The check table and the floor layout, read back."""

from __future__ import annotations

import io
import json
import math
import re
from pathlib import Path

import ezdxf
import pypdf
import pytest
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.documents.points.frame_views import frame_views
from fabgen.documents.render.picture import Stroke, Text
from fabgen.job.reader import read_text
from fabgen.parts.survey.check_distances import BAYS, CROSSWISE, PROFILES, TUBES, distances, heights, places

LADDER = """
[job]
title = "Ladder"
number = "LAD-1"
units = "mm"
[points]
RL = [0, 550, 0]
FL = [2000, 550, 0]
RR = [0, -550, 0]
FR = [2000, -550, 0]
ML = { middle = ["RL", "FL"] }
MR = { middle = ["RR", "FR"] }
TOP = { tape = { RL = 1251, FL = 1249, RR = 1250, FR = 1251 }, side = "above" }
LF = { from = "FR", by = [-300, 50, -100] }
[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = ["RL", "FL"]
[[tube]]
mark = "T2"
section = "60.3 x 3.2"
route = ["RR", "FR"]
[[tube]]
mark = "T3"
section = "48.3 x 3.2"
route = ["RL", "RR"]
[[tube]]
mark = "T4"
section = "48.3 x 3.2"
route = ["FL", "FR"]
[[tube]]
mark = "T5"
section = "48.3 x 3.2"
route = ["ML", "MR"]
[[link]]
mark = "L1"
section = "25.4 x 4"
between = ["TOP", "LF"]
rod_ends = ["M12 right", "M12 left"]
"""
RACKED = """
[as_built]
distances = [["RL", "FR", 2286], ["FL", "RR", 2279.5], ["RL", "FL", 2000], ["RR", "FR", 2001],
             ["FL", "FR", 1100], ["RL", "RR", 1099.5]]
"""


def made(tmp_path: Path, text: str, *options: str) -> Path:
    job = tmp_path / "ladder.toml"
    job.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(tmp_path / "out"), *options])
    assert result.exit_code == 0, result.output
    return tmp_path / "out" / "ladder"


def words(path: Path) -> str:
    reader = pypdf.PdfReader(io.BytesIO(path.read_bytes()))
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def test_both_diagonals_of_each_bay_and_of_the_whole_are_to_be_taken() -> None:
    rows, more = distances(read_text(LADDER).definitions)
    by_kind = {
        kind: {frozenset((r.one.name, r.other.name)) for r in rows if r.kind == kind} for kind in (CROSSWISE, BAYS)
    }
    every = by_kind[CROSSWISE] | by_kind[BAYS]
    for one, other in (("RL", "FR"), ("RR", "FL"), ("RL", "MR"), ("RR", "ML"), ("ML", "FR"), ("MR", "FL")):
        assert frozenset((one, other)) in every
    assert not more
    assert {r.what for r in rows if r.kind == TUBES} == {f"T{i}, point to point" for i in range(1, 6)}


def test_every_place_can_be_found_again() -> None:
    """Three distances, or two and its height, to each place."""
    job = read_text(LADDER).definitions
    rows, _ = distances(job)
    for place in places(job):
        assert sum(place.name in (r.one.name, r.other.name) for r in rows) >= 2
    datum, above = heights(job)
    assert datum == -100.0
    assert above["RL"] == 100.0


def test_the_table_has_boxes_to_fill_in_and_the_tolerance_of_measured_lengths(tmp_path: Path) -> None:
    text = words(made(tmp_path, LADDER) / "check-table.pdf")
    assert "2282.5" in text  # hypot(2000, 1100)
    assert "measured" in text
    assert "TOP" in text
    assert "4 tape readings" in text
    assert "±" in text
    assert "The frame as built" not in text


def test_the_table_says_which_reading_would_check_a_point_that_nothing_checks(tmp_path: Path) -> None:
    three = LADDER.replace(
        "tape = { RL = 1251, FL = 1249, RR = 1250, FR = 1251 }", "tape = { RL = 1251, FL = 1249, RR = 1250 }"
    )
    text = words(made(tmp_path, three) / "check-table.pdf")
    # LF is the hole of a bracket that is not there yet.
    assert "TOP: three readings, which nothing checks; take one more, TOP by the same tape again." in text


def test_a_racked_frame_is_told_and_what_is_not_cut_follows_it(tmp_path: Path) -> None:
    text = words(made(tmp_path, LADDER + RACKED) / "check-table.pdf")
    assert "racked in plan by 6.5 mm across the diagonals" in text
    assert "+3.5" in text
    assert "made already" in text
    assert "follows the frame as built" in text
    cut_list = words(tmp_path / "out" / "ladder" / "cut-list.pdf")
    assert "follows the frame as built" in cut_list
    assert "racked in plan" in cut_list


PLATE = """
[[plate]]
mark = "P1"
thickness = 6
rectangle = [100, 50]
quantity = 3
"""
HOLED = LADDER.replace('route = ["ML", "MR"]', 'route = ["ML", "MR"]\nstart = { opens = true }') + PLATE
FL_TO_FR = '[as_built]\ndistances = [["FL", "FR", 1104]]\n'


def test_what_is_made_leaves_the_papers_to_cut_by_and_is_named(tmp_path: Path) -> None:
    folder = made(tmp_path, HOLED + FL_TO_FR + 'made = ["T1", "T3", "P1"]\n')
    data = json.loads((folder / "job.json").read_text(encoding="utf-8"))
    planned = {mark for bar in data["plan"]["bars"] for mark, _ in bar["cuts"]}
    assert planned == {"T2", "T4", "T5", "L1"}
    assert data["plan"]["sheets"] == []
    assert {piece["mark"] for piece in data["pieces"] if piece.get("made")} == {"T1", "T3", "P1"}
    assert {piece["mark"] for piece in data["pieces"]} > {"T1", "T3", "P1"}  # they stay in the job
    cuts = {name.split("-")[0] for name in data["files"] if name.startswith("wrap/")}
    assert cuts == {"wrap/T1", "wrap/T4", "wrap/T5"}  # of T1 the hole for T5 alone, which is not made
    assert "wrap/T1-hole-T5.dxf" in data["files"]
    assert not [name for name in data["files"] if name.startswith("flat/")]
    (note,) = (check for check in data["checks"] if check["rule"] == "made-already")
    assert note["marks"] == ["T1", "T3", "P1"]
    cut_list = words(folder / "cut-list.pdf")
    assert "5 of them made already" in cut_list
    assert "T1 1 60.3 x 3.2 S235 as drawn, 2048.3 mm" in cut_list.split("Made already")[1].split("Tubes to saw")[0]
    assert not re.search(r"\bT[13] 1 ", cut_list.split("Tubes to saw")[1].split("Job map")[0])
    for paper in ("saw-sheets.pdf", "cut-list.csv", "tube-templates.pdf"):
        text = words(folder / paper) if paper.endswith("pdf") else (folder / paper).read_text(encoding="utf-8")
        assert not re.search(r"\bT3\b", text), paper
        assert re.search(r"\bT5\b", text), paper


def test_nothing_is_made_where_the_job_says_so(tmp_path: Path) -> None:
    """Left out, the tubes all of whose points were measured are."""
    for keys, marks in (("", {"T4"}), ("made = []\n", set())):
        folder = made(tmp_path, LADDER + FL_TO_FR + keys)
        data = json.loads((folder / "job.json").read_text(encoding="utf-8"))
        assert {piece["mark"] for piece in data["pieces"] if piece.get("made")} == marks
        assert ("T4" in {mark for bar in data["plan"]["bars"] for mark, _ in bar["cuts"]}) is (not marks)


def test_the_same_job_gives_the_same_bytes(tmp_path: Path) -> None:
    one = made(tmp_path / "a" if (tmp_path / "a").mkdir() is None else tmp_path, LADDER + RACKED, "--floor")
    other = made(tmp_path / "b" if (tmp_path / "b").mkdir() is None else tmp_path, LADDER + RACKED, "--floor")
    for name in ("check-table.pdf", "floor-layout.pdf", "floor-layout.dxf"):
        assert (one / name).read_bytes() == (other / name).read_bytes()


def test_the_floor_layout_has_the_places_at_true_size(tmp_path: Path) -> None:
    folder = made(tmp_path, LADDER, "--floor")
    document = ezdxf.readfile(folder / "floor-layout.dxf")
    assert document.units == 4
    assert not document.audit().errors
    assert {entity.dxf.layer for entity in document.modelspace()} == {"MARK"}
    lines = [[(x, y) for x, y, *_ in e.get_points()] for e in document.modelspace() if e.dxftype() == "LWPOLYLINE"]
    axes = [math.dist(*line) for line in lines if len(line) == 2]
    assert any(length == pytest.approx(2000.0) for length in axes)
    assert sum(length == pytest.approx(1100.0) for length in axes) == 3
    pages = pypdf.PdfReader(folder / "floor-layout.pdf").pages
    assert len(pages) > 20


@pytest.mark.parametrize(
    ("table", "part"),
    [
        ('distances = [["RL", "FX", 2286]]', "no point"),
        ('distances = [["RL", "FR", 1286]]', "no frame is so far out"),
        ('distances = [["RL", "FR"]]', "measured distance"),
        ('distances = [["RL", "FR", 2282], ["FR", "RL", 2282]]', "twice"),
        ('distances = [["RL", "FR", 2282]]\nmade = ["T9"]', "no part"),
        ("points = { RL = [0, 0, 0] }", "three or more"),
        ('made = ["T1"]', "parts are made, but nothing that was measured on them is given"),
        ('heights = { RL = "x" }', "no dimension"),
    ],
)
def test_faults_of_what_was_measured_are_told(tmp_path: Path, table: str, part: str) -> None:
    job = tmp_path / "ladder.toml"
    job.write_text(f"{LADDER}\n[as_built]\n{table}\n", encoding="utf-8")
    result = CliRunner().invoke(app, ["check", str(job)])
    assert result.exit_code == 2
    assert part in result.output
    assert "as_built" in result.output


def test_job_json_has_what_was_measured(tmp_path: Path) -> None:
    data = json.loads((made(tmp_path, LADDER + RACKED) / "job.json").read_text(encoding="utf-8"))["measuring"]
    assert 0.1 < 550.0 - data["points"]["FL"]["at_mm"][1] < 6.5  # moved, by no more than the frame is racked
    assert data["points"]["TOP"]["tolerance_mm"][2] > 1.0
    assert len(data["points"]["TOP"]["readings"]) == 4
    assert data["as_built"]["shape"][0].startswith("same shape but racked")
    assert {change["mark"] for change in data["as_built"]["changes"] if change["made"]} == {"T1", "T2", "T3", "T4"}


def test_an_inch_job_has_every_size_in_inches(tmp_path: Path) -> None:
    inches = (LADDER + RACKED).replace('units = "mm"', 'units = "in"')
    inches = re.sub(r'(?<![\w".-])(-?\d+(?:\.\d+)?)(?![\w."])', r'"\1 mm"', inches)
    for section in ("60.3 x 3.2", "48.3 x 3.2", "25.4 x 4"):
        inches = inches.replace(section, f"{section} mm")
    folder = made(tmp_path, inches)
    assert '89.864"' in words(folder / "check-table.pdf")


# -- profiles -----------------------------------------------------------------------------------
ANGLES = """
[job]
title = "Angle bench"
number = "AB-1"
units = "mm"
[points]
A = [0, 0, 700]
B = [900, 0, 700]
C = [900, 500, 700]
D = [0, 500, 700]
A0 = [0, 0, 0]
"""
SIDES = ((("A", "B"), "left"), (("B", "C"), "back"), (("C", "D"), "right"), (("D", "A"), "front"), (("A0", "A"), ""))
for _n, (_route, _leg) in enumerate(SIDES, 1):
    _legs = ["bottom", _leg] if _leg else ["front", "left"]
    ANGLES += f"""
[[profile]]
mark = "R{_n}"
section = "angle 40 x 40 x 4"
material = "S235"
route = {json.dumps(_route)}
legs = {json.dumps(_legs)}
"""


def test_a_frame_of_angle_is_measured_like_one_of_tubes() -> None:
    """Both diagonals of its bay, and every angle heel to heel."""
    rows, _ = distances(read_text(ANGLES).definitions)
    across = {frozenset((r.one.name, r.other.name)) for r in rows if r.kind in (BAYS, CROSSWISE)}
    assert {frozenset("AC"), frozenset("BD")} <= across
    assert {r.what: r.length for r in rows if r.kind == PROFILES} == {
        "R1, heel to heel": 900.0,
        "R2, heel to heel": 500.0,
        "R3, heel to heel": 900.0,
        "R4, heel to heel": 500.0,
        "R5, heel to heel": 700.0,
    }


def test_a_profile_whose_points_lie_elsewhere_is_measured_there() -> None:
    text = ANGLES.replace('route = ["A", "B"]', 'route = ["A", "B"]\nlies = "leg a outside"')
    rows, _ = distances(read_text(text).definitions)
    assert "R1, end to end, leg a outside" in {r.what for r in rows}


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_table_of_angles_says_what_to_deduct_inside_them(tmp_path: Path, units: str) -> None:
    job = ANGLES
    if units == "in":
        points = re.sub(r"= \[(\d+), (\d+), (\d+)\]", r'= ["\1 mm", "\2 mm", "\3 mm"]', job)
        job = points.replace('units = "mm"', 'units = "in"').replace("40 x 40 x 4", "1 1/2 x 1 1/2 x 1/8")
    text = words(made(tmp_path, job).parent / "ladder" / "check-table.pdf")
    assert "heel of an angle" in text
    thickness = {"mm": "4 mm of angle 40 x 40 x 4", "in": '0.125" of angle 1 1/2 x 1 1/2 x 1/8'}[units]
    assert thickness in text
    assert "the tubes' axes" not in text
    assert "to the line of the profile" in text


def test_the_picture_of_the_check_table_draws_profiles() -> None:
    job = read_text(ANGLES).definitions
    rows, _ = distances(job)
    sketch, scale = frame_views(job, places(job), rows, (180.0, 150.0))
    lines = [item.points for item in sketch.items if isinstance(item, Stroke) and item.pen == "visible"]
    long = [math.dist(line[0], line[-1]) / scale for line in lines]
    assert sum(abs(each - 900.0) < 0.1 for each in long) == 4  # R1 and R3, from above and from the side


def test_the_edges_of_what_lands_on_profiles_are_to_be_measured(tmp_path: Path) -> None:
    """A UPN 80 with its back at x = 1200, 45 mm wide, between channels that start at x = 0."""
    channel = '[[profile]]\nmark = "{}"\nsection = "UPN {}"\nroute = {}\nback = "{}"\n'
    text = '[job]\ntitle = "Bearers"\nnumber = "B-1"\nunits = "mm"\nmaterial = "S235"\n[points]\n'
    text += "A = [0, 0, 0]\nB = [1800, 0, 0]\nC = [0, 1100, 0]\nD = [1800, 1100, 0]\n"
    text += channel.format("S1", 100, '["A", "B"]', "right") + channel.format("S2", 100, '["C", "D"]', "left")
    text += channel.format("M1", 80, "[[1200, 0, 0], [1200, 1100, 0]]", "front")
    said = words(made(tmp_path, text) / "check-table.pdf")
    assert "Edges of what lands on profiles" in said
    assert re.search(r"S1\s+M1 \(start\)\s+1155\s+1200", said)
    assert re.search(r"S2\s+M1 \(finish\)\s+1155\s+1200", said)


def test_tubes_have_the_distance_from_skin_to_skin_between_what_they_sit_on(tmp_path: Path) -> None:
    """Of a rung between two rails of 60.3, 1100 apart: 1100 - 60.3; of one that leans 45 degrees the skins are
    30.15 / sin 45 off each axis; of a rail that sits on nothing, from end to end of its metal, 40 longer than drawn."""
    rails = "".join(
        f'[[tube]]\nmark = "T{i}"\nsection = "60.3 x 3.2"\nroute = [[0, {y}, 0], [2000, {y}, 0]]\n'
        f"finish = {{ extend = {40 * (i - 1)} }}\n"
        for i, y in ((1, 550), (2, -550))
    )
    rungs = "".join(
        f'[[tube]]\nmark = "R{i}"\nsection = "42.4 x 2.6"\nroute = [[{x}, -550, 0], [{to}, 550, 0]]\n'
        for i, x, to in ((1, 300, 300), (2, 500, 1600))
    )
    text = '[job]\ntitle = "Skins"\nnumber = "SK-1"\nunits = "mm"\n[points]\nO = [0, 550, 0]\n' + rails + rungs
    said = words(made(tmp_path, text) / "check-table.pdf")
    assert "R1, point to point 1100 1039.7" in said
    lean = math.dist((500, -550), (1600, 550)) - 2.0 * 30.15 * math.sqrt(2.0)
    assert f"R2, point to point {math.dist((500, -550), (1600, 550)):.1f} {lean:.1f}" in said
    assert "T1, point to point 2000 -" in said
    assert "T2, point to point 2000 2040" in said


def test_the_two_of_a_pair_differ_by_so_much(tmp_path: Path) -> None:
    """Side by side, with what that length may be out by, here 6 mm (ISO 13920-B, over 2000 up to 4000 mm), and what the
    two readings differ by, here 2279.5 and 2286 mm."""
    blank = words(made(tmp_path, LADDER) / "check-table.pdf")
    assert "from to is from to is should be, mm differs by" in blank
    assert blank.count("ISO 13920-B") == 1
    assert "FL RR FR RL 2282.5 ± 6" in blank
    read = words(made(tmp_path, LADDER + RACKED) / "check-table.pdf")
    assert "FL RR 2279.5 FR RL 2286 2282.5 6.5 ± 6" in read
    assert read.count("differs by") == blank.count("differs by")


MIRRORED = """
[job]
title = "Two sides"
number = "TS-1"
units = "mm"
[points]
RL = [0, 550, 0]
FL = [2000, 550, 0]
A = [100, 300, 400]
B = [600, 320, 420]
[[tube]]
mark = "T1-L"
section = "60.3 x 3.2"
route = ["RL", "FL"]
[[tube]]
mark = "T2"
section = "48.3 x 3.2"
route = ["RL", [0, -550, 0]]
[[link]]
mark = "K1-L"
section = "25.4 x 4"
between = ["A", "B"]
rod_ends = ["M12 right", "M12 left"]
[[mirror]]
parts = ["T1-L", "K1-L"]
"""


def test_a_part_and_its_mirror_image_differ_by_so_much(tmp_path: Path) -> None:
    """Rails of 2000 mm, sawn 2024.2 to stand under the cross member, read as 2000 and 2003; a tube without an image has
    no such cell."""
    read = '[as_built]\ndistances = [["RL", "FL", 2000], ["RL-R", "FL-R", 2003]]\n'
    text = words(made(tmp_path, MIRRORED + read) / "check-table.pdf")
    assert re.search(r"T1-L, point to point 2000 2024.2 2000 0 3 ± 4 RL-R FL-R", text)
    assert re.search(r"skin to skin is out by differs by", text)
    assert re.search(r"Link rods, pin to pin from to of should be, mm is out by differs by", text)


def test_points_in_the_air_are_in_no_row_and_in_one_note(tmp_path: Path) -> None:
    points = 'AIR = [700, 0, 900]\nIN = [500, 550, 0]\nSKIN = [500, 550, 30.15]\n[[tube]]\nmark = "T1"'
    text = words(made(tmp_path, LADDER.replace('[[tube]]\nmark = "T1"', points)) / "check-table.pdf")
    assert text.count("No end for a tape") == 1
    assert "LF, AIR: in the air" in text
    assert "IN: inside metal that does not end there" in text
    assert not re.search(r"AIR from three corners", text)
    assert re.search(r"SKIN from three corners", text)
    heights_of = text.split("Heights")[1].split("Measured points")[0]
    assert "SKIN" in heights_of
    assert "AIR" not in heights_of


@pytest.mark.parametrize(("wide", "view"), [(500, "seen from the right"), (3000, "seen from behind")])
def test_the_picture_of_the_points_is_as_large_as_it_goes(wide: float, view: str) -> None:
    """A frame wider than long lies across the page; either fills its width or its height."""
    job = read_text(ANGLES.replace("500", str(wide))).definitions
    rows, _ = distances(job)
    sketch, scale = frame_views(job, places(job), rows, (180.0, 180.0))
    assert view in {item.text for item in sketch.items if isinstance(item, Text)}
    long, across = max(900.0, wide), min(900.0, wide)
    assert scale == pytest.approx(min(156.0 / long, 156.0 / (across + 700.0)))


def test_readings_that_nothing_checks_are_printed_too(tmp_path: Path) -> None:
    """Three readings place a point and none is to spare: they stand there to hold a tape to again, without a misfit."""
    text = (
        '[job]\ntitle = "Taped"\nnumber = "TP-1"\nunits = "mm"\n[points]\nA = [0, 0, 0]\nB = [900, 0, 0]\n'
        'C = [0, 700, 0]\nM = { tape = { A = "500 mm", B = "700 mm", C = "600 mm" }, side = "above" }\n'
        '[[tube]]\nmark = "T1"\nsection = "42.4 x 2.6"\nroute = ["A", "M"]\n'
    )
    said = words(made(tmp_path, text) / "check-table.pdf")
    for name, read in (("A", 500), ("B", 700), ("C", 600)):
        assert f"M tape to {name} {read}" in said
    assert "none is to spare that would check the others" in said
