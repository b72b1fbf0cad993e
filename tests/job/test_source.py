"""Where keys stand in a job file."""

import tomllib
from typing import Any

from fabgen.job.text.source import SourceMap

TEXT = """\
# a remark
[job]
title = "x"
date = 2026-03-14
a.b.c = 3

[points]
FL = [
  0,
  # inside a list
  "track / 2", 0 ]
"X 1" = { from = "FL", by = [0, 0, "50 mm"] }

[[tube]]
mark = "T1"
start = { cut = "cope", onto = ["a",
  "b"] }
[tube.finish]
cut = "mitre"

[[tube]]
mark = "T2"
[[tube.extra]]
k = 1
[[tube.extra]]
k = 2
[ "odd \\u0041".'plain' ]
z = 1
"""

EXPECTED = {
    (): 1,
    ("job",): 2,
    ("job", "title"): 3,
    ("job", "a", "b", "c"): 5,
    ("points", "FL"): 8,
    ("points", "FL", 0): 9,
    ("points", "FL", 1): 11,
    ("points", "FL", 2): 11,
    ("points", "X 1", "by", 2): 12,
    ("tube",): 14,
    ("tube", 0): 14,
    ("tube", 0, "mark"): 15,
    ("tube", 0, "start", "onto", 0): 16,
    ("tube", 0, "start", "onto", 1): 17,
    ("tube", 0, "finish"): 18,
    ("tube", 0, "finish", "cut"): 19,
    ("tube", 1): 21,
    ("tube", 1, "mark"): 22,
    ("tube", 1, "extra", 0, "k"): 24,
    ("tube", 1, "extra", 1): 25,
    ("tube", 1, "extra", 1, "k"): 26,
    ("odd A", "plain", "z"): 28,
}


def test_lines_of_keys() -> None:
    source = SourceMap(TEXT)
    assert {path: source.line(path) for path in EXPECTED} == EXPECTED


def test_a_missing_key_stands_at_what_is_above_it() -> None:
    source = SourceMap(TEXT)
    assert source.line(("tube", 1, "section")) == 21
    assert source.line(("tube", 0, "start", "onto", 7, "deep")) == 16
    assert source.line(("bracket", 3, "mark")) == 1


def test_windows_line_ends() -> None:
    source = SourceMap(TEXT.replace("\n", "\r\n"))
    assert {path: source.line(path) for path in EXPECTED} == EXPECTED


def test_every_key_that_is_read_has_its_place() -> None:
    source = SourceMap(TEXT)

    def all_paths(value: Any, path: tuple[str | int, ...]) -> list[tuple[str | int, ...]]:
        items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        return [path, *(p for key, inner in items for p in all_paths(inner, (*path, key)))]

    paths = all_paths(tomllib.loads(TEXT), ())[1:]
    assert set(paths) == set(source.lines)


def test_broken_text_still_gives_lines() -> None:
    for text in ("", "[", "a = [1, 2", "= 3", "[[x]\ny = 1", '"', "a." * 500, "[" * 3000):
        assert SourceMap(text).line(("a", 0)) >= 1
