"""The reader: a good job reads, and a bad one is told everything at once."""

import datetime as dt
from pathlib import Path

import pytest

from fabgen.job.errors import JobError, Problem, describe
from fabgen.job.reader import read_job, read_text

GOOD = """\
[job]
title = "Curlew trailer"
number = "CUR-01"
units = "mm"
date = 2026-03-14

[dimensions]
ear_gap = "bush + 2 * 0.5 mm"
bush = "1 5/8 in"
track = "1480 mm"

[points]
FL = [0, "track / 2", 0]
FR = [0, "-track / 2", 0]
UP = { from = "FL", by = [0, 0, "50 mm"] }

[[material]]
name = "Rack steel"
like = "S235"

[[tube]]
mark = "T1"
section = "48.3 x 3.2"
material = "Rack steel"
route = ["FL", "FR"]
start = { cut = "plain" }

[[tube]]
mark = "T2"
section = "1 1/2 in x 0.120 in"
route = ["UP", [100, 0, 0]]
finish = { cut = "cope", onto = ["T1"] }

[[link]]
mark = "L1"
between = ["FL", "FR"]
section = "25.4 x 2.5"
rod_ends = ["M12 right", { thread = "M12", hand = "left" }]

[[plate]]
mark = "P1"
thickness = 6
corners = [[0, 0], { at = [90, 0], radius = 5 }, [90, "ear_gap"]]
holes = [{ at = [20, 10], bolt = "M10" }]

[[bracket]]
mark = "B1"
shape = "channel"
thickness = 3
length = 60
web = "ear_gap"
flanges = [40, 40]

[[cover]]
mark = "C1"
shape = "cap"
thickness = 1.5
disc = 120
drain = "none"

[[stock]]
section = "48.3 x 3.2"
lengths = ["6 m"]
"""


def problems(text: str) -> list[Problem]:
    with pytest.raises(JobError) as caught:
        read_text(text)
    return caught.value.problems


def only(text: str) -> Problem:
    found = problems(text)
    assert len(found) == 1, found
    return found[0]


def with_line(old: str, new: str) -> str:
    assert GOOD.count(old) == 1
    return GOOD.replace(old, new)


def line_of(text: str, part: str) -> int:
    return next(i for i, line in enumerate(text.splitlines(), 1) if part in line)


def test_a_good_job() -> None:
    job = read_text(GOOD)
    made = job.definitions
    assert made.job.date == dt.date(2026, 3, 14)
    assert made.points["UP"].xyz == (0.0, 740.0, 50.0)
    assert made.tube[0].route[0].name == "FL"
    assert made.tube[1].section.wall == pytest.approx(3.048)
    assert made.bracket[0].web == pytest.approx(42.275)
    assert made.find_material(made.tube[0].material or "").group == "mild steel"
    assert job.line(("tube", 1, "finish", "onto", 0)) == line_of(GOOD, "onto")


@pytest.mark.parametrize(
    "text", ["\ufeff" + GOOD, GOOD.replace("\n", "\r\n"), GOOD.replace("2026-03-14", '"2026-03-14"')]
)
def test_files_as_editors_write_them(text: str, tmp_path: Path) -> None:
    path = tmp_path / "curlew.toml"
    path.write_bytes(text.encode("utf-8"))
    assert len(read_job(path).definitions.tube) == 2


def test_units_of_bare_numbers() -> None:
    text = with_line('units = "mm"', 'units = "in"').replace('"track / 2"', '"track / 2 + 1"')
    made = read_text(text).definitions
    assert made.plate[0].thickness == 152.4
    assert made.points["FL"].y == pytest.approx(765.4)
    assert made.job.weld_gap == 1.0


def test_the_printed_text() -> None:
    text = with_line('section = "48.3 x 3.2"\nmaterial', 'section = "48.3 y 3.2"\nmaterial')
    with pytest.raises(JobError) as caught:
        read_text(text, "curlew.toml")
    assert describe(caught.value.problems[0]) == (
        f'curlew.toml:{line_of(text, "48.3 y")}: tube 1 "T1", key section: cannot read "48.3 y 3.2" as a section\n'
        '    accepted: "48.3 x 3.2" (round: outside diameter x wall), "60 x 40 x 3" (rectangular, corner radius '
        'if need be: "60 x 40 x 3 r 6"), or solid: "bar 25", "square bar 16", "flat 40 x 5"\n'
        '    nearest: "48.3 x 3.2"'
    )


