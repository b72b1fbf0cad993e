"""The starter jobs that travel with fabgen."""

from __future__ import annotations

from pathlib import Path


def folder() -> Path:
    """Where the starters lie: in the installed package, or beside it in a checkout."""
    inside = Path(__file__).parent / "templates"
    return inside if inside.is_dir() else Path(__file__).parent.parent / "templates"


def starters() -> dict[str, Path]:
    """Name to file, by name."""
    return {path.stem: path for path in sorted(folder().glob("*.toml"))}


def purpose(path: Path) -> str:
    """The starter's own first line: what it is for."""
    return path.read_text(encoding="utf-8").splitlines()[0].lstrip("# ").strip()
