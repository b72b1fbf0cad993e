"""A file that several may change: one at a time, completely or not at all, with the last state kept."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

PATIENCE = 10.0
"""How long to wait for another who is changing the file, s."""


class NotWrittenError(Exception):
    """What was to be written could not be; what was there stands as it was."""


class FileBusyError(NotWrittenError):
    """Somebody else is changing the file."""


@contextlib.contextmanager
def changing(path: Path, patience: float = PATIENCE) -> Iterator[Path]:
    """Nobody else changes the file within.

    The lock is the system's own, on a small file beside it, and ends with the program in every case.  What
    was read before entering must be read again.

    Args:
        path: of the file.
        patience: how long to wait for another who is changing it, s.
    Returns: the file that `path` leads to, links followed.
    Raises:
        FileBusyError: another is still changing it.
        NotWrittenError: no lock can be had.
    """
    from filelock import FileLock, Timeout

    target = path.resolve()
    lock = FileLock(target.with_name(f".{target.name}.lock"), timeout=patience)
    try:
        lock.acquire()
    except Timeout:
        raise FileBusyError(f"{path} is being changed by somebody else") from None
    except OSError as error:
        raise NotWrittenError(f"cannot lock {path}: {error.strerror or error}") from error
    try:
        yield target
    finally:
        lock.release()


def replace_text(target: Path, old: str, new: str, keep_old: bool = True) -> Path:
    """Put a text in place of a file's own, which goes into a backup beside it.

    The new text is written aside, reaches the disk, and then takes the file's name in one step.

    Args:
        target: the file.
        old: its text as it was read.
        new: its text to be.
        keep_old: whether the file as it was becomes the backup; else an earlier backup stays.
    Returns: the backup.
    Raises:
        NotWrittenError: it could not be written, or no longer says `old` (somebody saved it without asking); the file
            is then as it was.
    """
    backup = target.with_name(target.name + ".bak")
    aside: list[Path] = []
    try:
        before = target.read_bytes()
        mark = b"\xef\xbb\xbf" if before.startswith(b"\xef\xbb\xbf") else b""
        if before != mark + old.encode("utf-8"):
            raise NotWrittenError(f"{target} was changed by somebody else meanwhile: try again")
        kept = [(backup, before)] if keep_old else []
        for goal, content in (*kept, (target, mark + new.encode("utf-8"))):
            fresh = _write_aside(goal, content, onto_disk=True)
            aside.append(fresh)
            with contextlib.suppress(OSError):
                shutil.copymode(target, fresh)
            os.replace(fresh, goal)
            aside.remove(fresh)
        _settle(target.parent)
    except OSError as error:
        raise NotWrittenError(f"cannot write {target}: {error.strerror or error}") from error
    finally:
        for fresh in aside:
            fresh.unlink(missing_ok=True)
    return backup


def write_file(target: Path, content: bytes) -> None:
    """Write one file completely or not at all: aside first, then in its place; its folder is made where there is none.

    Raises:
        NotWrittenError: the file could not be written; what was there stands as it was.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        fresh = _write_aside(target, content)
        try:
            fresh.chmod(0o644)
            os.replace(fresh, target)
        except BaseException:
            fresh.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise NotWrittenError(f"cannot write {target}: {error.strerror or error}") from error


def _write_aside(goal: Path, content: bytes, onto_disk: bool = False) -> Path:
    """The content in a file of its own beside the goal; with `onto_disk` not before it is on the disk itself."""
    handle, name = tempfile.mkstemp(prefix=f".{goal.name}-", dir=goal.parent)
    path = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            if onto_disk:
                file.flush()
                os.fsync(file.fileno())
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return path


def _settle(folder: Path) -> None:
    """Have the folder's new names reach the disk, where the system lets one ask for it."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