FAULTS = [
    # what stands there, what is put instead, where it is told, what is said, nearest name
    ('units = "mm"', 'units = "MM"', "units", "none of the choices", '"mm"'),
    ('title = "Curlew trailer"', 'titel = "Curlew trailer"', "titel", 'no key "titel"', "title"),
    ("date = 2026-03-14", "date = 07:30:00", "date", "as a date", ""),
    ("[dimensions]", "[dimension]", "[dimension]", 'no table "dimension"', "dimensions"),
    ('bush = "1 5/8 in"', 'bush = "1 5/8 on"', "bush =", '"on" after a number', "in"),
    ('bush = "1 5/8 in"', 'bush = "ear_gap"', "ear_gap =", "loop: ear_gap -> bush -> ear_gap", ""),
    ('bush = "1 5/8 in"', "bush = true", "bush =", "cannot read true", ""),
    ('track = "1480 mm"', 'deg = "1480 mm"\ntrack = 3', "deg =", '"deg" is the name of a unit', ""),
    ('FL = [0, "track / 2", 0]', 'FL = [0, "trck / 2", 0]', "FL =", 'no dimension "trck"', "track"),
    ('from = "FL"', 'from = "FI"', "UP =", 'no point "FI"', "FL"),
    ('like = "S235"', 'like = "S253"', "like", 'no material "S253"', "S235"),
    ('material = "Rack steel"', 'material = "Rock steel"', "Rock", 'no material "Rock steel"', "Rack steel"),
    ('route = ["FL", "FR"]', 'route = ["FL", "F R"]', "F R", 'no point "F R"', "FR"),
    ('route = ["FL", "FR"]', 'route = ["FL"]', 'route = ["FL"]', "the list has 1 item", ""),
    ('route = ["FL", "FR"]', 'route = "FL"', 'route = "FL"', 'cannot read "FL" as a list', ""),
    ('start = { cut = "plain" }', 'start = { cut = "plane" }', "plane", "none of the choices", '"plain"'),
    ('start = { cut = "plain" }', 'start = "plain"', 'start = "plain"', "as a table", '{ cut = "plain" }'),
    ('onto = ["T1"]', 'onto = ["TT1"]', "TT1", 'no tube "TT1"', "T1"),
    ('onto = ["T1"]', 'onto = ["T2"]', "onto", 'the tube "T2" cannot sit on itself', ""),
    ('onto = ["T1"]', 'onto = ["P1"]', "onto", '"P1" is the mark of a plate', ""),
    ('mark = "L1"', 'mark = "t1"', '"t1"', 'the mark "t1" is taken already by tube 1 on line 22', ""),
    ('between = ["FL", "FR"]', 'length = "412 mm"\nbetween = ["FL", "FR"]', "[[link]]", "between and length", ""),
    ("thickness = 6", "thickness = 0", "thickness = 0", "not above zero", ""),
    ("thickness = 6", "thikness = 6", "thikness", 'no key "thikness"', "thickness"),
    ("radius = 5 }", "radius = 5, chamfer = 5 }", "chamfer", "radius and chamfer", ""),
    ("[[0, 0], {", "[[0, 0, 0], {", "corners", "the list has 3 items", ""),
    ('bolt = "M10"', 'bolt = "M10", dia = 3', "dia = 3", 'no key "dia"', "diameter"),
    ('web = "ear_gap"', 'web = "ear_gap * bush"', "web", "comes to an area, not a length", ""),
    ('shape = "channel"', 'shape = "canal"', "canal", "none of the choices", '"channel"'),
    ("[[bracket]]", "[[brackets]]", "brackets", 'no table "brackets"', "bracket"),
    ("[[bracket]]", "[bracket]", "[bracket]", "bracket is not a list of tables", ""),
    ("disc = 120", "disc = 120\nstadium = [30, 20]", "[[cover]]", "disc and stadium", ""),
    ('drain = "none"', 'drain = "non"', "drain", "none of the choices", '"none"'),
    ('drain = "none"', "drain = { diamter = 3 }", "drain", 'no key "diamter"', "diameter"),
    ('lengths = ["6 m"]', "lengths = []", "[[stock]]", "bars need lengths", ""),
    ('hand = "left"', 'hand = "lefty"', "lefty", "none of the choices", '"left"'),
]


@pytest.mark.parametrize(("old", "new", "place", "said", "near"), FAULTS, ids=[new[:24] for _, new, *_ in FAULTS])
def test_one_fault(old: str, new: str, place: str, said: str, near: str) -> None:
    text = with_line(old, new) if GOOD.count(old) == 1 else GOOD.replace(old, new, 1)
    found = [p for p in problems(text) if said in p.what]
    assert len(found) == 1, problems(text)
    assert found[0].line == line_of(text, place)
    assert found[0].nearest == near


