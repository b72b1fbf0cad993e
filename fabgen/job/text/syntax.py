"""TOML text to values, and what is wrong with text that is no TOML, in plain words."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from fabgen.job.errors import Problem
from fabgen.job.text.likely_line import ONE_LINE_KEY, likely_line, reads

MOST_FAULTS = 20
LONGEST_LINE = 500
"""Longer lines get no proposed correction."""

_PLACE = re.compile(r"\(at line (\d+), column \d+\)|\(at end of document\)")

_TOKENS = re.compile(
    # a remark, a text in quotes, or a bare value of a list or inline table; those must stay or have quotes added
    r"""\#.* | "(?:[^"\\]|\\.)*" | '[^']*' | (?P<bare>(?:(?<=[\[,={])|^)\s*(?P<value>[^\s\[\]{},"'=\#][^\[\]{},"'=\#]*?)
    (?=\s*(?:[,\]}]|$)))""",
    re.VERBOSE,
)
_NUMBERS = re.compile(r"[0-9.\s+-]+")  # lack a comma, not quotes
MOST_NAMES = 50
"""Names that a dotted key may have: no table lies so deep, and time to read it grows with their square."""
_NAME = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_DOTTED = re.compile(rf"{_NAME}(?:[ \t]*\.[ \t]*{_NAME}){{{MOST_NAMES}}}")
_CURLY = str.maketrans("\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u201b", "\"\"\"\"''''")
_BARE = "a value in these brackets lacks its quotes"
_CURLY_QUOTES = "the quotes are curly ones, as a word processor sets them"

_COMMA = "a comma stands before decimals"
_COMMAS = re.compile(r"(?<![\w.,\"'])(\d+),(\d+)(?![\w.])")
_SPACED = re.compile(r"\s*([A-Za-z_]\w*(?:[ \t]+\w+)+)[ \t]*=.*")
_SPACES = "a name has no spaces"
_ROUND = "a list stands in round brackets"
_ROUND_LIST = re.compile(
    r"""\#.* | "(?:[^"\\]|\\.)*" | '[^']*' | (?P<list>(?:(?<=[\[,={])|^)\s*\([^()]*,[^()]*\))""", re.VERBOSE
)

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
    ("Expected newline or end of document", "there is extra text after the value", f"one value; {_QUOTES}"),
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

    After a faulty line that is one `key = value` the reading goes on without it, so that like slips in several
    lines are reported together.

    Returns: the values and no faults, or {} and the faults.
    """
    lines = text.replace("\r\n", "\n").split("\n")
    problems: list[Problem] = []
    for number, line in enumerate(lines, 1):
        if line.count(".") >= MOST_NAMES and _DOTTED.search(line):
            what = f"here are more than {MOST_NAMES} names joined by dots"
            return {}, [Problem((), what, "a key or table by its own name, e.g. [job]", line=number)]
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
    if not ONE_LINE_KEY.fullmatch(line):
        return False
    return not reads(line) or problem.what.startswith(_TWICE)


def _problem(said: str, lines: list[str]) -> Problem:
    place = _PLACE.search(said)
    line = int(place[1]) if place and place[1] else _last_line(lines) if place else 1
    # A quote or line that breaks off is reported at the next line's beginning by some messages.
    line = min(line, len(lines))
    written = lines[line - 1]
    what, accepted = next(
        ((w, a) for start, w, a in _SAID if said.startswith(start)), ("cannot read this line", _QUOTES)
    )
    if "digits" in said:
        what, accepted = "there is a number of far too many digits", "numbers of a shop's size"
    likely = likely_line(written) if accepted.endswith(_QUOTES) or accepted.startswith("key = value") else ""
    if accepted.endswith(_QUOTES) or "begun with" in what:
        if straight := _straightened(written):
            what, accepted, likely = _CURLY_QUOTES, "plain quotes: \" or '", straight
        elif squared := _squared(written):
            what, accepted, likely = _ROUND, "square brackets, e.g. [600, 0, 0]", squared
        elif quoted := _quoted(written):
            what, accepted, likely = _BARE, "lengths with a unit, fractions and names in quotes", quoted
    elif accepted.startswith("key = value"):
        if spaced := _SPACED.fullmatch(written):
            name = "_".join(spaced[1].split())
            what, accepted, likely = _SPACES, "letters, digits, _ and -", f"{name} = …"
        elif pointed := _pointed(written):
            what, accepted, likely = _COMMA, "a point before decimals, e.g. 48.3", pointed
    if shown := written.strip():
        what += f": {shown[:60]}{'…' if len(shown) > 60 else ''}"
    return Problem((), what, accepted, likely, line=line)


def _last_line(lines: list[str]) -> int:
    filled = [i for i, line in enumerate(lines, 1) if line.strip()]
    return filled[-1] if filled else 1


def _straightened(written: str) -> str:
    """The line with plain quotes for curly ones, '' where that alone does not correct it."""
    straight = written.translate(_CURLY).strip()
    return straight if straight != written.strip() and _may_stand(straight) else ""


def _pointed(written: str) -> str:
    """The line with points for the commas of its decimals, '' where that does not correct it."""
    pointed = _COMMAS.sub(r"\1.\2", written).strip()
    return pointed if pointed != written.strip() and _may_stand(pointed) else ""


def _squared(written: str) -> str:
    """The line with square brackets for the round ones of its lists, '' where there are none or that does not correct
    it; round ones of a formula have no comma, or a function's name before them."""
    if len(written) > LONGEST_LINE:
        return ""

    def square(found: re.Match[str]) -> str:
        return found[0].replace("(", "[").replace(")", "]") if found["list"] else found[0]

    squared = _ROUND_LIST.sub(square, written).strip()
    if squared == written.strip():
        return ""
    return squared if _may_stand(squared) else _quoted(squared)


def _quoted(written: str) -> str:
    """The line with quotes round the bare values of its list, '' where that alone does not correct it."""
    if len(written) > LONGEST_LINE or ("[" not in written and "{" not in written and "=" in written):
        return ""

    def quote(found: re.Match[str]) -> str:
        if found["bare"] is None or reads(f"value = {found['value']}") or _NUMBERS.fullmatch(found["value"]):
            return found[0]
        lead = found["bare"][: -len(found["value"])]
        return f'{lead}"{found["value"]}"'

    quoted = _TOKENS.sub(quote, written).strip()
    return quoted if quoted != written.strip() and _may_stand(quoted) else ""


def _may_stand(line: str) -> bool:
    """Whether the line reads by itself, or as one line of a list that goes on over several."""
    bare = _TOKENS.sub(lambda found: "" if found.lastgroup is None else found[0], line)
    over = bare.count("[") - bare.count("]")
    closed = f"{line}\n{']' * over}"
    return reads(closed) or reads(f"value = [{'[' * -over}{closed}]") or reads(f"value = {'[' * -over}{line}")
