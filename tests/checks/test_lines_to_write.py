"""The lines that findings say to write: written into the job as they stand, the finding goes and none comes."""

from __future__ import annotations

import json
import re
import tomllib
from typing import Any

import numpy as np
import pytest
from jobs import tube

from fabgen.app.work import built, planned
from fabgen.checks.rule import Finding
from fabgen.job.expansion.written_keys import Wanted, WrittenKeys
from fabgen.job.reader import read_text

_MARK = r"\b[A-Z]\d*(?:-\d+)?\b(?! =)"
_LINE = re.compile(
    rf"(?P<lines>`\w+ = [^`]*`(?:, `\w+ = [^`]*`)*) in the tables? of "
    rf"(?P<marks>(?:frame |the repeat of )?{_MARK}(?:(?:, | and ){_MARK})*)"
)
_POINT = re.compile(r"of the (?P<at>start|finish) of (?P<mark>\w+) to (?P<to>\[[^\]]*\])")


def text_of(job: dict[str, Any]) -> str:
    """The TOML of a job: one table, and lists of tables."""
    lines = ["[job]", *_keys(job["job"])]
    for name, tables in job.items():
        for table in tables if name != "job" else ():
            lines += [f"[[{name}]]", *_keys(table)]
    return "\n".join(lines)


def _keys(table: dict[str, Any]) -> list[str]:
    return [f"{key} = {_toml(value)}" for key, value in table.items()]


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(_keys(value)) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_toml, value)) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value).lower()


def job_of(*tubes: dict[str, Any], units: str = "mm", **tables: Any) -> dict[str, Any]:
    header = {"title": "t", "number": "1", "units": units}
    return {"job": header, **tables, **({"tube": list(tubes)} if tubes else {})}


def checked(job: dict[str, Any]) -> list[Finding]:
    read = read_text(text_of(job))
    return list(planned(read, built(read), None, effort=None).findings)


def pasted(job: dict[str, Any], said: str, way: int | str | None = None) -> dict[str, Any]:
    """The job with the lines of a finding written where it says, or those of one of its ways, and its points set."""
    lines = list(_LINE.finditer(said))
    points = list(_POINT.finditer(said))
    assert lines or points, said
    if way is not None:
        lines, points = ([], points) if isinstance(way, str) else ([lines[way]], [])
    tables = {name: [dict(each) for each in value] for name, value in job.items() if name != "job"}
    for line in lines:
        new = tomllib.loads("\n".join(re.findall("`(.*?)`", line["lines"])))
        marks = re.findall(_MARK, line["marks"])
        if line["marks"].startswith("the repeat of "):
            (table,) = (each for each in tables["repeat"] if each["parts"] == marks)
            table.update(new)
            continue
        name = "frame" if line["marks"].startswith("frame ") else "tube"
        for mark in marks:
            (table,) = (each for each in tables[name] if each["mark"] == mark)
            table.update(new)
    for point in points:
        (table,) = (each for each in tables["tube"] if each["mark"] == point["mark"])
        table["route"] = list(table["route"])
        table["route"][0 if point["at"] == "start" else -1] = json.loads(point["to"])
    return {"job": job["job"], **tables}


def inches(job: dict[str, Any]) -> dict[str, Any]:
    """The same job with its units in inches and every bare figure with its mm."""
    return {"job": job["job"] | {"units": "in"}} | {
        name: [_with_mm(table) for table in value] for name, value in job.items() if name != "job"
    }


