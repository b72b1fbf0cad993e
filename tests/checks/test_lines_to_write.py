"""The lines that findings say to write: written into the job as they stand, the finding goes and none comes."""

from __future__ import annotations

import re
import tomllib
from typing import Any

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
    return f'"{value}"' if isinstance(value, str) else str(value)


def job_of(*tubes: dict[str, Any], units: str = "mm", **tables: Any) -> dict[str, Any]:
    header = {"title": "t", "number": "1", "units": units}
    return {"job": header, **tables, **({"tube": list(tubes)} if tubes else {})}


def checked(job: dict[str, Any]) -> list[Finding]:
    read = read_text(text_of(job))
    return list(planned(read, built(read), None, effort=None).findings)


def pasted(job: dict[str, Any], said: str) -> dict[str, Any]:
    """The job with every line of a finding written where it says."""
    lines = list(_LINE.finditer(said))
    assert lines, said
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
    return f"{value} mm" if isinstance(value, int | float) and key not in ("turn", "count", "bars") else value


PLAIN = {"cut": "plain"}
MAIN = tube("A", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2")
LEG = tube("L", (0, 0, 0), (300, 0, 1000), section="40 x 40 x 3", turn=0)


def corners(**keys: Any) -> list[dict[str, Any]]:
    """Two mains that stop where branches sit, at all four ends."""
    mains = [tube(mark, (-500, y, 0), (500, y, 0), section="60.3 x 3.2", start=PLAIN, finish=PLAIN | keys)
             for mark, y in (("A", 0), ("B", 2000))]  # fmt: skip
    posts = [
        tube(f"P{i}", (x, y, 0), (x, y, 700))
        for i, (x, y) in enumerate([(-500, 0), (500, 0), (-500, 2000), (500, 2000)])
    ]
    return [*mains, *posts]


CASES: dict[str, tuple[str, dict[str, Any]]] = {
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
            tube("Z", (1000, 20, 0), (1000, 20, 700), section="40 x 40 x 3", turn=0),
            tube("Y", (1000, 480, 0), (1000, 480, 700), section="40 x 40 x 3", turn=0),
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


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("case", CASES)
def test_its_lines_clear_it(case: str, units: str) -> None:
    rule, job = CASES[case]
    if units == "in":
        job = inches(job)
    before = checked(job)
    (said,) = (finding for finding in before if finding.rule == rule)
    print(said.text)
    after = checked(pasted(job, said.text))
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
