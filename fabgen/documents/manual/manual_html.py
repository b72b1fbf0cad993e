"""manual.html: how to begin, every command, every key with an example, pictures of shapes, the checks, changes, how
wrong it can be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path

from fabgen.checks.registry import groups
from fabgen.documents.manual.excerpts import excerpts, extra
from fabgen.documents.manual.notes import blocks_of, set_in_type
from fabgen.documents.manual.pictures import shown
from fabgen.documents.render import cautions
from fabgen.documents.render.html import filled
from fabgen.documents.render.svg import FACE
from fabgen.job.key_help.keys_text import TableEntry, table_entries, tables
from fabgen.shop.tables import data

ROOM = "fabgen.documents.manual"


@dataclass(frozen=True, slots=True)
class CommandTold:
    """One command: how it is called, what it does, and (option or argument, what it means)."""

    name: str
    usage: str
    about: str
    options: tuple[tuple[str, str], ...]


def manual_html(
    version: str, commands: Iterable[CommandTold], starters: Mapping[str, Path], samples: Sequence[Path]
) -> str:
    """The page, self-contained; the same version gives the same text."""
    known = frozenset(tables())
    return filled(
        ROOM,
        "manual.jinja",
        version=version,
        style=_asset("manual.css").replace("DRAWING_FACE", FACE),
        script=_asset("search.js"),
        contents=[],
        steps=data("begin", ROOM)["step"],
        commands=commands,
        starters=[_starter(name, path) for name, path in starters.items()],
        tables=list(_tables([*starters.values(), *samples])),
        groups=list(groups()),
        changes=data("changes", ROOM)["text"],
        accuracy=data("accuracy", ROOM)["output"],
        cautions=cautions,
        blocks_of=blocks_of,
        typeset=lambda text: set_in_type(text, known),
        shown=cache(shown),
    )


def _asset(name: str) -> str:
    return files(ROOM).joinpath(name).read_text(encoding="utf-8")


def _starter(name: str, path: Path) -> dict[str, str]:
    text = path.read_text(encoding="utf-8")
    return {"name": name, "purpose": text.splitlines()[0].lstrip("# ").strip(), "text": text}


def _tables(jobs: Sequence[Path]) -> Iterator[dict[str, object]]:
    """The tables of a job file, each with the example that shows most of it; a table within several stands in the
    first of them, and the others name it."""
    found, more = excerpts(jobs), extra()
    described: dict[TableEntry, str] = {}
    for name in tables():
        example, whence = (found[name], "From") if name in found else (more.get(name), "To add to")
        entries = list(table_entries(name))
        elsewhere = [(described[each], each) for each in entries if each in described]
        own: list[tuple[str, TableEntry]] = []
        for each in entries:
            if each not in described:
                alike = sum(other.key == each.key for _, other in own)
                described[each] = f"{name}-{each.key}{f'-{alike + 1}' if alike else ''}"
                own.append((described[each], each))
        yield {"name": name, "entries": own, "elsewhere": elsewhere, "example": example, "whence": whence}
