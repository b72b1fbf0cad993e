"""The output folder: all files appear, or none, and what the user put there stays.

Everything is made ready in a hidden folder beside the target and takes the target's place by renaming.  Whatever
stops a run, the disk says how far it came, and `settle` ends it: at once after a fault or Ctrl-C, at the next run
after a kill.

    .NAME.fabgen-work/new    being written
    .NAME.fabgen-work/old    the target as it was, whole: it goes back where the new one did not take its place
    .NAME.fabgen-work/gone   being deleted

A file in the old folder is ours where its job.json lists it and it bears the very time of that job.json, which
`write_folder` gives to all that it writes.  All else is the user's: it stays where it is, or goes into `kept` where a
new file needs its name.
"""

from __future__ import annotations

import contextlib
import filecmp
import hashlib
import json
import os
import shutil
import stat
import tempfile
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path, PurePosixPath

from fabgen.job.text.safe_file import PATIENCE, NotWrittenError

KEPT = "kept"
"""Folder in the target for the user's own files whose names are needed."""


def write_folder(target: Path, files: Mapping[str, bytes], aside: Collection[str] = ()) -> list[str]:
    """Write a folder whole or not at all.

    Args:
        target: the folder; links are followed.
        files: relative POSIX path to content.
        aside: files of ours that are kept as if they were the user's.
    Returns: paths in `kept` of these and of the user's own files whose names were needed.
    Raises:
        NotWrittenError: the folder cannot be made or replaced; what was there stands as it was.
    """
    made: list[Path] = []
    try:
        target = target.resolve()
        if target.exists() and not target.is_dir():
            raise NotWrittenError(f"{target} is a file, not a folder: move it away or choose another --out")
        try:
            _make_parents(target, made)
            with _alone(target):
                return _replace(target, files, aside)
        except BaseException:
            for parent in reversed(made):
                with contextlib.suppress(OSError):
                    parent.rmdir()
            raise
    except OSError as error:
        raise NotWrittenError(f"cannot write {target}: {error.strerror or error}") from error


def settle(target: Path) -> None:
    """End what an earlier run that was stopped left beside the target.

    Raises:
        NotWrittenError: it cannot be ended; nothing of the user's is lost.
    """
    try:
        target = target.resolve()
        if os.path.lexists(_work(target)):
            with _alone(target):
                _settle(target)
    except OSError as error:
        raise NotWrittenError(f"cannot write {target}: {error.strerror or error}") from error


def _work(target: Path) -> Path:
    return target.with_name(f".{target.name}.fabgen-work")


def _make_parents(target: Path, made: list[Path]) -> None:
    for parent in reversed(target.parents):
        if not parent.exists():
            made.append(parent)
            parent.mkdir(exist_ok=True)


@contextlib.contextmanager
def _alone(target: Path) -> Iterator[None]:
    """No other run writes the same folder within.  The lock lies elsewhere: nothing of it stays beside the target."""
    from filelock import FileLock, Timeout

    name = hashlib.sha256(f"{os.path.expanduser('~')} {target}".encode()).hexdigest()[:16]
    try:
        with FileLock(Path(tempfile.gettempdir()) / f"fabgen-{name}.lock", timeout=PATIENCE):
            yield
    except Timeout:
        raise NotWrittenError(f"{target} is being written by another run: wait for it, then try again") from None


def _replace(target: Path, files: Mapping[str, bytes], aside: Collection[str]) -> list[str]:
    _settle(target)
    try:
        new, old = _work(target) / "new", _work(target) / "old"
        new.mkdir(parents=True)
        for name, content in files.items():
            path = new / PurePosixPath(name)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        _stamp(new, files)
        kept = _carry_over(target, new, aside) if target.exists() else []
        if target.exists():
            os.rename(target, old)
        os.rename(new, target)
        return kept
    finally:
        try:
            _settle(target)
        except KeyboardInterrupt:
            _settle(target)
            raise


