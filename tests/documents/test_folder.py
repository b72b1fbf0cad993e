"""The output folder: all or none, and the user's own files are left alone."""

import json
import os
from pathlib import Path

import pytest

from fabgen.documents.folder import write_folder
from fabgen.job.text.safe_file import NotWrittenError


def names(folder: Path) -> set[str]:
    return {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()}


def test_files_appear_and_nothing_else(tmp_path: Path) -> None:
    write_folder(tmp_path / "deep" / "job", {"a.txt": b"1", "flat/b.dxf": b"2"})
    assert names(tmp_path) == {"deep/job/a.txt", "deep/job/flat/b.dxf"}


def test_old_files_of_ours_go_and_the_users_stay(tmp_path: Path) -> None:
    first = {"flat/old.dxf": b"x", "job.json": json.dumps({"files": ["flat/old.dxf", "job.json"]}).encode()}
    write_folder(tmp_path / "job", first)
    (tmp_path / "job" / "my notes.txt").write_text("keep me")
    write_folder(tmp_path / "job", {"flat/new.dxf": b"y", "job.json": b"{}"})
    assert names(tmp_path / "job") == {"flat/new.dxf", "job.json", "my notes.txt"}
    assert os.listdir(tmp_path) == ["job"]


def test_a_failure_half_way_leaves_the_old_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "job", {"a.txt": b"old"})
    real = Path.write_bytes

    def failing(self: Path, data: bytes) -> int:
        if self.name == "b.txt":
            raise OSError(28, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", failing)
    with pytest.raises(NotWrittenError, match="No space left"):
        write_folder(tmp_path / "job", {"a.txt": b"new", "b.txt": b"new"})
    monkeypatch.undo()
    assert (tmp_path / "job" / "a.txt").read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["job"]


def test_a_swap_that_fails_puts_the_old_folder_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "job", {"a.txt": b"old"})
    real, calls = os.replace, []

    def failing(src: str, dst: str) -> None:
        calls.append(src)
        if len(calls) == 2:
            raise OSError(13, "Permission denied")
        real(src, dst)

    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises(NotWrittenError):
        write_folder(tmp_path / "job", {"a.txt": b"new"})
    assert (tmp_path / "job" / "a.txt").read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["job"]


def test_a_file_in_the_way_is_not_overwritten(tmp_path: Path) -> None:
    (tmp_path / "job").write_text("I am a file")
    with pytest.raises(NotWrittenError, match="is a file"):
        write_folder(tmp_path / "job", {"a.txt": b""})
