"""What the shell offers when Tab is pressed: job files, starters, tables, papers."""

from __future__ import annotations

from pathlib import Path

import typer


def toml_files(incomplete: str) -> list[str]:
    """Folders and TOML files that begin as typed."""
    folder, slash, begun = incomplete.rpartition("/")
    folder += slash
    try:
        entries = sorted(Path(folder or ".").iterdir())
    except OSError:
        return []
    found = []
    for entry in entries:
        if entry.name.startswith(begun) and (begun or not entry.name.startswith(".")):
            if entry.is_dir():
                found.append(f"{folder}{entry.name}/")
            elif entry.suffix == ".toml":
                found.append(f"{folder}{entry.name}")
    return found


def starter_names(incomplete: str) -> list[tuple[str, str]]:
    """The starters with what each is for."""
    from fabgen.app.starters import purpose, starters

    return [(name, purpose(path)) for name, path in starters().items() if name.startswith(incomplete)]


def dimension_names(context: typer.Context, incomplete: str) -> list[tuple[str, str]]:
    """The dimensions of the job that was typed before, each with what its file makes it; none of a job that cannot be
    read."""
    from fabgen.job.document import table_in
    from fabgen.job.text.syntax import load_toml

    # Where an option lacks its value what was typed before is not shared out to the arguments yet.
    job = next(filter(None, (context.params.get("job"), *context.args)), None)
    if job is None:
        return []
    try:
        values, _ = load_toml(Path(job).read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError):
        return []
    dimensions = table_in(values, "dimensions")
    return [(f"{name}=", f"now {text}") for name, text in dimensions.items() if name.startswith(incomplete)]


def table_names(incomplete: str) -> list[str]:
    from fabgen.job.key_help.keys_text import tables

    return [name for name in tables() if name.startswith(incomplete)]


def paper_names(incomplete: str) -> list[str]:
    from fabgen.documents.render.paper import SIZES

    return [paper.name for paper in SIZES if paper.name.lower().startswith(incomplete.lower())]


def efforts(incomplete: str) -> list[str]:
    from fabgen.plan.effort import Effort

    return [effort.value for effort in Effort if effort.value.startswith(incomplete)]
