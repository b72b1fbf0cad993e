"""What is typed into a field, as the job file would have it: quotes are set where TOML wants them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

from fabgen.job.text.toml_edit import written
from fabgen.job.text.value_edit import is_value
from fabgen.job.values.written_forms import Form

_NUMBER = re.compile(r"[-+]?[0-9]+(\.[0-9]+)?")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def shown_value(text: str | None) -> str:
    """A value of the file as a field shows it: a text without its quotes, anything else as it stands.

    Args:
        text: as it stands in the file; None for none.
    """
    if text is None:
        return ""
    value = tomllib.loads(f"value = {text}")["value"] if is_value(text) else None
    if isinstance(value, str) and not re.search(r"[\r\n]", value):
        return value
    return " ".join(line.strip() for line in text.splitlines()) if "#" not in text else text


def file_values(typed: str, form: Form, before: str | None) -> Iterator[str | None]:
    """What may be meant, the likeliest first; None: the key goes.

    Args:
        typed: into the field.
        form: of the key's value, an empty one where it is not known.
        before: what stands in the file.
    """
    typed = typed.strip()
    if not typed:
        yield None
        return
    bare = typed if is_value(typed) else None
    quoted = written(typed)
    first = bare is not None and _is_bare(typed, form, before)
    for value in (bare, quoted) if first else (quoted, bare):
        if value is not None:
            yield value


def _is_bare(typed: str, form: Form, before: str | None) -> bool:
    if _NUMBER.fullmatch(typed):
        kinds: Any = form.get("type", ())
        kinds = [kinds] if isinstance(kinds, str) else list(kinds)
        if "number" in kinds or kinds == ["integer"]:
            return True
        return not (kinds or (before or "").startswith(('"', "'")))
    return typed[0] in "[{\"'" or typed in ("true", "false") or _DATE.fullmatch(typed) is not None
