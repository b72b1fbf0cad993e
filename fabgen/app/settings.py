"""The user's own settings: a small TOML file in the place where the platform keeps such files.

    [printer.A4]          # by paper: what the printer test page gave
    x = 1.0032            # along the short side
    y = 0.9987            # along the long side

    [labels]
    sheet = "3 x 8"       # the label stock, as `fabgen make --label-sheet` takes it
    page = "https://…"    # where page.html is put, for the codes on the labels

    [drawings]            # what `fabgen start` writes into a new job
    owner = "…"
    drawn_by = "…"

The file is read completely or refused, and written completely or not at all.
"""

from __future__ import annotations

import os
import sys
import tomllib
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

from fabgen.documents.lists.label_stock import read_label_stock
from fabgen.documents.render.correction import GREATEST, LEAST, NONE, Correction
from fabgen.documents.render.paper import SIZES, Paper
from fabgen.job.text.safe_file import NotWrittenError, write_file
from fabgen.job.text.toml_edit import written
from fabgen.wording.input_error import InputError
from fabgen.wording.nearest import need_known

VARIABLE = "FABGEN_SETTINGS"
"""The environment variable that names another settings file."""

_HEADING = "# fabgen's settings; written by its commands, and may be edited by hand.\n"
_PAPERS = tuple(paper.name for paper in SIZES)


@dataclass(frozen=True, slots=True)
class Labels:
    """The label stock in words (`documents/label_stock.py`), and the address of the page; '' where none was given."""

    sheet: str = ""
    page: str = ""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """Who the drawings of new jobs belong to and who draws them; '' where that was not given."""

    owner: str = ""
    drawn_by: str = ""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the user has set; `printer` by name of paper."""

    printer: Mapping[str, Correction] = field(default_factory=lambda: MappingProxyType({}))
    labels: Labels = Labels()
    drawings: TitleBlock = TitleBlock()

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
    """The settings; all at their defaults where there is no file.

    Args:
        path: the file; left out, that of `settings_path`.
    Raises:
        InputError: the file cannot be read, or a value in it is not valid.
    """
    path = path or settings_path()
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Settings()
    except (OSError, UnicodeDecodeError) as error:
        what = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise InputError(f"{path}: cannot be read: {what}", "a readable text file") from error
    try:
        return _settings_in(text)
    except InputError as fault:
        raise fault.about(f"{path}:") from None


def write_settings(settings: Settings, path: Path | None = None) -> Path:
    """Write the settings beside the old ones, then put them in their place; a file that would say nothing is removed.

    Args:
        settings: to be kept.
        path: the file; left out, that of `settings_path`.
    Returns: the path they are at.
    Raises:
        NotWrittenError: they could not be written; the old settings then stand.
    """
    path = path or settings_path()
    if settings != Settings():
        write_file(path, settings_text(settings).encode())
        return path
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise NotWrittenError(f"cannot write {path}: {error.strerror or error}") from error
    return path


def settings_text(settings: Settings) -> str:
    """The file's text."""
    blocks = [f"\n[printer.{name}]\nx = {c.x!r}\ny = {c.y!r}\n" for name, c in settings.printer.items()]
    for name, texts in (("labels", settings.labels), ("drawings", settings.drawings)):
        lines = [f"{key} = {written(text)}\n" for key, text in asdict(texts).items() if text]
        blocks += [f"\n[{name}]\n", *lines] if lines else []
    return _HEADING + "".join(blocks)


# -- reading -----------------------------------------------------------------------
def _settings_in(text: str) -> Settings:
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"is not TOML: {error}", "lines such as x = 1.0032 under [printer.A4]") from error
    _known("the file", table, ("printer", "labels", "drawings"))
    printer = _table("printer", table.get("printer", {}))
    _known("[printer]", printer, _PAPERS)
    given = {name: _correction(name, printer[name]) for name in sorted(printer)}
    drawings = TitleBlock(**_texts("drawings", table.get("drawings", {}), ("owner", "drawn_by"), "J. Smith"))
    return Settings(MappingProxyType(given), _labels(table.get("labels", {})), drawings)


def _table(name: str, value: object) -> dict[str, object]:
    if not isinstance(value, dict):
        raise InputError(f"{name} is not a table", f"a table [{name}]")
    return value


def _known(where: str, table: Mapping[str, object], names: tuple[str, ...]) -> None:
    for key in table:
        need_known(key, names, f"{where} has no {key[:40]!r}")


def _texts(name: str, value: object, keys: tuple[str, ...], example: str) -> dict[str, str]:
    """A table whose keys are all texts."""
    table = _table(name, value)
    _known(f"[{name}]", table, keys)
    for key, text in table.items():
        if not isinstance(text, str):
            raise InputError(f"[{name}] {key} = {text!r} is not a text", f'text in quotes, e.g. "{example}"')
    return {key: str(text) for key, text in table.items()}


def _labels(value: object) -> Labels:
    labels = Labels(**_texts("labels", value, ("sheet", "page"), "3 x 8"))
    if labels.sheet:
        try:
            read_label_stock(labels.sheet)
        except InputError as fault:
            raise fault.about("[labels] sheet:") from None
    return labels


def _correction(paper: str, value: object) -> Correction:
    where = f"[printer.{paper}]"
    table = _table(f"printer.{paper}", value)
    _known(where, table, ("x", "y"))
    factors = []
    for key in ("x", "y"):
        factor = table.get(key, 1.0)
        if isinstance(factor, bool) or not isinstance(factor, int | float) or not LEAST <= factor <= GREATEST:
            raise InputError(f"{where} {key} = {factor!r} is not a correction", f"{LEAST:g} to {GREATEST:g}")
        factors.append(float(factor))
    return Correction(*factors)
