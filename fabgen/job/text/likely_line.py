"""The line that was probably meant, where one is no TOML.  What is offered reads well, or nothing is."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

from fabgen.job.errors import InputError
from fabgen.job.values.formulas import Formula
from fabgen.job.values.quantity import with_points
from fabgen.job.values.section_text import parse_section

ONE_LINE_KEY = re.compile(r"\s*[A-Za-z0-9_-]+\s*=\s*(?P<value>.*)")
_REMARK = re.compile(r"\s*(?://|;|--)\s*(?P<text>.*)")
"""A remark as other languages begin it."""
_DAY_FIRST = re.compile(r"(?P<day>[0-9]{1,2})\s*(?P<by>[./-])\s*(?P<month>[0-9]{1,2})\s*(?P=by)\s*(?P<year>[0-9]{4})")
_YEAR_FIRST = re.compile(r"(?P<year>[0-9]{4})\s*[./]\s*(?P<month>[0-9]{1,2})\s*[./]\s*(?P<day>[0-9]{1,2})")
_BRACKETS = re.compile(r"\((?P<items>[^()\[\]{}=]*)\)")
_DECIMAL_COMMA = re.compile(r"(?P<whole>[0-9]+),(?P<part>[0-9]+)\s*(?P<unit>[A-Za-z°]*)")
_INCHES = re.compile(r"[0-9][0-9 /.]*(?:'(?!'))?[ -]*(?:[0-9][0-9 /.]*)?(?:\"|'')?")
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9 ._-]*")
_LONGEST = 40


def likely_line(written: str) -> str:
    """A `key = value` line or a remark as it was probably meant, '' where that is not clear.

    Args:
        written: the line as it stands.
    """
    if (remark := _REMARK.fullmatch(written)) and remark["text"]:
        return f"# {remark['text'].strip()}"
    found = ONE_LINE_KEY.fullmatch(written)
    if not found:
        return ""
    value, key = found["value"].split(" #")[0].strip(), written[: found.start("value")].strip()
    if not value or not value.isprintable() or len(value) > _LONGEST:
        return ""
    likely = next(_meant(value), "")
    return f"{key} {likely}" if likely and reads(f"value = {likely}") else ""


def likely_date(text: str) -> str:
    """A date of any order as year-month-day, '' where it is none or day and month cannot be told apart.

    Args:
        text: as written; with points between them the day comes first.
    """
    if found := _YEAR_FIRST.fullmatch(text):
        day, month = int(found["day"]), int(found["month"])
    elif found := _DAY_FIRST.fullmatch(text):
        day, month = int(found["day"]), int(found["month"])
        if found["by"] != "." and day <= 12 and month != day:
            if month <= 12:
                return ""
            day, month = month, day
    else:
        return ""
    date = f"{found['year']}-{month:02}-{day:02}"
    return date if reads(f"value = {date}") else ""


def _meant(value: str) -> Iterator[str]:
    """What the value may have been meant as, the likeliest first."""
    if _DAY_FIRST.fullmatch(value) or _YEAR_FIRST.fullmatch(value):
        yield likely_date(value)
        return
    if (found := _BRACKETS.fullmatch(value)) and found["items"].strip():
        yield f"[{found['items']}]"
    if (found := _DECIMAL_COMMA.fullmatch(value)) and (plain := with_points(value)):
        yield f'"{plain}"' if found["unit"] else plain
    if value.startswith('"') and value.count('"') == 3 and "'" not in value[1:-1].replace('"', ""):
        yield f"'{value[1:-1]}'"
    if any(c in value for c in "\"'") and _INCHES.fullmatch(value) and _is_length(value):
        yield f"'{value}'" if "'" not in value else '"' + value.replace('"', '\\"') + '"'
    if not any(c in value for c in "\"'[]{}=,") and (_NAME.fullmatch(value) or _is_length(value) or _is_section(value)):
        yield f'"{value}"'


def _is_length(text: str) -> bool:
    try:
        Formula.read(text)
    except InputError:
        return False
    return True


def _is_section(text: str) -> bool:
    try:
        parse_section(text)
    except InputError:
        return False
    return True


def reads(text: str) -> bool:
    """Whether a text is TOML.

    Args:
        text: a line or several.
    """
    try:
        tomllib.loads(text)
    except (ValueError, RecursionError):
        return False
    return True