def test_all_faults_are_told_together_in_the_files_order() -> None:
    text = GOOD
    for old, new in (
        ('number = "CUR-01"\n', ""),
        ('bush = "1 5/8 in"', 'bush = "1 5/8 on"'),
        ('from = "FL"', 'from = "FX"'),
        ('section = "48.3 x 3.2"\nmaterial', 'section = "48.3 y 3.2"\nmaterial'),
        ('mark = "T2"', 'mark = "T1"'),
        ("thickness = 6", "thickness = -6"),
        ("[[stock]]", "[[stocks]]"),
    ):
        text = text.replace(old, new, 1)
    found = problems(text)
    assert [p.where for p in found] == [
        "[job], key number",
        "[dimensions], key bush",
        "[points], key UP, key from",
        'tube 1 "T1", key section',
        'tube 2 "T1", key mark',
        'plate 1 "P1", key thickness',
        "[stocks]",
    ]
    lines = [p.line for p in found]
    assert lines == sorted(lines)


def test_what_hangs_on_a_fault_is_not_told_again() -> None:
    problem = only(with_line('track = "1480 mm"', 'track = "1480 mn"'))
    assert "mn" in problem.what


def test_no_part_and_no_job() -> None:
    head = GOOD[: GOOD.index("[dimensions]")]
    assert only(head).what == "the job has no part"
    found = problems(GOOD[GOOD.index("[dimensions]") :])
    assert [(p.path, p.what) for p in found] == [(("job",), "this table is missing")]


def test_a_misspelt_key_is_told_once() -> None:
    problem = only(with_line('section = "25.4 x 2.5"', 'secton = "25.4 x 2.5"'))
    assert (problem.what, problem.nearest) == ('there is no key "secton" here', "section")


def test_a_missing_key_says_what_it_takes() -> None:
    problem = only(with_line('section = "25.4 x 2.5"', ""))
    assert problem.what == "this key is missing"
    assert '"48.3 x 3.2"' in problem.accepted


def test_a_single_name_stands_for_a_list_of_it() -> None:
    text = with_line('onto = ["T1"]', 'onto = "T1"')
    assert read_text(text).definitions.tube[1].finish.onto == ["T1"]
    problem = only(with_line('onto = ["T1"]', 'onto = "T8"'))
    assert (problem.path, problem.nearest) == (("tube", 1, "finish", "onto"), "T1")


def test_faults_that_stop_the_reading_say_that_checks_follow() -> None:
    with pytest.raises(JobError) as caught:
        read_text(GOOD.replace('bush = "1 5/8 in"', "bush = three"))
    assert caught.value.unread
    first, second = caught.value.summary.splitlines()
    assert first == "1 problem; nothing was written"
    assert second == "the parts are checked once these problems are corrected"
    assert JobError([Problem((), "a"), Problem((), "b")]).summary == "2 problems; nothing was written"


SYNTAX = [
    ("bush = 1 5/8 in", "extra text after the value", 'bush = "1 5/8 in"'),
    ("bush = three", "cannot read the value", 'bush = "three"'),
    ('bush = "3/4""', "extra text after the value", "bush = '3/4\"'"),
    ('bush = "3/4', "not closed on its line", ""),
    ("bush 3", "cannot read this line", ""),
    ("bush = 3\nbush = 4", "given twice", ""),
    ("bush = [1, 2", "not closed", ""),
    ("bush = [600 mm, 0, 0]", "in these brackets lacks its quotes", 'bush = ["600 mm", 0, 0]'),
    ("bush = [1/2, 0, 0] # x, y, z", "in these brackets lacks its quotes", 'bush = ["1/2", 0, 0] # x, y, z'),
    ("bush = [FL, FR]", "in these brackets lacks its quotes", 'bush = ["FL", "FR"]'),
    ('bush = [["a"],\n[-track / 2, true], 3]', "in these brackets lacks its quotes", '["-track / 2", true], 3]'),
    ("bush = [\n  FL,\n  FR\n]", "in these brackets lacks its quotes", '"FL",'),
    ("bush = { from = FL, by = [1, 2] }", "lacks its quotes", 'bush = { from = "FL", by = [1, 2] }'),
    ("bush = [[0,0,0],(600, 0, 0)]", "stands in round brackets", "bush = [[0,0,0],[600, 0, 0]]"),
    ("bush = [(0, 0, 0), (600 mm, 0, 0)]", "stands in round brackets", 'bush = [[0, 0, 0], ["600 mm", 0, 0]]'),
    ("bush = {from=(1, 2)}", "stands in round brackets", "bush = {from=[1, 2]}"),
    ("bush = [\n  (1, 2),\n  (3, 4)\n]", "stands in round brackets", "[1, 2],"),
    ("bush = (1, 2, 3)", "stands in round brackets", "bush = [1, 2, 3]"),
    ("bush = [(a + b) / 2, 3]", "in these brackets lacks its quotes", 'bush = ["(a + b) / 2", 3]'),
    ("bush = [1 2]", "not closed, or lacks a comma", ""),
    ("bush = \u201c1 5/8 in\u201d", "quotes are curly ones", 'bush = "1 5/8 in"'),
    ("bush = \u20181 5/8 in\u2019", "quotes are curly ones", "bush = '1 5/8 in'"),
    ("bush = [\u201cFL\u201d, \u201cFR\u201d]", "quotes are curly ones", 'bush = ["FL", "FR"]'),
    ("bush = 2026-02-30", "no such date", ""),
    ('bush = "a\\q"', "backslash", ""),
    ("[dimensions]", "given twice", ""),
    ("[other", "lacks its closing ]", ""),
    ("bush = " + "9" * 5000, "far too many digits", ""),
    ("bush = " + "[" * 5000, "nested too deeply", ""),
    ("bush = \x01", "cannot read the value", ""),
    ("# \x01", "does not print", ""),
]


