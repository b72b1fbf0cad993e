"""One value of a TOML text put in place of another, wherever it stands; every other character stays."""

from __future__ import annotations

import tomllib
from collections.abc import Container, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fabgen.job.errors import InputError, Path
from fabgen.job.text.source import key_parts
from fabgen.job.text.toml_edit import written

if TYPE_CHECKING:
    from tree_sitter import Node

_BARE = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-")


@dataclass(frozen=True, slots=True)
class _Table:
    """A [table] or an entry of a [[table]]: where its heading and its last key end, and its `key = value` by key;
    bytes of UTF-8."""

    begin: int
    head: int
    end: int
    pairs: dict[Path, tuple[int, int, int]]


def value_at(text: str, path: Path) -> str | None:
    """The value of a key as it stands in the text; None where it has none.

    Args:
        text: the TOML.
        path: of a key in a table with a heading, e.g. ('tube', 2, 'route') or ('job', 'title').
    """
    coded = text.encode()
    table, key = _parted(coded, path)
    found = table.pairs.get(key) if table is not None else None
    return None if found is None else coded[found[1] : found[2]].decode()


def with_value(text: str, path: Path, value: str | None) -> str:
    """The text with another value at a key: in place of what stands there, else below the table's last key.

    Args:
        text: the TOML.
        path: of the key, as for `value_at`.
        value: as TOML has it; None takes the key and its line out.
    Raises:
        InputError: the table has no heading of its own, or `value` is not one value.
    """
    if value is not None and not is_value(value):
        raise InputError("this is not one value", "a number, a text in quotes, a list in [ ] or a table in { }")
    coded = text.encode()
    table, key = _parted(coded, path)
    if table is None:
        raise InputError("this part of the job has no heading of its own", "a change in the text")
    found = table.pairs.get(key)
    if found is not None:
        begin, start, end = found
        if value is not None:
            return (coded[:start] + value.encode() + coded[end:]).decode()
        first, last = coded.rfind(b"\n", 0, begin) + 1, coded.find(b"\n", end)
        return (coded[:first] + (coded[last + 1 :] if last >= 0 else b"")).decode()
    if value is None:
        return text
    at = coded.find(b"\n", table.end)
    line_end = "\r\n" if b"\r\n" in coded else "\n"
    line = ".".join(key_text(str(name)) for name in key) + f" = {value}"
    if at < 0:
        return text + ("" if text.endswith("\n") else line_end) + line + line_end
    return (coded[: at + 1] + f"{line}{line_end}".encode() + coded[at + 1 :]).decode()


def without_table(text: str, name: str, number: int) -> str:
    """The text less one table, its keys and the remarks between them; what stands around it stays.

    Raises:
        InputError: it has no heading of its own.
    """
    coded = text.encode()
    table, _ = _parted(coded, (name, number, ""))
    if table is None:
        raise InputError("this part of the job has no heading of its own", "a change in the text")
    last = coded.find(b"\n", table.end)
    before, after = coded[: table.begin], coded[last + 1 :] if last >= 0 else b""
    blank = after.find(b"\n") + 1
    if blank and not after[:blank].strip() and (not before or before.rstrip(b" \t\r\n") != before.rstrip(b" \t\r")):
        after = after[blank:]
    return (before + after).decode()


def with_name(text: str, old: str, new: str, but: Container[str] = ()) -> str:
    """The text with another name wherever a value of a table, or one in a list or table in it, is the old one.

    Args:
        text: the TOML.
        old: the name in the file.
        new: in its place.
        but: keys whose values stay, as titles.
    """
    coded = text.encode()
    places: list[tuple[int, int]] = []
    for _, table in _tables(coded):
        for key, (_, start, end) in table.pairs.items():
            if key[-1] not in but:
                places += _texts_in(coded, start, end, old)
    for start, end in sorted(places, reverse=True):
        coded = coded[:start] + written(new).encode() + coded[end:]
    return coded.decode()


def _texts_in(coded: bytes, start: int, end: int, name: str) -> Iterator[tuple[int, int]]:
    """Where texts that are a name stand in a value; keys of tables in it and remarks are none."""
    import tree_sitter
    import tree_sitter_toml

    lead = b"value = "
    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
    stack: list[Node] = [parser.parse(lead + coded[start:end]).root_node]
    while stack:
        node = stack.pop()
        if node.type == "string" and node.text is not None:
            if tomllib.loads(f"value = {node.text.decode()}")["value"] == name:
                shift = start - len(lead)
                yield int(node.start_byte) + shift, int(node.end_byte) + shift
        else:
            stack += node.named_children


def is_value(text: str) -> bool:
    """Whether a text is one TOML value and nothing else."""
    if "\n" in text or "\r" in text:
        return False
    try:
        return list(tomllib.loads(f"value = {text}")) == ["value"] and "#" not in _without_texts(text)
    except (ValueError, RecursionError):
        return False


def _without_texts(text: str) -> str:
    """A value less what stands in quotes."""
    import re

    return re.sub(r"\"(?:[^\"\\]|\\.)*\"|'[^']*'", "", text)


def key_text(name: str) -> str:
    """A key as TOML has it, in quotes where it needs them."""
    return name if name and _BARE.issuperset(name) else written(name)


def _parted(coded: bytes, path: Path) -> tuple[_Table | None, Path]:
    """The table with a heading that a path leads into, and the rest of the path."""
    found: tuple[_Table | None, Path] = (None, path)
    deepest = -1
    for own, table in _tables(coded):
        # A [table] of its own has no number.
        if path[: len(own)] == own and len(own) > deepest and len(path) > len(own):
            found, deepest = (table, path[len(own) :]), len(own)
    return found


def _tables(coded: bytes) -> Iterator[tuple[Path, _Table]]:
    import tree_sitter
    import tree_sitter_toml

    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
    counts: dict[Path, int] = {}
    for node in parser.parse(coded).root_node.named_children:
        if node.type not in ("table", "table_array_element") or not node.named_children:
            continue
        header, *below = node.named_children
        keys = list(key_parts(header))
        path: Path = ()
        for i, name in enumerate(keys):
            path = (*path, name)
            if node.type == "table_array_element" and i == len(keys) - 1:
                counts[path] = counts.get(path, 0) + 1
            if path in counts:
                path = (*path, counts[path] - 1)
        pairs = {key: place for child in below if child.type == "pair" for key, place in _pair(child)}
        ends = [place[2] for place in pairs.values()]
        yield path, _Table(int(node.start_byte), int(header.end_byte), max([int(header.end_byte), *ends]), pairs)


def _pair(node: Node) -> Iterator[tuple[Path, tuple[int, int, int]]]:
    inner = [child for child in node.named_children if child.type != "comment"]
    if len(inner) == 2:
        name, value = inner
        yield tuple(key_parts(name)), (int(node.start_byte), int(value.start_byte), int(value.end_byte))
