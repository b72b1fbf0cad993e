"""The starter jobs and sample jobs that travel with fabgen."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path


def folder(name: str = "templates") -> Path:
    """Where they lie: in the installed package, or beside it in a checkout."""
    package = Path(__file__).parents[1]
    inside = package / name
    return inside if inside.is_dir() else package.parent / name


def starters() -> dict[str, Path]:
    """Name to file, by name."""
    return {path.stem: path for path in sorted(folder().glob("*.toml"))}


def samples() -> dict[str, Path]:
    """Name to file of the sample jobs, by name."""
    return {path.stem: path for path in sorted(folder("sample_parts").glob("*.toml"))}


def purpose(path: Path) -> str:
    """The starter's own first line: what it is for."""
    return path.read_text(encoding="utf-8").splitlines()[0].lstrip("# ").strip()


SCHEMA = "fabgen-job.schema.json"
"""The file beside a job from which editors know the keys that a job file takes."""
NAMES_SCHEMA = f"#:schema ./{SCHEMA}\n"
"""The comment that names it, in the form that editors of TOML files read."""


def write_schema(folder: Path) -> Path | None:
    """Writes the schema of job files into a folder, unless it is there.

    Returns: its path; None where one stays that is the same, of a later version or not of fabgen.
    Raises:
        NotWrittenError: it could not be written.
    """
    from fabgen.job.key_help.job_schema import outdates, schema_text
    from fabgen.job.text.safe_file import write_file

    path, text = folder / SCHEMA, schema_text()
    if path.exists() and not outdates(text, path.read_text(encoding="utf-8", errors="replace")):
        return None
    write_file(path, text.encode())
    return path


def begun(text: str, header: Mapping[str, str | date]) -> str:
    """A starter's text with keys of its [job] filled in, and a first line that names the schema; every other
    character stays.

    Args:
        text: of the starter.
        header: key to value.
    """
    from fabgen.job.text.toml_edit import TomlEditor  # its grammar is read for this alone

    editor = TomlEditor(text)
    for key, value in header.items():
        editor.set_value("job", 0, key, value)
    return NAMES_SCHEMA + editor.text()
