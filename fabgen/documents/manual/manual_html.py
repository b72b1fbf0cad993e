"""manual.html: how to begin, every command, every key with an example, the checks, changes, how wrong it can be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from fabgen.checks.registry import groups
from fabgen.documents.manual.excerpts import excerpts, extra
from fabgen.documents.render import cautions
from fabgen.documents.render.html import filled
from fabgen.job.key_help.keys_text import table_entries, tables
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
    return filled(
        ROOM,
        "manual.jinja",
        version=version,
        style=files(ROOM).joinpath("manual.css").read_text(encoding="utf-8"),
        steps=data("begin", ROOM)["step"],
        commands=commands,
        starters=[_starter(name, path) for name, path in starters.items()],
        tables=list(_tables([*starters.values(), *samples])),
        groups=list(groups()),
        changes=data("changes", ROOM)["text"],
        accuracy=data("accuracy", ROOM)["output"],
        cautions=cautions,
    )


def _starter(name: str, path: Path) -> dict[str, str]:
    text = path.read_text(encoding="utf-8")
    return {"name": name, "purpose": text.splitlines()[0].lstrip("# ").strip(), "text": text}


def _tables(jobs: Sequence[Path]) -> Iterator[dict[str, object]]:
    """The tables of a job file, each with the example that shows most of it."""
    found, more = excerpts(jobs), extra()
    for name in tables():
        example, whence = (found[name], "From") if name in found else (more.get(name), "To add to")
        yield {"name": name, "entries": list(table_entries(name)), "example": example, "whence": whence}
