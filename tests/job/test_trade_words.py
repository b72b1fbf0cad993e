"""Where the words of a fabricator lead: tables and keys that there are, or that there is none."""

from __future__ import annotations

import re

import pytest
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.job.key_help.keys_text import table_entries, tables
from fabgen.job.key_help.trade_words import trade_words, way_to

TYPED = """
ear tab lug clevis shackle strut brace outrigger hub|stub axle|spring shock bushing|rod end|heim
saddle fishmouth notch cap bung gusset doubler skid tray hinge pivot pin jig tack hole slot caliper
tubes gussets U-bolt""".replace("\n", " ")
WORDS = [word for part in TYPED.split("|") for word in ([part] if part in ("stub axle", "rod end") else part.split())]


def said(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["keys", *words])
    return result.exit_code, " ".join(result.output.split())


@pytest.mark.parametrize("word", WORDS)
def test_each_word_leads_somewhere(word: str) -> None:
    code, text = said(*word.split())
    assert code == 0
    assert "fabgen keys " in text or "[[tube]]" in text


@pytest.mark.parametrize(
    ("word", "table"),
    [("caliper", "envelope"), ("gusset", "bracket"), ("shock", "damper"), ("heim", "link"), ("doubler", "plate")],
)
def test_the_likeliest_table_first(word: str, table: str) -> None:
    assert trade_words()[word].tables[0] == table


def test_all_that_is_named_is_there() -> None:
    names = {key.name for table in tables() for entry in table_entries(table) for key in entry.keys}
    for word in trade_words().values():
        assert set(word.tables) <= set(tables())
        assert set(re.findall(r"\[\[?(\w+)\]", word.words)) <= set(tables())
        assert set(re.findall(r"`(\w+)`", word.words)) <= names
        assert word.tables or "fabgen has n" in word.words
    assert len({id(word) for word in trade_words().values()}) > 25


def test_the_two_turns_are_told_apart() -> None:
    _, text = said("turn")
    assert "[[bracket]] sits turn: how the edge is cut" in text
    assert "place turn: the whole part turned on the skin" in text


def test_a_table_that_is_a_word_of_the_trade_too() -> None:
    _, text = said("pin")
    assert text.startswith("pin: A pin or bolt that parts turn on is a [[bolt]]")
    assert "[[pin]] Which way the bolt of a rod end runs" in text


def test_what_is_no_word_says_so() -> None:
    code, text = said("flywheel")
    assert code == 2
    assert "a job file has no table 'flywheel'" in text
    assert list(way_to("flywheel")) == []


@pytest.mark.parametrize(("typed", "meant"), [("gusse", "gusset"), ("bracets", "bracket"), ("quantty", "quantity")])
def test_a_slip_has_the_nearest_word_of_tables_trade_and_keys(typed: str, meant: str) -> None:
    result = CliRunner().invoke(app, ["keys", typed])
    assert result.exit_code == 2
    assert f"nearest: {meant}" in result.output
