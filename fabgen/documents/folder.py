"""The output folder: all files appear, or none.

Everything is written into a new folder beside the target, which then takes the target's
place by renaming.  Files in an old folder that fabgen did not make are carried over.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from fabgen.job.text.safe_file import NotWrittenError


def write_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Write `files` (relative POSIX path to content) as the folder `target`.

    Raises NotWrittenError when the folder cannot be made or replaced.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if target.exists() and not target.is_dir():
            raise NotWrittenError(f"{target} is a file, not a folder: move it away or choose another --out")
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise NotWrittenError(f"cannot write in {target.parent}: {error.strerror or error}") from error
    try:
        fresh.chmod(0o755)
        for name, content in files.items():
            path = fresh / PurePosixPath(name)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        if target.exists():
            _carry_over(target, fresh, set(files))
        _swap(fresh, target)
    except OSError as error:
        shutil.rmtree(fresh, ignore_errors=True)
        raise NotWrittenError(f"cannot write {target}: {error.strerror or error}") from error


def _carry_over(old: Path, fresh: Path, written: set[str]) -> None:
    """Copy the user's own files from the old folder; ours of last time are dropped."""
    ours = written | _written_before(old)
    for path in sorted(old.rglob("*")):
        name = path.relative_to(old).as_posix()
        if path.is_file() and name not in ours:
            copy = fresh / name
            copy.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, copy)


def _written_before(folder: Path) -> set[str]:
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
        return {str(name) for name in json.loads((folder / "job.json").read_text(encoding="utf-8"))["files"]}
    return set()


def _swap(fresh: Path, target: Path) -> None:
    if not target.exists():
        os.replace(fresh, target)
        return
    aside = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
    old = aside / "old"
    os.replace(target, old)
    try:
        os.replace(fresh, target)
    except OSError:
        os.replace(old, target)
        aside.rmdir()
        raise
    shutil.rmtree(aside, ignore_errors=True)
