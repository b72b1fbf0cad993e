"""Edits of a TOML text: the values change, and no other character does."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.job.text.toml_edit import TomlEditor, written

TEXT = """# my rack, Größe in mm
[rack]
units = "mm"   # bare

# ---- bars
[[bar]]        # first
mark = "Ärmel" # near the door
# rusty
count = 2      # two, ok?

# ---- sheets
[[sheet]]
size = [
  2500, # long
  1250,
]

# ---- more bars
[[bar]]
mark = "R2"
length = 400

# ---- drawers
[[hardware]]
item = "rod end"
count = 4
"""


def test_a_count_changes_in_place() -> None:
    editor = TomlEditor(TEXT)
    editor.set_value("bar", 0, "count", 1)
    editor.set_value("hardware", 0, "count", 12)
    assert editor.text() == TEXT.replace("count = 2 ", "count = 1 ").replace("count = 4", "count = 12")


def test_a_count_that_is_not_there_is_put_below_the_last_key() -> None:
    editor = TomlEditor(TEXT)
    editor.set_value("bar", 1, "count", 3)
    assert editor.text() == TEXT.replace("length = 400\n", "length = 400\ncount = 3\n")


def test_keys_of_a_table_of_its_own_are_set_too() -> None:
    editor = TomlEditor(TEXT)
    editor.set_value("rack", 0, "units", "in")
    editor.set_value("rack", 0, "date", date(2026, 3, 14))
    assert editor.text() == TEXT.replace('"mm"   # bare\n', '"in"   # bare\ndate = 2026-03-14\n')


def test_a_table_goes_with_its_own_remarks_and_headings_stay() -> None:
    editor = TomlEditor(TEXT)
    editor.remove("bar", 0)
    gone = TEXT.index("[[bar]]"), TEXT.index("\n# ---- sheets")
    assert editor.text() == TEXT[: gone[0]] + TEXT[gone[1] :]


def test_a_new_table_comes_below_its_like() -> None:
    editor = TomlEditor(TEXT)
    editor.add("bar", {"mark": "CUR-01/1", "length": 912.5, "count": 2})
    new = '\n[[bar]]\nmark = "CUR-01/1"\nlength = 912.5\ncount = 2\n'
    assert editor.text() == TEXT.replace("length = 400\n", f"length = 400\n{new}")


def test_a_table_of_a_new_name_comes_last() -> None:
    editor = TomlEditor(TEXT)
    editor.add("booked", {"job": "CUR-01", "date": date(2026, 3, 14)})
    assert editor.text() == TEXT + '\n[[booked]]\njob = "CUR-01"\ndate = 2026-03-14\n'


def test_a_table_whose_like_is_removed_at_once() -> None:
    editor = TomlEditor(TEXT)
    editor.remove("bar", 1)
    editor.add("bar", {"mark": "N"})
    assert tomllib.loads(editor.text())["bar"][1] == {"mark": "N"}
    assert '# ---- more bars\n\n[[bar]]\nmark = "N"\n\n# ---- drawers\n' in editor.text()


def test_line_ends_of_windows_stay() -> None:
    text = TEXT.replace("\n", "\r\n")
    editor = TomlEditor(text)
    editor.set_value("bar", 0, "count", 1)
    editor.remove("bar", 1)
    editor.add("bar", {"mark": "N"})
    changed = editor.text()
    assert "\n" not in changed.replace("\r\n", "")
    assert [bar.get("mark") for bar in tomllib.loads(changed)["bar"]] == ["Ärmel", "N"]


def test_a_last_line_without_its_end_gets_one() -> None:
    editor = TomlEditor("[[bar]]\ncount = 2")
    editor.add("bar", {"count": 3})
    assert editor.text() == "[[bar]]\ncount = 2\n\n[[bar]]\ncount = 3\n"


def test_tables_in_a_list_on_one_line_are_left_alone() -> None:
    with pytest.raises(KeyError):
        TomlEditor("bar = [{ count = 2 }]").remove("bar", 0)


@given(
    counts=st.lists(st.integers(1, 9), min_size=1, max_size=8),
    data=st.data(),
    gap=st.sampled_from(["", "\n", "\n# a remark\n\n", "\n\n"]),
)
def test_values_after_any_edits_are_what_was_asked(counts: list[int], data: st.DataObject, gap: str) -> None:
    text = gap.join(f"[[{'bar' if n % 2 else 'sheet'}]]\nid = {i}\ncount = {n}\n" for i, n in enumerate(counts))
    values = tomllib.loads(text)
    editor = TomlEditor(text)
    wanted: dict[str, list[dict[str, int]]] = {}
    for table, entries in values.items():
        wanted[table] = []
        for i, entry in enumerate(entries):
            deed = data.draw(st.sampled_from(["keep", "set", "remove"]))
            if deed == "remove":
                editor.remove(table, i)
                continue
            if deed == "set":
                editor.set_value(table, i, "count", 77)
            wanted[table].append(entry | ({"count": 77} if deed == "set" else {}))
        editor.add(table, {"id": 99})
        wanted[table].append({"id": 99})
    assert tomllib.loads(editor.text()) == wanted
    assert editor.text().count("# a remark") == text.count("# a remark")


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=40))
def test_any_text_reads_back(text: str) -> None:
    assert tomllib.loads(f"a = {written(text)}")["a"] == text
