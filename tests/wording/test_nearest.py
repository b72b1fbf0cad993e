"""The name most like what was written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.wording.nearest import nearest


@pytest.mark.parametrize(
    ("word", "options", "best"),
    [
        ("strat", ["start", "finish", "route"], "start"),
        ("qty", ["mark", "quantity"], "quantity"),
        ("S253", ["S235", "S275", "S355"], "S235"),
        ("TRACK", ["track", "bush"], "track"),
        ("FI", ["FL", "FR"], "FL"),
        ("zzz", ["track", "bush"], ""),
        ("", ["a"], ""),
        ("a", [], ""),
    ],
)
def test_nearest(word: str, options: list[str], best: str) -> None:
    assert nearest(word, options) == best


@given(st.text(max_size=200), st.lists(st.text(max_size=100), max_size=5))
def test_the_answer_is_an_option_or_nothing(word: str, options: list[str]) -> None:
    assert nearest(word, options) in [*options, ""]


@given(st.lists(st.text("abcdef", min_size=1, max_size=8), min_size=1, unique=True))
def test_a_name_itself_is_nearest(options: list[str]) -> None:
    assert nearest(options[0], options) == options[0]
