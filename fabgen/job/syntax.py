"""TOML text to values, and what is wrong with text that is no TOML, in plain words."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from fabgen.job.errors import Problem

MOST_FAULTS = 20

_PLACE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")
_ONE_LINE_KEY = re.compile(r"\s*[A-Za-z0-9_-]+\s*=\s*(?P<value>.*)")

_TWICE = "this key is given twice in one table"
_QUOTES = "text, and lengths with a unit, stand in quotes"
_SAID: tuple[tuple[str, str, str], ...] = (
    # what tomllib says (its beginning), what we say, what is accepted
    ("Cannot overwrite a value", _TWICE, "each key once"),
    ("Duplicate inline table key", _TWICE, "each key once"),
    ("Cannot declare", "this table is given twice", "[name] once, or [[name]] for each of several"),
    ("Cannot mutate immutable", "this adds to a table that is complete already", "all keys of a table in one place"),
    ("Cannot redefine namespace", "this table is given twice", "[name] once, or [[name]] for each of several"),
    ("Expected '=' after a key", "cannot read this line", "key = value, or [table], or # and a remark"),
    ("Invalid statement", "cannot read this line", "key = value, or [table], or # and a remark"),
    ("Invalid initial character for a key", "this key begins with a character that a key cannot have", "key = value"),
    ("Expected newline or end of document", "there is something left over after the value", f"one value; {_QUOTES}"),
    ("Invalid value", "cannot read the value", _QUOTES),
    ("Unterminated string", "a quote is opened and never closed", 'a closing quote, e.g. "48.3 x 3.2"'),
    ('Expected "\'"', "a quote is opened and never closed", "a closing quote, e.g. '3/4\"'"),
    ("Expected '\"", "a quote is opened and never closed", 'a closing quote, e.g. "48.3 x 3.2"'),
    ("Illegal character '\\n'", "a quote is opened and not closed on its line", "a closing quote on the same line"),
    ("Found invalid character", "there is a character that does not print", "plain text"),
    ("Illegal character", "there is a character that does not print", "plain text"),
    ("Unescaped '\\'", "there is a backslash in a text", "no backslash, or single quotes round the text"),
    ("Invalid hex value", "there is a backslash in a text", "no backslash, or single quotes round the text"),
    ("Escaped character", "there is a backslash in a text", "no backslash, or single quotes round the text"),
    ("Unclosed array", "a list begun with [ here or above is not closed, or lacks a comma", "[1, 2, 3]"),
    ("Unclosed inline table", "a table begun with { is not closed on its line", '{ cut = "plain" }'),
    ("Expected ']' at the end of a table", "the name of this table lacks its closing ]", "[name]"),
    ("Expected ']]' at the end of an array", "the name of this table lacks its closing ]]", "[[name]]"),
    ("Invalid date or datetime", "there is no such date", "year-month-day, e.g. 2026-03-14"),
)


def load_toml(text: str) -> tuple[dict[str, Any], list[Problem]]:
    """The values of a TOML text, or its faults, each with its line.

    After a faulty line that is one `key = value` the reading goes on without it, so that like
    slips in several lines are told together.
    """
    lines = text.replace("\r\n", "\n").split("\n")
    problems: list[Problem] = []
    while True:
        try:
            values = tomllib.loads("\n".join(lines))
        except RecursionError:
            return {}, [Problem((), "lists or tables are nested too deeply to be read", line=1)]
        except ValueError as error:  # TOMLDecodeError, or a number of too many digits
            problems.append(_problem(str(error), lines))
        else:
            return ({}, problems) if problems else (values, [])
        at = (problems[-1].line or 1) - 1
        if len(problems) == MOST_FAULTS or not _stands_alone(lines[at], problems[-1]):
            return {}, problems
        lines[at] = ""


def _stands_alone(line: str, problem: Problem) -> bool:
    """Whether the fault lies in this one `key = value` line, so that the rest reads well without it."""
    if not _ONE_LINE_KEY.fullmatch(line):
        return False
    try:
        tomllib.loads(line)
    except (ValueError, RecursionError):
        return True
    return problem.what.startswith(_TWICE)


def _problem(said: str, lines: list[str]) -> Problem:
    place = _PLACE.search(said)
    line = int(place[1]) if place and place[1] else _last_line(lines) if place else 1
    # A quote or line that breaks off is told at the next line's beginning by some messages.
    line = min(line, len(lines))
    written = lines[line - 1]
    what, accepted = next(
        ((w, a) for start, w, a in _SAID if said.startswith(start)), ("cannot read this line", _QUOTES)
    )
    if "digits" in said:
        what, accepted = "there is a number of far too many digits", "numbers of a shop's size"
    if shown := written.strip():
        what += f": {shown[:60]}{'…' if len(shown) > 60 else ''}"
    likely = _likely(written) if accepted.endswith(_QUOTES) else ""
    return Problem((), what, accepted, likely, line=line)


def _last_line(lines: list[str]) -> int:
    filled = [i for i, line in enumerate(lines, 1) if line.strip()]
    return filled[-1] if filled else 1


def _likely(written: str) -> str:
    """The line as it was probably meant, where a value lacks its quotes or has an inch mark in them."""
    found = _ONE_LINE_KEY.fullmatch(written)
    if not found:
        return ""
    value, key = found["value"].split(" #")[0].strip(), written[: found.start("value")].strip()
    if value.startswith('"') and value.count('"') == 3 and "'" not in value[1:-1].replace('"', ""):
        return f"{key} '{value[1:-1]}'"
    if value.isprintable() and value and not any(c in value for c in "\"'[]{}=") and len(value) < 40:
        return f'{key} "{value}"'
    return ""
