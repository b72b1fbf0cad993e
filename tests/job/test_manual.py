"""`fabgen keys` tells of every key that the definitions take."""

from fabgen.job.key_help.keys_text import overview, table_text, tables
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
        assert {field.alias or key for key, field in model.model_fields.items()} <= told


def test_choices_and_needs_are_told() -> None:
    text = "\n".join(table_text("tube"))
    assert '"clear" | "outside"' in text
    assert "needed" in text


def test_words_are_wrapped() -> None:
    assert all(len(line) <= 122 for name in tables() for line in table_text(name))
