"""The notes of tables as the manual sets them: paragraphs, lists of words with what they mean, and drawings in letters.

In a docstring blank lines part the blocks.  A block whose lines are all indented is a drawing; one whose lines are each
`word: meaning`, or `word`, two spaces and more, and its meaning, is a list, its further lines indented.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup, escape

_ROW = re.compile(r"(?P<word>\S.{0,60}?)(?::\s+|\s{2,})(?P<meaning>\S.*)")
_SPOKEN_OF = re.compile(r"`(?P<code>[^`]+)`|\[\[(?P<table>\w+)\]\]")


@dataclass(frozen=True, slots=True)
class Block:
    """A paragraph (`text`), a list (`rows` of word and meaning) or a `drawing`."""

    text: str = ""
    rows: tuple[tuple[str, str], ...] = ()
    drawing: str = ""


def blocks_of(note: str) -> Iterator[Block]:
    """The blocks of a note, one after another."""
    for block in filter(str.strip, note.split("\n\n")):
        lines = block.strip("\n").splitlines()
        if all(line.startswith(" ") for line in lines):
            yield Block(drawing="\n".join(lines))
        elif rows := _rows(lines):
            yield Block(rows=rows)
        else:
            yield Block(text=" ".join(line.strip() for line in lines))


def _rows(lines: list[str]) -> tuple[tuple[str, str], ...]:
    """Words and meanings; none where the lines are no list."""
    rows: list[tuple[str, str]] = []
    for line in lines:
        found = _ROW.fullmatch(line)
        if line.startswith(" ") and rows:
            rows[-1] = (rows[-1][0], f"{rows[-1][1]} {line.strip()}")
        elif found is not None:
            rows.append((found["word"], found["meaning"]))
        else:
            return ()
    return tuple(rows) if len(rows) > 1 else ()


def set_in_type(text: str, tables: frozenset[str]) -> Markup:
    """A sentence with what stands in `backticks` as code, and each [[table]] as a link to its section.

    Args:
        text: the sentence.
        tables: names of the tables that have one.
    """
    parts: list[Markup] = []
    end = 0
    for found in _SPOKEN_OF.finditer(text):
        parts.append(escape(text[end : found.start()]))
        if (code := found["code"]) is not None:
            parts.append(Markup("<code>{}</code>").format(code))
        elif found["table"] in tables:
            parts.append(Markup('<a href="#table-{}">{}</a>').format(found["table"], found[0]))
        else:
            parts.append(escape(found[0]))
        end = found.end()
    return Markup("").join([*parts, escape(text[end:])])
