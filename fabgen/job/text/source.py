"""Where each key of a TOML text stands.

`tomllib` gives the values but not their places; tree-sitter's TOML grammar gives the places.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from functools import cached_property
from typing import TYPE_CHECKING

from fabgen.job.errors import Path

if TYPE_CHECKING:
    from tree_sitter import Node


class SourceMap:
    """Lines of the keys of a TOML text, by path, e.g. ('tube', 2, 'route', 1).

    The text is parsed when the first line is requested: a job without a fault never needs it.
    """

    def __init__(self, text: str) -> None:
        self.text = text

    def line(self, path: Path) -> int:
        """Line (from 1) of the key; of the deepest table above it that is there, if it is not."""
        for length in range(len(path), 0, -1):
            if (found := self.lines.get(path[:length])) is not None:
                return found
        return 1

    @cached_property
    def lines(self) -> dict[Path, int]:
        """Line of every key, list item and table.  A table or list counts from where it begins."""
        import tree_sitter
        import tree_sitter_toml

        parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
        root = parser.parse(self.text.encode("utf-8")).root_node
        places: dict[Path, int] = {}
        counts: dict[Path, int] = {}
        for node in root.named_children:
            if node.type == "pair":
                _walk(node, (), places)
            elif node.type in ("table", "table_array_element"):
                _walk_table(node, places, counts)
        return places


def _walk_table(table: Node, places: dict[Path, int], counts: dict[Path, int]) -> None:
    """Record a [table] or one entry of a [[table]], and the keys below it."""
    header, *below = table.named_children or [table]
    keys = list(key_parts(header))
    path: Path = ()
    for i, key in enumerate(keys):
        path = (*path, key)
        is_new_entry = table.type == "table_array_element" and i == len(keys) - 1
        if is_new_entry:
            counts[path] = counts.get(path, 0) + 1
        places.setdefault(path, _line(table))
        if path in counts:
            path = (*path, counts[path] - 1)
            places.setdefault(path, _line(table))
    for node in below:
        if node.type == "pair":
            _walk(node, path, places)


def _walk(pair: Node, above: Path, places: dict[Path, int]) -> None:
    """Record a key, and everything in its value.  With a stack: values may nest deeply."""
    stack: list[tuple[Node, Path]] = [(pair, above)]
    while stack:
        node, path = stack.pop()
        inner = [child for child in node.named_children if child.type != "comment"]
        if node.type == "pair":
            for key in key_parts(inner[0]) if inner else ():
                path = (*path, key)
                places.setdefault(path, _line(node))
            stack += [(value, path) for value in inner[1:2]]
        elif node.type == "array":
            for i, item in enumerate(inner):
                places.setdefault((*path, i), _line(item))
                stack.append((item, (*path, i)))
        elif node.type == "inline_table":
            stack += [(child, path) for child in reversed(inner) if child.type == "pair"]


def key_parts(node: Node) -> Iterator[str]:
    """The parts of a key: `a."b c".d` gives a, b c, d."""
    stack = [node]
    while stack:
        node = stack.pop()
        if node.type == "dotted_key":
            stack += reversed(node.named_children)
        elif node.text is not None:
            text = node.text.decode("utf-8")
            if node.type == "quoted_key":
                text = next(iter(tomllib.loads(f"{text} = 0")))
            yield text


def _line(node: Node) -> int:
    return int(node.start_point[0]) + 1