def _settle(target: Path) -> None:
    work = _work(target)
    if not os.path.lexists(work):
        return
    new, old, gone = work / "new", work / "old", work / "gone"
    if old.exists():
        if not target.exists():
            os.rename(old, target)
        elif new.exists():
            raise NotWrittenError(
                f"{target} was made anew after a run was stopped; as it was before it lies in {old}: "
                "move that folder to a place of your own, then try again"
            )
        else:
            _delete(gone)
            os.rename(old, gone)
    for each in (new, gone):
        _delete(each)
    with contextlib.suppress(OSError):
        work.rmdir()


def _delete(folder: Path) -> None:
    """Delete a folder, write-protected ones in it too.  Files are not touched: other names may lead to them."""
    if os.path.lexists(folder):
        for path, _, _ in os.walk(folder):
            os.chmod(path, stat.S_IRWXU)
        shutil.rmtree(folder, ignore_errors=True)


# -- whose is what ------------------------------------------------------------
def _stamp(new: Path, files: Mapping[str, bytes]) -> None:
    """Give all files the time of job.json, by which they are known again."""
    if "job.json" in files:
        time = (new / "job.json").stat().st_mtime_ns
        for name in files:
            os.utime(new / PurePosixPath(name), ns=(time, time))


def _made_before(folder: Path) -> set[str]:
    """Files of the folder that this program made and nobody changed since."""
    ours: set[str] = set()
    with contextlib.suppress(OSError, ValueError, KeyError, TypeError):
        record = folder / "job.json"
        time = record.lstat().st_mtime_ns
        for name in json.loads(record.read_text(encoding="utf-8"))["files"]:
            with contextlib.suppress(OSError):
                found = (folder / PurePosixPath(name)).lstat()
                if stat.S_ISREG(found.st_mode) and found.st_mtime_ns == time:
                    ours.add(PurePosixPath(name).as_posix())
    # A job.json of another time than all that it lists was changed, or came from somewhere else.
    return ours if ours != {"job.json"} else set()


def _carry_over(old: Path, new: Path, aside: Collection[str]) -> list[str]:
    """Put the user's own things into the new folder: files, links, empty folders.  Returns what went into `kept`."""
    ours, kept = _made_before(old) - set(aside), []

    def carry(at: PurePosixPath) -> bool:
        """Carry over what lies in a folder; whether anything of it stays."""
        stays = False
        entries = sorted(os.scandir(old / at), key=lambda entry: entry.name)
        for entry in entries:
            name = at / entry.name
            if not entry.is_dir(follow_symlinks=False):
                if str(name) in ours or _is_same(old / name, new / name):
                    continue
                goal = _goal(old, new, name)
                if goal != name:
                    kept.append(str(goal))
                (new / goal).parent.mkdir(parents=True, exist_ok=True)
                _second_name(old / name, new / goal)
                stays = True
            elif carry(name):
                stays = True
        if not entries and not os.path.lexists(new / at):
            (new / _goal(old, new, at)).mkdir(parents=True)
            stays = True
        if (stays or not at.parts) and (new / at).is_dir() and not (new / at).is_symlink():
            shutil.copymode(old / at, new / at)
        return stays

    carry(PurePosixPath())
    return kept


def _goal(old: Path, new: Path, name: PurePosixPath) -> PurePosixPath:
    """Where the user's own thing goes: its own name, or one in `kept` where that, or a folder on the way, is taken."""

    def is_free(path: PurePosixPath) -> bool:
        on_way = [new / parent for parent in path.parents]
        return not os.path.lexists(new / path) and all(p.is_dir() or not os.path.lexists(p) for p in on_way)

    goal, number = name, 0
    while not is_free(goal) or (number and os.path.lexists(old / goal)):
        number += 1
        goal = PurePosixPath(KEPT if number == 1 else f"{KEPT}-{number}") / name
    return goal


def _is_same(old: Path, new: Path) -> bool:
    plain = all(os.path.lexists(path) and stat.S_ISREG(path.lstat().st_mode) for path in (old, new))
    return plain and filecmp.cmp(old, new, shallow=False)


def _second_name(old: Path, new: Path) -> None:
    """A further name for the same file or link, which loses nothing; a copy where the disk has no such names."""
    try:
        os.link(old, new, follow_symlinks=False)
    except (OSError, NotImplementedError):
        if not stat.S_ISREG(old.lstat().st_mode) and not old.is_symlink():
            raise
        shutil.copy2(old, new, follow_symlinks=False)
