"""The lines that findings say to write: written into the job as they stand, the finding goes and none comes."""

from __future__ import annotations

import re
import tomllib
from typing import Any

import pytest
from jobs import tube

from fabgen.app.work import built, planned
from fabgen.checks.rule import Finding
from fabgen.job.reader import read_text

_LINE = re.compile(
    r"(?P<lines>`(?:start|finish|change) = .*?`(?:, `finish = .*?`)?) in the tables? of "
    r"(?P<marks>(?:frame )?[A-Z]\d*(?:(?:, | and )[A-Z]\d*\b)*)"
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
        name = "frame" if line["marks"].startswith("frame ") else "tube"
        for mark in re.findall(r"[A-Z]\d*", line["marks"]):
            (table,) = (each for each in tables[name] if each["mark"] == mark)
            table.update(tomllib.loads("\n".join(re.findall("`(.*?)`", line["lines"]))))
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
    after = checked(pasted(job, said.text))
    assert not [finding.text for finding in after if finding.rule == rule]
    known = {finding.rule for finding in before}
    assert not [(each.rule, each.text) for each in after if each.rule not in known and each.level != "note"]
