"""Two who change one text lose nothing: what lies apart is in the result, what meets is asked about."""

from __future__ import annotations

import difflib
import random

from hypothesis import given
from hypothesis import strategies as st

from fabgen.job.text.history import History
from fabgen.job.text.merged_text import merged_text

LINES = st.lists(st.sampled_from(["a\n", "b\n", "c\n", "d\n", "\n"]), max_size=12).map("".join)


def test_changes_apart_are_both_kept() -> None:
    before = "one\ntwo\nthree\nfour\n"
    made = merged_text(before, before.replace("one", "1"), before.replace("four", "4\nfive"))
    assert made.text == "1\ntwo\nthree\n4\nfive\n"
    assert not made.clashes


def test_changes_of_one_line_are_asked_about() -> None:
    before = "one\ntwo\nthree\n"
    made = merged_text(before, before.replace("two", "mine"), before.replace("two", "yours"))
    (clash,) = made.clashes
    assert (clash.line, clash.own, clash.other) == (2, "mine\n", "yours\n")
    assert made.text == "one\nyours\nthree\n"
    assert merged_text(before, before.replace("two", "m"), before.replace("two", "y"), True).text == "one\nm\nthree\n"


@given(LINES, LINES, LINES)
def test_the_rules_of_merging_hold(before: str, own: str, other: str) -> None:
    assert merged_text(before, own, before).text == own
    assert merged_text(before, before, other).text == other
    assert merged_text(before, own, own).text == own
    one, two = merged_text(before, own, other), merged_text(before, other, own)
    assert len(one.clashes) == len(two.clashes)
    if not one.clashes:
        assert one.text == two.text
    for clash in one.clashes:
        assert clash.own in own
        assert clash.other in other


@given(LINES, LINES, LINES)
def test_every_new_line_is_in_the_result_or_in_a_question(before: str, own: str, other: str) -> None:
    made = merged_text(before, own, other)
    there = made.text.splitlines() + [line for clash in made.clashes for line in clash.own.splitlines()]
    for side in (own, other):
        for line in difflib.ndiff(before.splitlines(), side.splitlines()):
            assert not line.startswith("+ ") or line[2:] in there


def test_a_thousand_interleavings_lose_nothing() -> None:
    """Each of two sides gives lines names of its own; what was written and not asked about is there at the end."""
    for seed in range(1000):
        chance = random.Random(seed)
        disk = "".join(f"k{i} = 0\n" for i in range(12))
        seen, kept, asked = disk, {}, 0
        for turn in range(20):
            line, value = chance.randrange(12), f"v{turn}"
            if chance.random() < 0.2:
                seen = disk  # the page hears of the file
            if chance.random() < 0.5:
                rows = disk.splitlines(keepends=True)
                rows[line] = f"k{line} = {value}\n"
                disk = "".join(rows)
                kept[line] = value
                continue
            rows = seen.splitlines(keepends=True)
            rows[line] = f"k{line} = {value}\n"
            made = merged_text(seen, "".join(rows), disk)
            if made.clashes:
                asked += 1
                assert seen.splitlines()[line] != disk.splitlines()[line] or any(
                    seen.splitlines()[i] != disk.splitlines()[i] for i in (line - 1, line + 1) if 0 <= i < 12
                )
                continue
            disk = seen = made.text
            kept[line] = value
        for line, value in kept.items():
            assert f"k{line} = {value}\n" in disk, seed


def test_history_goes_back_and_forward() -> None:
    steps = History.of("a").changed("b", "first").changed("c", "second")
    assert (steps.undoes, steps.redoes) == ("second", "")
    assert steps.back().text == "b"
    assert steps.back().back().back().text == "a"
    assert steps.back().redoes == "second"
    assert steps.back().forward().text == "c"
    assert steps.back().changed("d", "third").redoes == ""
    assert steps.changed("c", "nothing") is steps
