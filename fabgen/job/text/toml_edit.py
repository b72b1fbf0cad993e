"""Small changes to a TOML text that leave every other character unchanged.

Libraries that write TOML from values gather tables of one name together, and comments that
stood between them end up above the wrong ones.  Here the grammar says where a table and a
key begin and end, and only those characters change.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node

Value = str | int | float | date | Sequence["Value"]


class TomlEditor:
    """Edits of one text, collected and made at once by `text()`.

    Tables are named by their list and their number in it, from 0, e.g. ('bar', 2), counted as in the file; a [table] of
    its own has the number 0.

    Raises:
        KeyError: of each edit, where the table is not written under a [[heading]] of its own.
    """

    def __init__(self, text: str) -> None:
        self._end = "\r" if "\r\n" in text else ""
        self._lines = text.split("\n")
        self._tables = _tables_of(text)
        self._gone: set[int] = set()
        self._changed: dict[int, str] = {}
        self._keys_after: dict[int, list[str]] = {}
        self._tables_after: dict[int, list[str]] = {}

    def set_value(self, table: str, number: int, key: str, value: Value) -> None:
        """Give a key another value; a key that is not there is put after the table's last one.

        A value that is replaced stands on one line.

        Args:
            table: name of the list of tables.
            number: of the table in it, from 0.
            key: of the table.
            value: to write.
        Raises:
            KeyError: the table has no heading of its own.
        """
        entry = self._entry(table, number)
        pair = entry.pairs.get(key)
        if pair is None:
            self._keys_after.setdefault(entry.last_row, []).append(f"{key} = {written(value)}{self._end}")
            return
        row, start, end = pair.value
        coded = self._lines[row].encode("utf-8")  # positions count bytes of UTF-8
        self._changed[row] = (coded[:start] + written(value).encode() + coded[end:]).decode("utf-8")

    def remove(self, table: str, number: int) -> None:
        """Take a table out: its heading and keys, and remarks between these; what stands around it stays.

        Raises:
            KeyError: the table has no heading of its own.
        """
        entry = self._entry(table, number)
        self._gone.update(range(entry.first_row, entry.last_row + 1))
        before, after = entry.first_row - 1, entry.last_row + 1
        while before in self._gone:
            before -= 1
        if self._is_blank(before) and self._is_blank(after):
            self._gone.add(after)

    def add(self, table: str, values: Mapping[str, Value]) -> None:
        """A new [[table]], below the last one of that name, or at the end of the text."""
        block = ["", f"[[{table}]]", *(f"{key} = {written(value)}" for key, value in values.items())]
        if earlier := self._tables.get(table):
            row = earlier[-1].last_row
        else:
            row = len(self._lines) - 1
            while row > 0 and self._is_blank(row):
                row -= 1
        self._tables_after.setdefault(row, []).extend(line + self._end for line in block)

    def text(self) -> str:
        """The text with all changes made."""
        lines: list[str] = []
        after_table = False
        for row, line in enumerate(self._lines):
            if row not in self._gone:
                if after_table and line.strip():
                    lines.append(self._end)
                after_table = False
                lines.append(self._changed.get(row, line))
            lines += self._keys_after.get(row, [])
            for new in self._tables_after.get(row, []):
                if new.strip() or (lines and lines[-1].strip()):
                    lines.append(new)
                after_table = True
        if lines and lines[-1].strip():
            lines[-1] = lines[-1].removesuffix("\r") + self._end
            lines.append("")
        return "\n".join(lines)

    def _is_blank(self, row: int) -> bool:
        return 0 <= row < len(self._lines) and not self._lines[row].strip()

    def _entry(self, table: str, number: int) -> _Entry:
        entries = self._tables.get(table, [])
        if number >= len(entries):
            raise KeyError(f"{table} {number + 1} has no heading of its own")
        return entries[number]


class _Pair:
    """Where the value of a `key = value` stands: row, and first and last byte in it."""

    def __init__(self, node: Node) -> None:
        value = [child for child in node.named_children if child.type != "comment"][1]
        self.value = (value.start_point[0], value.start_point[1], value.end_point[1])
        self.last_row = int(value.end_point[0])


class _Entry:
    """One [table] or [[table]]: rows of its heading and last key, and its keys."""

    def __init__(self, node: Node) -> None:
        self.first_row = int(node.start_point[0])
        self.pairs: dict[str, _Pair] = {}
        for child in node.named_children:
            if child.type == "pair":
                key = child.named_children[0].text
                self.pairs[key.decode("utf-8").strip("\"'") if key else ""] = _Pair(child)
        self.last_row = max([self.first_row, *(pair.last_row for pair in self.pairs.values())])


def written(value: Value) -> str:
    """A value as TOML text."""
    if isinstance(value, str):
        # A JSON string without escapes beyond ASCII is a TOML basic string; DEL alone must be escaped besides.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, float):
        return f"{value:.4f}".rstrip("0").rstrip(".")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    return f"[{', '.join(written(item) for item in value)}]"


def _tables_of(text: str) -> dict[str, list[_Entry]]:
    import tree_sitter
    import tree_sitter_toml

    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
    found: dict[str, list[_Entry]] = {}
    for node in parser.parse(text.encode("utf-8")).root_node.named_children:
        if node.type in ("table_array_element", "table"):
            name = node.named_children[0].text
            found.setdefault(name.decode("utf-8").strip("\"'") if name else "", []).append(_Entry(node))
    return found
