"""Whatever is fed to the reader, it answers with a job or with problems on lines of the file."""

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from mutated_jobs import TEXTS, VALUES, mutated
from random_seeds import first_seed

from fabgen.job.errors import JobError, Problem, describe, plain
from fabgen.job.reader import read_job, read_text

JARGON = re.compile(
    r"[Ii]nput should|value_error|pydantic|valid (string|integer|number|list|dict)|\bdict\b|\bNone\b|_type\b|"
    r"Traceback|[Ff]ield required|Extra inputs|Unterminated|namespace|<class|InputError"
)


def problems_of(text: str) -> list[Problem]:
    try:
        read_text(text, "fuzz.toml")
    except JobError as error:
        return error.problems or [Problem((), "")]
    return []


def is_answered(text: str) -> None:
    count = max(1, len(text.split("\n")))
    for problem in problems_of(text):
        assert problem.what
        assert problem.line is not None
        assert 1 <= problem.line <= count
        printed = describe(problem)
        assert printed.startswith(f"fuzz.toml:{problem.line}: ")
        assert len(printed) < 2000
        assert plain(printed) == printed
        said = re.sub(r'"[^"]*"', "", problem.what).split(": ")[0]  # without what the file itself says
        assert not JARGON.search(f"{said} {problem.accepted} {problem.nearest}"), printed


@pytest.mark.parametrize("seed", range(300))
def test_slips_in_a_good_job(seed: int) -> None:
    is_answered(mutated(TEXTS[seed % len(TEXTS)], first_seed(seed)))


@given(st.text(max_size=300))
@example("[job]")
@example("[[job]]")
@example("job = 1")
@example("tube = [1, 2]")
@example("tube = [[]]\npoints = []\ndimensions = 3\nmaterial = [1]\n[job]\nunits = []")
@example(
    "[job]\nunits = {}\n[[tube]]\nstart = 3\n[[tube]]\nstart = {onto = 3}\n[[tube]]\nstart = {onto = [[], {}, 1.5]}"
)
@example('[[tube]]\nmark = []\n[[tube]]\nmark = ""\n[[tube]]\nmark = -3\n[[tube]]\nmark = true')
@example('[points]\n"" = {from = [], by = {}}\nA = {from = 3}\nB = {}\nC = []')
@example("[[plate]]\nholes = 3\n[[plate]]\nholes = [1, {face = []}]\ncorners = {}\n[[cover]]\nshape = []\ndrain = []")
@example("[[material]]\nname = []\n[[material]]\nname = ''\nlike = 3\ndensity = 'x'")
def test_any_text(text: str) -> None:
    is_answered(text)


KEYS = """
    job title number units dimensions points tube plate bracket cover link stock material mark section route start
    finish onto cut holes at bolt corners shape drain rectangle disc thickness rod_ends between from by lengths sheets
"""
keys = st.sampled_from(KEYS.split())
values = st.recursive(
    st.sampled_from(VALUES),
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(keys, inner, max_size=3).map(
            lambda d: "{" + ", ".join(f"{k} = {v}" for k, v in d.items()) + "}"
        )
    ),
    max_leaves=6,
)
tables = st.tuples(st.sampled_from(["[{}]", "[[{}]]"]), keys, st.dictionaries(keys, values, max_size=5)).map(
    lambda t: t[0].format(t[1]) + "\n" + "\n".join(f"{k} = {v}" for k, v in t[2].items())
)


@settings(max_examples=200)
@given(st.lists(tables, max_size=5))
def test_any_tables(written: list[str]) -> None:
    is_answered("\n".join(written))


@settings(max_examples=60)
@given(st.binary(max_size=200))
def test_any_bytes(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "bytes.toml"
    path.write_bytes(data)
    with pytest.raises(JobError) as caught:
        read_job(path)
    assert all(p.line is None or 1 <= p.line <= data.count(b"\n") + 1 for p in caught.value.problems)