def _with_mm(value: Any, key: str = "") -> Any:
    if isinstance(value, dict):
        return {name: _with_mm(each, name) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return [_with_mm(each, key) for each in value]
    if key == "section":
        return f"{value} mm"
    return f"{value} mm" if type(value) in (int, float) and key not in ("turn", "count", "bars") else value


PLAIN, MITRE = {"cut": "plain"}, {"cut": "mitre"}
MAIN = tube("A", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")
LEG = tube("L", (0, 0, 0), (300, 0, 1000), section="40 x 40 x 3", turn=0)
HOOP = tube("H", (0, 500, 0), (0, 500, 1000), (0, -500, 1000), (0, -500, 0), section="44.5 x 2.6", bend_radius=150)


def corners(**keys: Any) -> list[dict[str, Any]]:
    """Two mains that stop where branches sit, at all four ends."""
    mains = [tube(mark, (-500, y, 0), (500, y, 0), section="60.3 x 3.2", start=PLAIN, finish=PLAIN | keys)
             for mark, y in (("A", 0), ("B", 2000))]  # fmt: skip
    posts = [
        tube(f"P{i}", (x, y, 0), (x, y, 700))
        for i, (x, y) in enumerate([(-500, 0), (500, 0), (-500, 2000), (500, 2000)])
    ]
    return [*mains, *posts]


def across(at: float, side: str) -> dict[str, Any]:
    return {"at": at, "from": "start", "side": side, "bolt": "M10"}


CASES: dict[str, tuple[str, dict[str, Any]]] = {
    "holes in opposite walls": (
        "drill-not-opposite",
        job_of(
            tube("A", (0, 0, 0), (900, 0, 0), section="60 x 60 x 3", turn=0,
                 holes=[across(200, "top"), across(500, "left"), across(202, "bottom"), across(504, "right")]),
        ),
    ),
    "a foot past an end": (
        "foot-past-end",
        job_of(MAIN | {"finish": PLAIN}, tube("P", (500, 0, 0), (500, 700, 0))),
    ),
    "past one that goes on already": (
        "foot-past-end",
        job_of(MAIN | {"finish": {"extend": 10}}, tube("P", (500, 0, 0), (500, 700, 0))),
    ),
    "four corners": ("foot-past-end", job_of(*corners())),
    "two feet on one end": (
        "foot-past-end",
        job_of(
            MAIN | {"finish": PLAIN},
            tube("P", (500, 0, 0), (500, 700, 0)),
            tube("Q", (495, 0, 0), (495, -700, 0), section="42.4 x 2.6"),
        ),
    ),
    "on a frame": (
        "foot-past-end",
        job_of(
            tube("Z", (1000, 20, 20), (1000, 20, 700), section="40 x 40 x 3", turn=0),
            tube("Y", (1000, 480, 20), (1000, 480, 700), section="40 x 40 x 3", turn=0),
            frame=[{"mark": "F", "shape": "ladder", "section": "40 x 40 x 3", "size": [1000, 500], "bars": 3,
                    "at": [0, 0, 0], "change": {"R1": {"finish": {"cut": "plain"}}}}],
        ),
    ),
    "of a copy": (
        "foot-past-end",
        job_of(
            MAIN | {"finish": PLAIN},
            tube("P", (500, 0, 0), (500, 700, 0)),
            repeat=[{"parts": ["A", "P"], "count": 3, "step": [0, 0, 400]}],
        ),
    ),
    "of one copy alone": (
        "foot-past-end",
        job_of(
            MAIN | {"finish": PLAIN},
            tube("P", (500, 0, 400), (500, 700, 400), start={"onto": ["A-2"]}),
            repeat=[{"parts": ["A"], "count": 3, "step": [0, 0, 400], "change": {"A-3": {"note": "painted"}}}],
        ),
    ),
    "of the first and of a copy, more": (
        "foot-past-end",
        job_of(
            MAIN | {"finish": PLAIN},
            tube("P", (490, 0, 0), (490, 700, 0)),
            tube("Q", (500, 0, 400), (500, 700, 400), start={"onto": ["A-2"]}),
            repeat=[{"parts": ["A"], "count": 2, "step": [0, 0, 400]}],
        ),
    ),
    "of a frame's copy": (
        "foot-past-end",
        job_of(
            tube("Z", (1000, 20, 600), (1000, 20, 1300), section="40 x 40 x 3", turn=0, start={"onto": ["F-R1-2"]}),
            frame=[{"mark": "F", "shape": "ladder", "section": "40 x 40 x 3", "size": [1000, 500], "bars": 3,
                    "at": [0, 0, 0], "change": {"R1": {"finish": {"cut": "plain"}}}}],
            repeat=[{"parts": ["F"], "count": 2, "step": [0, 0, 600]}],
        ),
    ),
    "past an end, let that go on": ("past-main-end", job_of(MAIN, tube("P", (530, 0, 0), (530, 700, 0)))),
    "past an end, meant so": ("past-main-end", job_of(MAIN, tube("P", (530, 0, 0), (530, 700, 0)))),
    "past ends, let them go on": (
        "past-main-end",
        job_of(
            MAIN | {"finish": {"extend": 20}},
            LEG | {"mark": "B", "route": [[-500, 2000, 0], [500, 2000, 0]]},
            tube("P", (530, 0, 0), (700, 600, 0)),
            tube("Q", (-515, 0, 0), (-515, 0, 600)),
            LEG | {"mark": "R", "route": [[520, 2000, 0], [460, 2000, 600]]},
        ),
    ),
    "short": ("short-end", job_of(MAIN, tube("P", (300, 0, 40), (300, 0, 300)), tube("Q", (0, 5, 50), (90, 5, 300)))),
    "short, meant so": ("short-end", job_of(MAIN, tube("P", (300, 0, 40), (300, 0, 300)))),
    "short, drawn along faces": (
        "short-end",
        job_of(
            LEG | {"mark": "A", "route": [[-500, 0, 0], [500, 0, 0]], "section": "60 x 60 x 3"},
            LEG | {"mark": "P", "route": [[300, 0, 42], [300, 0, 700]], "lies": "front", "offset": [0, 5, 0]},
        ),
    ),
    "short, of a copy": (
        "short-end",
        job_of(
            MAIN,
            tube("P", (-300, 0, 0), (-300, 0, 300)),
            repeat=[{"parts": ["P"], "count": 3, "step": [200, 0, 40]}],
        ),
    ),
    "short, of a frame": (
        "short-end",
        job_of(
            LEG | {"mark": "A", "route": [[-500, 0, 0], [500, 0, 0]]},
            frame=[{"mark": "F", "shape": "box", "section": "40 x 40 x 3", "size": [300, 300, 500], "shelf": 200,
                    "at": [0, -20, 40]}],
        ),
    ),
    "short, of the first and all copies": (
        "short-end",
        job_of(
            MAIN,
            tube("P", (-300, 0, 40), (-300, 0, 300)),
            repeat=[{"parts": ["P"], "count": 3, "step": [200, 0, 0]}],
        ),
    ),
    "at a bend's corner": (
        "short-of-bend",
        job_of(HOOP, tube("S", (-600, 500, 0), (0, 500, 1000), section="38 x 2.5")),
    ),
    "off a bend": (
        "end-misses",
        job_of(HOOP, tube("S", (-600, 475, 975), (0, 475, 975), finish={"onto": ["H"]}, section="38 x 2.5")),
    ),
    "branches laid the wide way": (
        "branch-wider",
        job_of(
            MAIN,
            tube("P", (0, 0, 0), (0, 700, 0), section="80 x 40 x 3", turn=0),
            tube("Q", (300, 0, 0), (300, 700, 0), section="80 x 40 x 3", turn=180),
            tube("R", (-300, 0, 0), (-300, 0, 700), section="80 x 40 x 3", turn=90),
        ),
    ),
    "a copy laid the wide way": (
        "branch-wider",
        job_of(
            MAIN,
            tube("C", (200, -500, 0), (200, 500, 0), section="100 x 100 x 4"),
            tube("P", (200, 0, 0), (200, 0, 700), section="80 x 40 x 3", turn=90, start={"onto": ["C"]}),
            repeat=[{"parts": ["P"], "count": 2, "step": [-400, 0, 0], "change": {"P-2": {"start": {"onto": ["A"]}}}}],
        ),
    ),
    "cut at the other brace": (
        "end-far-from-point",
        job_of(
            tube("X", (0, 0, 0), (800, 0, 600), section="50 x 50 x 3", turn=0),
            tube("Y", (0, 0, 600), (800, 0, 0), section="30 x 30 x 3", turn=0, start={"onto": ["X"], "gap": 1}),
        ),
    ),
    "cut at one at home and one far off": (
        "end-far-from-point",
        job_of(
            MAIN,
            tube("C", (-500, 300, 0), (500, 300, 0)),
            tube("P", (0, 0, 0), (0, 700, 0), start={"onto": ["A", "C"]}),
        ),
    ),
    "grown to one far off": (
        "end-far-from-point",
        job_of(MAIN, tube("P", (0, 130, 0), (0, 700, 0), start={"onto": ["A"]})),
    ),
    "grown to one far off, moved": (
        "end-far-from-point",
        job_of(MAIN, tube("P", (5, 130, 0), (5, 700, 0), start={"onto": ["A"]})),
    ),
    "bores with no hole": (
        "no-hole",
        job_of(
            MAIN | {"start": PLAIN, "finish": PLAIN},
            tube("P", (490, 0, 0), (490, 700, 0), start={"opens": True}),
            tube("Q", (-490, 0, 0), (-490, 0, 700), start={"opens": True, "gap": 1}),
        ),
    ),
    "a tube that cannot pass": (
        "no-hole",
        job_of(MAIN, tube("P", (0, -500, 0), (0, 500, 0), section="60.3 x 3.2", through=["A"])),
    ),
    "bores in walls": (
        "hole-in-wall",
        job_of(
            MAIN | {"section": "48.3 x 5"},
            tube("P", (0, 0, 0), (0, 700, 0), section="48.3 x 2", start={"opens": True}),
            tube("Q", (200, 0, 0), (200, 0, 700), section="48.3 x 2", start={"opens": True}),
        ),
    ),
    "plain ends on a pipe": (
        "sawn-on-round",
        job_of(MAIN, *(tube(f"P{i}", (x, 0, 0), (x, 0, 400), start=PLAIN) for i, x in enumerate((-200, 200)))),
    ),
    "coped round corners": (
        "coped-round-corner",
        job_of(
            MAIN | {"section": "100 x 100 x 8"},
            *(tube(f"P{i}", (x, 0, 0), (x, 0, 400), section="100 x 100 x 8") for i, x in enumerate((-200, 200))),
        ),
    ),
    "feet too near for two welds": (
        "weld-access",
        job_of(
            tube("A", (-500, 0, 0), (500, 0, 0), section="114.3 x 5"),
            # Their outer lines come out of the chord 57.15 farther on, 48.3 apart; the feet leave less than both walls.
            tube("P", (33, 0, 0), (-367, 0, 400), section="33.7 x 2.6"),
            tube("Q", (-33, 0, 0), (367, 0, 400), section="33.7 x 2.6"),
        ),
    ),
    "a mitre rolled out of line": (
        "mitre-step",
        job_of(
            tube("E", (0, 1000, 0), (500, 1000, 200), section="60 x 40 x 3", finish=MITRE),
            tube("F", (500, 1000, 200), (800, 1400, 200), section="60 x 40 x 3", start=MITRE, turn=0),
        ),
    ),
    "a mitre of unlike sizes": (
        "mitre-step",
        job_of(
            tube("A", (0, 0, 0), (500, 0, 0), section="40 x 40 x 3", finish=MITRE),
            tube("B", (500, 0, 0), (500, 400, 0), section="40 x 60 x 3", start=MITRE, turn=90),
        ),
    ),
    "plain ends in what they should sit on": (
        "tubes-cross",
        job_of(
            MAIN,
            *(tube(f"P{i}", (x, 0, 0), (x, 0, 400), start={"cut": "plain", "extend": 10})
              for i, x in enumerate((-300, -100, 100))),
            repeat=[{"parts": ["P2"], "count": 2, "step": [200, 0, 0]}],
        ),
    ),
    "ends run past what they should sit on": (
        "tubes-cross",
        job_of(
            LEG | {"mark": "A", "route": [[-500, 0, 0], [500, 0, 0]]},
            *(LEG | {"mark": f"P{i}", "route": [[x, 0, -60], [x, 0, 400]], "lies": "left"}
              for i, x in enumerate((-300, 100))),
            tube("Q", (300, 0, -60), (300, 0, 400), section="33.7 x 2.6"),
        ),
    ),
    "side by side, too near": (
        "tubes-cross",
        job_of(
            MAIN,
            tube("P", (-200, 30, 10), (400, 30, 10)),
            tube("Q", (-200, -50, 0), (400, -50, 0), offset=[0, 10, 0]),
        ),
    ),
    "a frame's bar through a tube": (
        "tubes-cross",
        job_of(
            MAIN | {"mark": "Z", "route": [[500, 250, -400], [500, 250, 400]], "section": "33.7 x 2.6"},
            frame=[{"mark": "F", "shape": "ladder", "section": "40 x 40 x 3", "size": [1000, 500], "bars": 3,
                    "at": [0, 0, 0]}],
        ),
    ),
    "a ring across a rail": (
        "tubes-cross",
        job_of(
            tube("A", (300, -200, 0), (300, 1100, 0)),
            tube("R", (0, 0, 0), (900, 0, 0), (900, 900, 0), (0, 900, 0), (0, 0, 0), section="33.7 x 2.6"),
        ),
    ),
    "a ring across a rail, led through": (
        "tubes-cross",
        job_of(
            tube("A", (300, -200, 0), (300, 1100, 0)),
            tube("R", (0, 0, 0), (900, 0, 0), (900, 900, 0), (0, 900, 0), (0, 0, 0), section="33.7 x 2.6"),
        ),
    ),
    "bar square on a round tube": (
        "solid-square",
        job_of(MAIN, *(tube(f"B{i}", (x, 0, 0), (x, 300, 0), section="round 20", start={"gap": 1})
                       for i, x in enumerate((-200, 200)))),
    ),
    "leaning feet": ("leaning-foot", job_of(LEG, LEG | {"mark": "M", "route": [[900, 0, 0], [600, 0, 1000]]})),
    "onto, with a gap": (
        "tubes-cross",
        job_of(MAIN, tube("B", (0, 0, 0), (0, 500, 0), start={"cut": "plain", "extend": 10}, finish={"gap": 1})),
    ),
}  # fmt: skip


WAYS: dict[str, int | str] = {
    "past an end, let that go on": 0,
    "past an end, meant so": -1,
    "short": "points",
    "short, meant so": -1,
    "short, drawn along faces": "points",
    "short, of a copy": 0,
    "short, of the first and all copies": "points",
    "short, of a frame": 0,
    "cut at the other brace": 0,
    "a frame's bar through a tube": 0,
    "a ring across a rail": 0,
    "a ring across a rail, led through": 1,
    "cut at one at home and one far off": 0,
    "grown to one far off": 0,
    "grown to one far off, moved": "points",
}
"""Of findings that give several ways, the lines of the one that is tried."""


ALSO_IN_INCHES = (
    *("past one that goes on already", "two feet on one end", "of the first and of a copy, more", "of a frame's copy"),
    *("past ends, let them go on", "short, drawn along faces", "short, of a copy", "off a bend"),
    *("side by side, too near", "ends run past what they should sit on", "leaning feet"),
)
"""Those whose lines hold lengths or points."""


@pytest.mark.parametrize(
    ("case", "units"), [*((case, "mm") for case in CASES), *((case, "in") for case in ALSO_IN_INCHES)]
)
def test_its_lines_clear_it(case: str, units: str) -> None:
    rule, job = CASES[case]
    if units == "in":
        job = inches(job)
    before = checked(job)
    (said,) = (finding for finding in before if finding.rule == rule)
    after = checked(pasted(job, said.text, WAYS.get(case)))
    assert not [finding.text for finding in after if finding.rule == rule]
    known = {finding.rule for finding in before}
    assert not [(each.rule, each.text) for each in after if each.rule not in known and each.level != "note"]


def said_of(rule: str, job: dict[str, Any]) -> str:
    (said,) = (finding.text for finding in checked(job) if finding.rule == rule)
    return said


def test_a_copy_alone_has_its_line_in_the_repeat_with_what_that_changes_already() -> None:
    said = said_of(*CASES["of one copy alone"])
    assert (
        '`change = { A-3 = { note = "painted" }, A-2 = { finish = { cut = "plain", extend = "24.2 mm" } } }` '
        "in the table of the repeat of A (over the `change` there)" in said
    )


def test_a_copy_whose_first_is_to_have_the_line_too_follows_it() -> None:
    said = said_of(*CASES["of a copy"])
    assert said.count("`finish = ") == 1
    assert "in the table of A (over the `finish` there) (copies follow)" in said
    assert "repeat" not in said


def test_marks_of_copies_are_those_of_the_first_where_they_follow_it() -> None:
    job = job_of(MAIN, tube("B", (0, 0, 0), (0, 300, 0)),
                 repeat=[{"parts": ["A", "B"], "count": 2, "step": [0, 0, 400]}])  # fmt: skip
    written = WrittenKeys.of(read_text(text_of(job)))
    both = [Wanted("B", "start", {"onto": ["A"]}), Wanted("B-2", "start", {"onto": ["A-2"]})]
    assert written.lines(both).words() == '`start = { onto = ["A"] }` in the table of B (copies follow)'
    alone = '`change = { B-2 = { start = { onto = ["A-2"] } } }` in the table of the repeat of A and B'
    assert written.lines(both[1:]).words() == alone
    other = written.lines([both[0], Wanted("B-2", "start", {"onto": ["A"]})]).words()
    assert other.endswith('`change = { B-2 = { start = { onto = ["A"] } } }` in the table of the repeat of A and B')


@pytest.mark.parametrize(
    "keys",
    [
        {"splice": "welded"},
        {"foot": {"disc": 60, "thickness": 5}},
        {"slit": [{"kind": "slot", "width": 5, "depth": 20}]},
        {"plane": [[0, 0, 0], [0, 1, 0], [0, 0, 1]]},
    ],
)
def test_what_an_end_carries_is_not_written_away(keys: dict[str, Any]) -> None:
    (name,) = keys
    job = job_of(MAIN | {"finish": keys, "start": PLAIN})
    raw = tomllib.loads(text_of(job))
    written = WrittenKeys(raw)
    level = {"cut": "level"}
    said = written.lines([Wanted("A", "finish", level), Wanted("A", "start", level)], " saws them level").words()
    assert said == (
        '`start = { cut = "level" }` in the table of A (over the `start` there) saws them level; '
        f"the finish of A: `cut` does not go with the `{name}` there"
    )


def test_an_end_that_has_no_keys_says_so() -> None:
    ring = tube("R", (0, 0, 0), (900, 0, 0), (900, 900, 0), (0, 900, 0), (0, 0, 0))
    cut = tube("C", (-300, 450, 0), (1200, 450, 0), crossings="cut", section="33.7 x 2.6")
    written = WrittenKeys.of(read_text(text_of(job_of(ring, cut))))
    ends = [("Ra", "start"), ("Cb", "start"), ("Cb", "finish"), ("Cc", "finish")]
    said = written.lines(Wanted(mark, at, {"fit": "outside"}) for mark, at in ends)
    assert said.words() == (
        '`finish = { fit = "outside" }` in the table of C; the start of Ra, the start of Cb and the finish of Cb: '
        "no line, as this is a cut within a tube or a corner of a ring, which has no keys"
    )


def test_the_point_of_a_tube_drawn_along_its_face_is_given_on_that_face() -> None:
    said = said_of(*CASES["short, drawn along faces"])
    assert "set the point of the start of P to [300, 0, 0]; " in said  # its middle lies 20 behind and 5 to the left


CAPPED = [
    tube("T", (0, 0, 0), (0, 0, 500), section="60 x 40 x 3", turn=0),
    tube("T", (0, 0, 0), (500, 0, 0), section="60 x 40 x 3", turn=0, start=PLAIN),
    tube("T", (0, 0, 0), (0, 500, 0), section="60 x 40 x 3", turn=90),
    tube("T", (0, 0, 0), (300, 400, 100), section="60 x 40 x 3", turn=25, start={"extend": 20}),
    tube("T", (0, 0, 0), (300, 400, 100), section="48.3 x 3.2"),
    tube("T", (0, 0, 0), (0, 300, 400), section="40 x 40 x 3", turn=45),
]


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("capped", CAPPED)
def test_the_cap_that_an_open_end_is_offered_covers_it(capped: dict[str, Any], units: str) -> None:
    job = job_of(capped) if units == "mm" else inches(job_of(capped))
    after = pasted(job, said_of("open-ends", job))
    assert "one tube end stays" in said_of("open-ends", after)
    pieces = {piece.mark: piece for piece in built(read_text(text_of(after)))}
    part, cap = pieces["T"].length_part, pieces["FOOT"].flat_part
    assert part is not None
    assert cap is not None
    assert part.frame is not None
    (place,) = cap.places
    corners = cap.outline.points(0.01)
    in_space = place.frame.outside(np.column_stack((corners, np.zeros(len(corners)))))
    across = [np.ptp((in_space - part.frame.origin) @ axis) for axis in (part.frame.z, part.frame.y)]
    assert across == pytest.approx([part.section.width, part.section.depth], abs=0.11)


def test_a_hub_is_no_piece_of_a_tube_whose_mark_begins_alike() -> None:
    spokes = [tube(mark, (0, 0, 0), (x, y, 0)) for mark, x, y in (("H", 600, 0), ("B", -300, 500), ("C", -300, -500))]
    written = WrittenKeys.of(read_text(text_of(job_of(*spokes, node=[{"at": [0, 0, 0], "corners": "hub"}]))))
    said = written.lines([Wanted("HUB", "start", {"extend": "9"}), Wanted("H", "start", {"gap": "1"})]).words()
    assert said == '`start = { gap = "1" }` in the table of H; HUB: no line, as it has no table in the job file'
