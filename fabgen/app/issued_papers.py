"""The record of issued papers in the output folder."""

from __future__ import annotations

from pathlib import Path

from fabgen.changes.record import NAME
from fabgen.job.text.safe_file import NotWrittenError


def kept_record(folder: Path) -> bytes | None:
    """What the folder's record holds; None where there is none, nothing at all where something else bears its name.

    Raises:
        NotWrittenError: it is there but may not be read, so that no list of changes can be made.
    """
    path = folder / NAME
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except (IsADirectoryError, NotADirectoryError):
        return b"" if path.is_dir() else None
    except OSError as error:
        raise NotWrittenError(f"cannot read {path}, the record of issued papers: {error.strerror or error}") from error