@pytest.mark.parametrize(("written", "said", "near"), SYNTAX, ids=[written[:16] for written, *_ in SYNTAX])
def test_text_that_is_no_toml(written: str, said: str, near: str) -> None:
    text = GOOD.replace('bush = "1 5/8 in"', written)
    found = problems(text)
    assert said in found[0].what
    assert found[0].nearest == near
    assert 1 <= (found[0].line or 0) <= len(text.splitlines())


def test_several_slips_in_the_writing_are_told_together() -> None:
    text = GOOD.replace('bush = "1 5/8 in"', "bush = 1 5/8 in").replace('track = "1480 mm"', "track = 1480 mm")
    found = problems(text)
    assert [p.line for p in found] == [line_of(text, "bush = 1"), line_of(text, "track = 1")]


# -- files ----------------------------------------------------------------------
def refused(path: Path) -> Problem:
    with pytest.raises(JobError) as caught:
        read_job(path)
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].file == str(path)
    return caught.value.problems[0]


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "curlew.toml").write_text(GOOD, encoding="utf-8")
    missing = refused(tmp_path / "curlw.toml")
    assert (missing.what, missing.nearest) == ("there is no such file", str(tmp_path / "curlew.toml"))
    assert refused(tmp_path).what == "this is a folder"
    assert "no such file" in refused(tmp_path / "curlew.toml" / "x").what
    assert "not usable" in refused(Path("a\0b")).what
    for name, data, said in (
        ("latin.toml", GOOD.replace("Curlew t", "Fähre t").encode("latin-1"), "not in UTF-8"),
        ("binary.toml", b"PK\x03\x04\0\0\xff", "not a text file"),
        ("wide.toml", GOOD.encode("utf-16"), "not a text file"),
        ("empty.toml", b"", "empty"),
        ("blank.toml", b"\n# nothing\n\n", "empty"),
        ("huge.toml", b"#" * 2_000_001, "million characters"),
    ):
        path = tmp_path / name
        path.write_bytes(data)
        problem = refused(path)
        assert said in problem.what
        assert problem.line is None or 1 <= problem.line <= max(1, data.count(b"\n") + 1)
    assert refused(tmp_path / "latin.toml").line == 2


def test_located_gives_file_line_and_place() -> None:
    job = read_text(GOOD, "curlew.toml")
    error = job.located(
        [Problem(("plate", 0, "corners"), "the outline crosses itself"), Problem(("tube", 1), "too short")]
    )
    assert [describe(p) for p in error.problems] == [
        f'curlew.toml:{line_of(GOOD, "T2") - 1}: tube 2 "T2": too short',
        f'curlew.toml:{line_of(GOOD, "corners")}: plate 1 "P1", key corners: the outline crosses itself',
    ]


def test_too_many_names() -> None:
    text = GOOD.replace("[points]", "\n".join(f"n{i} = {i}" for i in range(1001)) + "\n[points]")
    assert "names in [dimensions]" in only(text).what


def test_nothing_in_a_file_plays_with_the_terminal() -> None:
    found = problems(
        GOOD.replace("[points]", '[points]\n"\\u001b[2J" = 3').replace('["FL", "FR"]', '["F", "\\u001b"]', 1)
    )
    assert len(found) > 1
    assert all("\x1b" not in describe(problem) for problem in found)
