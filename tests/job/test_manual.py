"""`fabgen keys` tells of every key that the definitions take."""

import pytest

from fabgen.job.key_help.keys_text import overview, table_entries, table_text, tables
from fabgen.job.tables.definitions import Definitions


def test_every_table_of_the_job_file_is_told() -> None:
    told = tables()
    assert {"job", "tube", "link", "plate", "bracket", "cover", "stock"} <= set(told)
    lists = {name for name, field in Definitions.model_fields.items() if str(field.annotation).startswith("list")}
    assert lists <= set(told)
    assert len(list(overview())) == len(told)


def test_every_key_stands_in_its_tables_text() -> None:
    for name, model in tables().items():
        told = {line.split()[0] for line in table_text(name) if line.startswith("  ") and line.strip()}
        assert {field.alias or key for key, field in model.model_fields.items() if not field.exclude} <= told


def test_choices_and_needs_are_told() -> None:
    text = "\n".join(table_text("tube"))
    assert '"clear" | "outside"' in text
    assert "needed" in text


def test_words_are_wrapped() -> None:
    assert all(len(line) <= 122 for name in tables() for line in table_text(name))


@pytest.mark.parametrize(
    ("table", "line"),
    [
        ("bar", "between the bar and what it goes round, each side; left out = 0.5 mm"),
        ("bar", 'the way its legs point there; left out = "bottom"'),
        ("bar", "on the thread: the second locks the first; left out = 2"),
        ("bar", "under the nuts; left out = 1"),
        ("bar", '"right" | "left"; of its thread; left out = "right"'),
        ("plate", "how many of it are made; left out = 1"),
        ("bolt", "how many such bolts, of one side where its parts are mirrored; left out = 1"),
        ("job", 'left out = "clear"'),
        ("plate", "0 = it lies along it; left out = 90"),
    ],
)
def test_what_a_key_is_where_it_is_left_out_is_told(table: str, line: str) -> None:
    assert line in " ".join(" ".join(table_text(table)).split())


def test_nothing_left_out_is_told_twice_or_is_nothing() -> None:
    for table in tables():
        for line in "\n".join(table_text(table)).split("\n  "):
            assert "left out = 0 mm" not in line


def test_defaults_are_as_a_job_file_would_say_them() -> None:
    said = {
        (table.heading, key.name): key.left_out
        for name in tables()
        for table in table_entries(name)
        for key in table.keys
    }
    assert said["[[tube]]", "turn"] == "as said"
    assert said["row = { … }", "turn"] == "0"
    assert said["tubes = { … }", "lean"] == "as said"
    assert said["start = { … }", "cut"] == '"auto"'
    assert said["[[plate]]", "mark"] == "needed"
    assert said["holes = { … }", "drilled"] == "false"
    assert said["[[plate]]", "title"] == '""'
    assert said["[movement]", "clear"] == "10 mm"
