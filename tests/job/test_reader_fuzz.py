"""Whatever is fed to the reader, it answers with a job or with problems on lines of the file."""

import random
import re
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fabgen.job.errors import JobError, Problem, describe, plain
from fabgen.job.reader import read_job, read_text

REPOSITORY = Path(__file__).parents[2]
JOBS = [path.read_text(encoding="utf-8") for path in sorted(REPOSITORY.glob("templates/*.toml"))]
JOBS += [path.read_text(encoding="utf-8") for path in sorted(REPOSITORY.glob("sample_parts/*.toml"))]

JARGON = re.compile(
    r"[Ii]nput should|value_error|pydantic|valid (string|integer|number|list|dict)|\bdict\b|\bNone\b|_type\b|"
    r"Traceback|[Ff]ield required|Extra inputs|Unterminated|namespace|<class|InputError"
)

SCRAPS = ['"', "'", "[", "]", "{", "}", "=", ",", "\n", "#", "\r", "\x00", "\x1b", "\ud7ff"]
VALUES = [
    *("-1", "0", "nan", "inf", "-inf", "1e999", "9" * 400, "0x" + "f" * 5000, "true", "false", "[]", "{}", '""', '"x"'),
    *('"\\u0000"', '"\\u001b[2J"', '"é"', "2026-03-14", "07:30:00", "2026-03-14T07:30:00Z", '"1/0 in"', '"sqrt(-1)"'),
    *('"9**9**9"', '"().x"', "[[[]]]", "{a=1}", '{ from = "FL", by = [0, 0, 0] }', '"mm"', '"FL"', '"cap"', '"48 x 3"'),
]


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


def mutated(text: str, seed: int) -> str:
    """The text with a few random slips: values swapped for scraps, lines lost, doubled or moved, letters changed."""
    rng = random.Random(seed)
    lines = text.split("\n")
    for _ in range(rng.randint(1, 6)):
        i = rng.randrange(len(lines))
        slip = rng.randrange(7)
        if slip == 0 and "=" in lines[i]:
            lines[i] = lines[i].split("=")[0] + "= " + rng.choice(SCRAPS + VALUES)
        elif slip == 1:
            del lines[i]
        elif slip == 2:
            lines.insert(rng.randrange(len(lines)), lines[i])
        elif slip == 3 and lines[i]:
            at = rng.randrange(len(lines[i]))
            lines[i] = lines[i][:at] + rng.choice(SCRAPS + VALUES) + lines[i][at + 1 :]
        elif slip == 4 and "=" in lines[i]:
            key, value = lines[i].split("=", 1)
            lines[i] = f"{key.strip()[1:] or 'x'} = {value}"
        elif slip == 5:
            found = re.findall(r'"[^"]*"|\d+', lines[i])
            if found:
                lines[i] = lines[i].replace(rng.choice(found), rng.choice(SCRAPS + VALUES), 1)
        else:
            lines[i] = (
                lines[i].replace("[[", "[").replace("]]", "]") if rng.random() < 0.5 else f"[[{lines[i].strip('[]')}]]"
            )
        lines = lines or [""]
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(300))
def test_slips_in_a_good_job(seed: int) -> None:
    is_answered(mutated(JOBS[seed % len(JOBS)], seed))


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
