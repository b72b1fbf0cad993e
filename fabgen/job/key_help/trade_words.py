"""Words of the trade and keys that are no table of a job file, and where they lead: `fabgen keys ear`."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fabgen.job.key_help.keys_text import heading, table_entries, tables


@dataclass(frozen=True, slots=True)
class TradeWord:
    """A thing by its name in the trade, its other names, the tables that make it or stand for it, the likeliest first
    (none where fabgen has no such thing), and how."""

    name: str
    also: tuple[str, ...]
    tables: tuple[str, ...]
    words: str


@cache
def trade_words() -> dict[str, TradeWord]:
    """Every word, by each of its names."""
    with (Path(__file__).parent / "trade_words.toml").open("rb") as file:
        listed = tomllib.load(file)
    found = [TradeWord(name, tuple(each.get("also", ())), tuple(each["tables"]), each["words"])
             for name, each in listed.items()]  # fmt: skip
    return {name: word for word in found for name in (word.name, *word.also)}


def way_to(word: str) -> Iterator[str]:
    """Lines on what a thing of the trade is made by; none where the word is not known.

    Args:
        word: as typed; capitals, an ending s and hyphens for spaces do not matter.
    """
    known = {_plain(name): each for name, each in trade_words().items()}
    typed = _plain(word)
    found = next((known[name] for name in (typed, typed.removesuffix("s")) if name in known), None)
    if found is not None:
        yield f"{typed}: {found.words}"
        if found.tables:
            yield f"keys: {', '.join(f'fabgen keys {name}' for name in found.tables)}"
    elif typed not in tables() and (single := typed.removesuffix("s")) in tables():
        yield f"{typed}: {heading(single)}; fabgen keys {single}"


def keys_called(word: str) -> Iterator[str]:
    """A line for each meaning of the keys of that name, with the tables that have them.

    Args:
        word: as for `way_to`.
    """
    name = _plain(word).replace(" ", "_")
    found: dict[tuple[str, str], list[str]] = {}
    for table in tables():
        for entry in table_entries(table):
            for key in entry.keys:
                if key.name == name:
                    found.setdefault((entry.key, key.words), []).append(heading(table))
    for (at, words), named in found.items():
        yield f"{', '.join(named)}{f' {at}' if at else ''} {name}: {words}"


def key_names() -> list[str]:
    """The names of all keys, each once."""
    return sorted({key.name for table in tables() for entry in table_entries(table) for key in entry.keys})


def _plain(word: str) -> str:
    return " ".join(word.casefold().replace("-", " ").split())
