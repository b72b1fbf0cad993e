"""manual.html: how to begin, every command, every key with an example, the checks, how wrong it can be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any

from fabgen.checks.registry import groups
from fabgen.checks.rule import Rule
from fabgen.documents.manual.excerpts import Excerpt, excerpts, extra
from fabgen.documents.render import cautions
from fabgen.job.key_help.keys_text import TableEntry, table_entries, tables
from fabgen.shop.tables import data
from fabgen.wording.levels import Level


@dataclass(frozen=True, slots=True)
class CommandTold:
    """One command: how it is called, what it does, and (option or argument, what it means)."""

    name: str
    usage: str
    about: str
    options: tuple[tuple[str, str], ...]


CHAPTERS = (
    ("begin", "The first ten minutes"),
    ("commands", "Commands"),
    ("starters", "Starters"),
    ("keys", "Keys of a job file"),
    ("checks", "Checks"),
    ("wrong", "How wrong can it be"),
    ("cautions", "Cautions"),
)

BEGIN = (
    ("List the starters", "fabgen start", "Each is a complete job that explains itself."),
    ("Copy one", "fabgen start tubes mine.toml", "Open mine.toml in any text editor and put in your own figures."),
    (
        "Check it",
        "fabgen check mine.toml",
        "Every mistake is listed with its line and what is accepted. "
        f"{'; '.join(f'{level.word}: {level.meaning}' for level in Level)}.",
    ),
    ("Make everything", "fabgen make mine.toml", "The results are in output/mine/; open cut-list.pdf first."),
    ("See it", "fabgen look mine.toml", "One page that turns in 3D and opens on a phone without a network."),
    (
        "Print the templates",
        "",
        "Print tube-templates.pdf at actual size, with no fitting to the page. Measure the check lines: 100 mm must be "
        "100 mm. Cut along the heavy line, wrap it round the tube with its TOP line on the tube's top "
        "line, scribe, cut.",
    ),
)


def manual_html(
    version: str, commands: Iterable[CommandTold], starters: Mapping[str, Path], samples: Sequence[Path]
) -> str:
    """The page, self-contained; the same version gives the same text."""
    shown = extra() | excerpts([*starters.values(), *samples])
    chapters = {
        "begin": _begin(),
        "commands": "".join(_command(each) for each in commands),
        "starters": "".join(_starter(name, path) for name, path in starters.items()),
        "keys": "".join(_table(name, shown.get(name)) for name in tables()),
        "checks": _checks(),
        "wrong": _wrong(),
        "cautions": "".join(f"<p>{escape(text)}</p>" for text in cautions.GENERAL),
    }
    contents = "".join(f'<li><a href="#{key}">{escape(title)}</a></li>' for key, title in CHAPTERS)
    bodies = "\n".join(
        f'<section aria-labelledby="{key}"><h2 id="{key}">{escape(title)}</h2>{chapters[key]}</section>'
        for key, title in CHAPTERS
    )
    style = files("fabgen.documents.manual").joinpath("manual.css").read_text(encoding="utf-8")
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>fabgen manual</title><style>{style}</style></head>\n<body><header><h1>fabgen</h1>"
        f"<p>From a plain text file to everything you need in the shop. Version {escape(version)}.</p></header>"
        f'<nav aria-label="Chapters"><ol>{contents}</ol></nav>\n<main>{bodies}</main></body></html>\n'
    )


def _begin() -> str:
    steps = "".join(
        f"<li><b>{escape(title)}.</b> {escape(text)}{_code(line) if line else ''}</li>" for title, line, text in BEGIN
    )
    return f"<ol>{steps}</ol>"


def _code(text: str) -> str:
    """Text to be read letter by letter; the block can be scrolled by keyboard too."""
    return f'<pre tabindex="0"><code>{escape(text)}</code></pre>'


def _command(command: CommandTold) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td>{escape(text)}</td></tr>' for name, text in command.options
    )
    table = f"<table><tbody>{rows}</tbody></table>" if rows else ""
    return f"<h3>{escape(command.name)}</h3><p>{escape(command.about)}</p>{_code(command.usage)}{table}"


def _starter(name: str, path: Path) -> str:
    text = path.read_text(encoding="utf-8")
    purpose = text.splitlines()[0].lstrip("# ").strip()
    return f"<details><summary><b>{escape(name)}</b>: {escape(purpose)}</summary>{_code(text)}</details>"


def _table(name: str, example: Excerpt | None) -> str:
    first, *inner = table_entries(name)
    shown = ""
    if example:
        whence = "To add to" if extra().get(name) == example else "From"
        shown = f"<p>{whence} {escape(example.file)}:</p>{_code(example.text)}"
    further = "".join(f"<h4>{escape(each.heading)}</h4>{_keys(each)}" for each in inner)
    return f'<h3 id="table-{escape(name)}">{escape(first.heading)}</h3>{_keys(first)}{shown}{further}'


def _keys(table: TableEntry) -> str:
    note = f"<p>{escape(table.note)}</p>" if table.note else ""
    rows = "".join(
        f'<tr><th scope="row">{escape(key.name)}</th><td>{"<b>needed.</b> " if key.needed else ""}'
        f"{escape('; '.join(text for text in (' | '.join(key.choices), key.meaning) if text))}</td></tr>"
        for key in table.keys
    )
    return f"{note}<table><tbody>{rows}</tbody></table>"


def _checks() -> str:
    """Every rule that is registered, with its levels and its source."""

    def listed(rule: Rule[Any]) -> str:
        levels = ", ".join(level.word for level in sorted(rule.levels, key=lambda level: level.rank))
        return f"<li>{escape(rule.about)} <small>{levels}; {escape(rule.source)}</small></li>"

    found = (
        f"<h3>{escape(group.about)}</h3><ul>{''.join(listed(rule) for rule in group.rules)}</ul>" for group in groups()
    )
    return "".join(found) + f"<p>{escape(cautions.CHECKED)}</p>"


def _path(text: str) -> str:
    """A path that may be broken after its strokes."""
    return escape(text).replace("/", "/<wbr>").replace("_", "_<wbr>")


def _wrong() -> str:
    heads = ("output", "within", "held against", "by", "not covered")
    columns = "".join(f'<th scope="col">{head}</th>' for head in heads)
    rows = "".join(
        f'<tr><th scope="row">{escape(each["name"])}</th><td>{escape(each["within"])}</td>'
        f"<td>{escape(each['against'])}</td><td>{'<br>'.join(_path(test) for test in each['tests'])}</td>"
        f"<td>{escape(each['not_covered'])}</td></tr>"
        for each in data("accuracy", "fabgen.documents.manual")["output"]
    )
    return (
        "<p>What comes out is geometry: it is as good as the sizes that go in. Each line says how far an output can be "
        "out, what it is held against, and what no calculation can cover. The tests are "
        'files of the project.</p><div class="wide" tabindex="0" role="group" aria-label="Table: accuracy">'
        f"<table><thead><tr>{columns}</tr></thead><tbody>{rows}</tbody></table></div>"
    )
