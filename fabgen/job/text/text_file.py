"""A text file from the disk, or one clear error of what is in the way."""

from __future__ import annotations

import codecs
import os
from pathlib import Path as FilePath

from fabgen.job.errors import JobError, Problem, nearest

LARGEST_FILE = 2_000_000


def text_of(path: FilePath, kind: str, example: str) -> str:
    """The text of a file, its byte order mark left off.

    Args:
        path: of the file.
        kind: what it is in words, e.g. 'job file'.
        example: a name such a file may have.
    Raises:
        JobError: there is no such file, with the nearest name in its folder; or it is no text of a usable size.
    """

    def refuse(what: str, accepted: str = "", near: str = "", line: int | None = None) -> JobError:
        return JobError([Problem((), what, accepted, near, line=line, file=str(path))])

    try:
        size = path.stat().st_size
        if path.is_dir():
            raise refuse("this is a folder", f"the name of a {kind}, e.g. {example}", _file_near(path / "x"))
        if size > LARGEST_FILE:
            raise refuse(f"the file has {size / 1e6:.1f} million characters", f"a {kind} of at most 2 million")
        with path.open("rb") as file:  # a pipe or device says no size, and may never end
            data = file.read(LARGEST_FILE + 1)
        if len(data) > LARGEST_FILE:
            raise refuse("the file has more than 2 million characters", f"a {kind} of at most 2 million")
    except (FileNotFoundError, NotADirectoryError):
        raise refuse("there is no such file", f"the name of a {kind}", _file_near(path)) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "the name is not usable"
        raise refuse(f"cannot read the file: {reason.lower()}") from None
    if b"\0" in data:
        raise refuse("this is not a text file", f"a {kind} in plain text (TOML), saved as UTF-8", line=1)
    try:
        return data.removeprefix(codecs.BOM_UTF8).decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        what = "there is a character here that is not in UTF-8"
        raise refuse(what, "a text file saved as UTF-8 (the editor's encoding setting)", line=line) from None


def _file_near(path: FilePath) -> str:
    """The file beside it whose name is most like, the ending that all share aside."""
    try:
        stems = sorted(FilePath(name).stem for name in os.listdir(path.parent) if name.endswith(".toml"))
    except OSError:
        return ""
    near = nearest(path.name.removesuffix(".toml"), stems)
    return str(path.parent / f"{near}.toml") if near else ""
