"""Whatever is written of measured points and the frame as built: read, or refused with its key and line."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from fabgen.job.errors import JobError, Problem
from fabgen.job.reader import Job, read_text

NAMES = st.sampled_from(["A", "B", "C", "D", "P", "Q", "", "from", "nobody"])
LENGTHS = st.one_of(
    st.floats(-3000, 3000, allow_nan=False), st.sampled_from(["812 mm", "1 5/8 in", "x", "", "half", 0, True, "4 kN"])
)
VALUES: st.SearchStrategy[Any] = st.one_of(
    NAMES,
    LENGTHS,
    st.lists(NAMES, max_size=5),
    st.lists(LENGTHS, min_size=3, max_size=3),
    st.dictionaries(NAMES, LENGTHS, max_size=5),
    st.sampled_from(["above", "left", "behind", "beside"]),
)
FROM_KEYS = ["from", "by", "toward", "ahead", "along", "left", "right", "up", "down", "error"]
OTHER_KEYS = ["tape", "side", "x", "y", "z", "mirror", "foot", "plane", "axis", "middle", "tap"]
KEYS = st.sampled_from([*FROM_KEYS, *OTHER_KEYS])
BUILT_KEYS = st.sampled_from(["distances", "heights", "points", "made", "error", "allowed", "other"])
BUILT = st.dictionaries(
    BUILT_KEYS, st.one_of(VALUES, st.lists(st.tuples(NAMES, NAMES, LENGTHS).map(list), max_size=6)), max_size=4
)
HEAD = """[job]
title = "t"
number = "1"
units = "mm"
[[tube]]
mark = "T1"
section = "48.3 x 3.2"
route = ["A", "C"]
[[tube]]
mark = "T2"
section = "48.3 x 3.2"
route = ["B", "P"]
"""


def toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(k)} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return json.dumps(value)


@settings(max_examples=400, deadline=None)
@given(
    st.dictionaries(KEYS, VALUES, max_size=5), st.dictionaries(KEYS, VALUES, max_size=4), st.one_of(st.just({}), BUILT)
)
def test_it_is_read_or_refused(p: dict[str, Any], q: dict[str, Any], built: dict[str, Any]) -> None:
    text = HEAD + "[points]\nA = [0, 600, 0]\nB = [0, -600, 0]\nC = [1500, 600, 0]\nD = [1500, -600, 200]\n"
    text += f"P = {toml(p)}\nQ = {toml(q)}\n"
    if built:
        text += "[as_built]\n" + "".join(f"{key} = {toml(value)}\n" for key, value in built.items())
    job, problems = read(text)
    assert all(problem.line and problem.what for problem in problems)
    if job is not None:
        assert all(abs(value) < 1e8 for point in job.definitions.points.values() for value in point.xyz)
    else:
        assert problems


def read(text: str) -> tuple[Job | None, list[Problem]]:
    try:
        return read_text(text), []
    except JobError as error:
        return None, error.problems
