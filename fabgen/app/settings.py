"""The user's own settings: a small TOML file in the place where the platform keeps such files.

    [printer.A4]          # by paper: what the printer test page gave
    x = 1.0032            # along the short side
    y = 0.9987            # along the long side

    [labels]
    sheet = "3 x 8"       # the label stock, as `fabgen make --label-sheet` takes it
    page = "https://…"    # where page.html is put, for the codes on the labels

The file is read whole or refused, and written whole or not at all.
"""

from __future__ import annotations

import json
import os
import sys
import tomllib
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

from fabgen.documents.folder import WriteError, write_file
from fabgen.documents.labels.label_stock import read_label_stock
from fabgen.documents.render.correction import GREATEST, LEAST, NONE, Correction
from fabgen.documents.render.paper import SIZES, Paper
from fabgen.wording.nearest import nearest

VARIABLE = "FABGEN_SETTINGS"
"""The environment variable that names another settings file."""

_HEADING = "# fabgen's settings; written by its commands, and may be edited by hand.\n"
_PAPERS = tuple(paper.name for paper in SIZES)


class SettingsError(ValueError):
    """A settings file that will not do: its path, what is wrong, what is accepted."""

    def __init__(self, path: Path, what: str, accepted: str, near: str = "") -> None:
        hint = f"\n    nearest: {near}" if near else ""
        super().__init__(f"{path}: {what}\n    accepted: {accepted}{hint}")


@dataclass(frozen=True, slots=True)
class Labels:
    """The label stock in words (`documents/label_stock.py`), and the address of the page; '' where none was given."""

    sheet: str = ""
    page: str = ""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the user has set; `printer` by name of paper."""

    printer: Mapping[str, Correction] = field(default_factory=lambda: MappingProxyType({}))
    labels: Labels = Labels()

    def correction(self, paper: Paper) -> Correction:
        """That of the paper; none where no test page of it was measured."""
        return self.printer.get(paper.name, NONE)

    def with_correction(self, paper: Paper, correction: Correction | None) -> Settings:
        """With the correction of one paper set, or forgotten with None."""
        kept = {name: given for name, given in self.printer.items() if name != paper.name}
        if correction is not None:
            kept[paper.name] = correction
        return replace(self, printer=MappingProxyType(dict(sorted(kept.items()))))


def settings_path(environ: Mapping[str, str] = os.environ, platform: str = sys.platform) -> Path:
    """Where the settings are: FABGEN_SETTINGS, or the platform's folder for a user's configuration."""
    if given := environ.get(VARIABLE):
        return Path(given)
    if platform == "win32":
        base = environ.get("APPDATA") or str(Path.home() / "AppData" / "Roaming")
    else:
        base = environ.get("XDG_CONFIG_HOME") or ""
        # The XDG base directory specification has relative paths ignored.
        if not Path(base).is_absolute():
            base = str(Path.home() / ".config")
    return Path(base) / "fabgen" / "settings.toml"


def read_settings(path: Path | None = None) -> Settings:
    """The settings; all at their defaults where there is no file.  Raises SettingsError."""
    path = path or settings_path()
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Settings()
    except (OSError, UnicodeDecodeError) as error:
        what = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise SettingsError(path, f"cannot be read: {what}", "a readable text file") from error
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsError(path, f"is not TOML: {error}", "lines such as x = 1.0032 under [printer.A4]") from error
    _known(path, "the file", table, ("printer", "labels"))
    printer = _table(path, "printer", table.get("printer", {}))
    _known(path, "[printer]", printer, _PAPERS)
    given = {name: _correction(path, name, printer[name]) for name in sorted(printer)}
    return Settings(MappingProxyType(given), _labels(path, table.get("labels", {})))


def write_settings(settings: Settings, path: Path | None = None) -> Path:
    """Write the settings beside the old ones, then put them in their place; the path they are at.

    A file that would say nothing is removed.  Raises WriteError; the old settings then stand.
    """
    path = path or settings_path()
    if settings != Settings():
        write_file(path, settings_text(settings).encode())
        return path
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise WriteError(f"cannot write {path}: {error.strerror or error}") from error
    return path


def settings_text(settings: Settings) -> str:
    """The file's text."""
    blocks = [f"\n[printer.{name}]\nx = {c.x!r}\ny = {c.y!r}\n" for name, c in settings.printer.items()]
    told = [f"{key} = {json.dumps(text)}\n" for key, text in asdict(settings.labels).items() if text]
    return _HEADING + "".join([*blocks, *(["\n[labels]\n", *told] if told else [])])


# -- reading -----------------------------------------------------------------------
def _table(path: Path, name: str, value: object) -> dict[str, object]:
    if not isinstance(value, dict):
        raise SettingsError(path, f"{name} is no table", f"a table [{name}]")
    return value


def _known(path: Path, where: str, table: Mapping[str, object], names: tuple[str, ...]) -> None:
    for key in table:
        if key not in names:
            raise SettingsError(path, f"{where} has no {key[:40]!r}", ", ".join(names), nearest(key, names))


def _labels(path: Path, value: object) -> Labels:
    table = _table(path, "labels", value)
    _known(path, "[labels]", table, ("sheet", "page"))
    for key, text in table.items():
        if not isinstance(text, str):
            raise SettingsError(path, f"[labels] {key} = {text!r} is no text", 'text in quotes, e.g. "3 x 8"')
    labels = Labels(**{key: str(text) for key, text in table.items()})
    if labels.sheet:
        try:
            read_label_stock(labels.sheet)
        except ValueError as error:
            what, _, accepted = str(error).partition("\n    accepted: ")
            raise SettingsError(path, f"[labels] sheet: {what}", accepted) from error
    return labels


def _correction(path: Path, paper: str, value: object) -> Correction:
    where = f"[printer.{paper}]"
    table = _table(path, f"printer.{paper}", value)
    _known(path, where, table, ("x", "y"))
    factors = []
    for key in ("x", "y"):
        factor = table.get(key, 1.0)
        if isinstance(factor, bool) or not isinstance(factor, int | float) or not LEAST <= factor <= GREATEST:
            raise SettingsError(path, f"{where} {key} = {factor!r} is no correction", f"{LEAST:g} to {GREATEST:g}")
        factors.append(float(factor))
    return Correction(*factors)
