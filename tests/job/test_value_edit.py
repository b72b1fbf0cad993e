"""One value of a job's text changed: the value reads as given, and no other character moves."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.job.errors import InputError
from fabgen.job.text.toml_edit import written
from fabgen.job.text.value_edit import is_value, value_at, with_value, without_table

TEXT = """# head ü
[job]
title = "Öse"   # said once
units = "mm"

# the tube
[[tube]]
mark = "T1" # first
route = [
  [0, 0, 0],   # here
  [300, 0, 0],
]

[[tube]]
mark = "T2"
end.cut = "plain"
"""


def test_a_value_goes_in_the_place_of_another() -> None:
    assert value_at(TEXT, ("tube", 0, "mark")) == '"T1"'
    assert with_value(TEXT, ("tube", 0, "mark"), '"A"') == TEXT.replace('"T1"', '"A"')
    assert with_value(TEXT, ("job", "title"), '"x"') == TEXT.replace('"Öse"', '"x"')
    one_line = with_value(TEXT, ("tube", 0, "route"), '["A", "B"]')
    assert tomllib.loads(one_line)["tube"][0]["route"] == ["A", "B"]
    assert with_value(TEXT, ("tube", 1, "end", "cut"), '"saw"') == TEXT.replace('"plain"', '"saw"')


def test_a_new_key_stands_below_the_last_and_an_empty_one_goes() -> None:
    more = with_value(TEXT, ("tube", 1, "quantity"), "2")
    assert more == TEXT + "quantity = 2\n"
    assert with_value(more, ("tube", 1, "quantity"), None) == TEXT
    assert with_value(TEXT.rstrip("\n"), ("tube", 1, "quantity"), "2") == more
    assert with_value(TEXT.replace("\n", "\r\n"), ("tube", 1, "quantity"), "2") == more.replace("\n", "\r\n")


@pytest.mark.parametrize("value", ["1\nx = 2", "1 # remark", "", "[1", "word", '"a" x'])
def test_what_is_not_one_value_is_refused(value: str) -> None:
    assert not is_value(value)
    with pytest.raises(InputError):
        with_value(TEXT, ("tube", 0, "mark"), value)


def test_a_table_goes_with_its_keys_alone() -> None:
    left = without_table(TEXT, "tube", 0)
    assert [each["mark"] for each in tomllib.loads(left)["tube"]] == ["T2"]
    assert "# the tube" in left
    assert left.count("\n\n\n") == 0


SAMPLES = sorted((Path(__file__).parents[2] / "sample_parts").glob("*.toml"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
@given(data=st.data())
def test_any_key_of_a_sample_takes_any_text(path: Path, data: st.DataObject) -> None:
    text = path.read_text(encoding="utf-8")
    raw = tomllib.loads(text)
    places = [(n, i, k) for n, each in raw.items() if isinstance(each, list) for i, e in enumerate(each) for k in e]
    places += [(n, k) for n, each in raw.items() if isinstance(each, dict) for k in each]  # type: ignore[misc]
    place = data.draw(st.sampled_from(places))
    said = data.draw(st.text(st.characters(codec="utf-8"), max_size=20))
    if value_at(text, place) is None:
        return  # in a table of a table that has a heading of its own
    made = with_value(text, place, written(said))
    after = tomllib.loads(made)
    inner, old = after, raw
    for part in place[:-1]:
        inner, old = inner[part], old[part]  # type: ignore[index]
    assert inner[place[-1]] == said
    inner[place[-1]] = old[place[-1]]
    assert after == raw
    assert made.count("#") - written(said).count("#") + (value_at(text, place) or "").count("#") == text.count("#")
