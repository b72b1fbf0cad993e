"""The output folder: all or none, and the user's own files are left alone."""

import json
import os
import sys
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from fabgen.documents.folder import settle, write_folder
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
    real, calls = os.rename, []

    def failing(src: str, dst: str) -> None:
        calls.append(src)
        if len(calls) == 2:
            raise OSError(13, "Permission denied")
        real(src, dst)

    monkeypatch.setattr(os, "rename", failing)
    with pytest.raises(NotWrittenError):
        write_folder(tmp_path / "job", {"a.txt": b"new"})
    assert (tmp_path / "job" / "a.txt").read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["job"]


def test_a_file_in_the_way_is_not_overwritten(tmp_path: Path) -> None:
    (tmp_path / "job").write_text("I am a file")
    with pytest.raises(NotWrittenError, match="is a file"):
        write_folder(tmp_path / "job", {"a.txt": b""})


# -- what is the user's ---------------------------------------------------------
def job_files(**more: bytes) -> dict[str, bytes]:
    files = {"cut-list.pdf": b"ours", "flat/P1.dxf": b"ours", **more}
    return files | {"job.json": json.dumps({"files": [*files, "job.json"]}).encode()}


def test_links_empty_folders_and_times_of_the_user_stay(tmp_path: Path) -> None:
    job, elsewhere = tmp_path / "job", tmp_path / "elsewhere"
    write_folder(job, job_files())
    (elsewhere / "deep").mkdir(parents=True)
    (job / "photos").symlink_to(elsewhere)
    (job / "gone").symlink_to("nowhere")
    (job / "flat" / "later").mkdir()
    (job / "notes.txt").write_text("mine")
    os.utime(job / "notes.txt", (1e9, 1e9))
    write_folder(job, {"cut-list.pdf": b"new", "job.json": b"{}"})
    assert os.readlink(job / "photos") == str(elsewhere)
    assert os.readlink(job / "gone") == "nowhere"
    assert (job / "flat" / "later").is_dir()
    assert (job / "notes.txt").stat().st_mtime == 1e9
    assert names(job) == {"cut-list.pdf", "job.json", "notes.txt"}


def test_own_things_with_names_that_are_needed_are_kept_aside(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    (job / "cut-list.pdf").write_text("mine")
    (job / "flat").write_text("a file of mine")
    assert write_folder(job, job_files()) == ["kept/cut-list.pdf", "kept/flat"]
    assert (job / "cut-list.pdf").read_bytes() == b"ours"
    assert (job / "kept" / "cut-list.pdf").read_text() == "mine"
    assert (job / "kept" / "flat").read_text() == "a file of mine"
    (job / "cut-list.pdf").write_text("changed by me")
    assert write_folder(job, job_files()) == ["kept-2/cut-list.pdf"]
    assert (job / "kept" / "cut-list.pdf").read_text() == "mine"
    assert write_folder(job, job_files()) == []


def test_a_list_of_files_is_no_proof(tmp_path: Path) -> None:
    job = tmp_path / "job"
    write_folder(job, job_files())
    (job / "my-notes.txt").write_text("mine")
    listed = {"files": [*json.loads((job / "job.json").read_text())["files"], "my-notes.txt"]}
    (job / "job.json").write_text(json.dumps(listed))
    assert "kept/job.json" in write_folder(job, job_files())
    assert (job / "my-notes.txt").read_text() == "mine"


def test_a_link_to_the_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "job").symlink_to("real")
    write_folder(tmp_path / "job", job_files())
    assert os.readlink(tmp_path / "job") == "real"
    assert names(tmp_path / "real") == set(job_files())


# -- runs that are stopped --------------------------------------------------------
FILE_EVENTS = {
    "open",
    "os.mkdir",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.link",
    "os.scandir",
    "os.chmod",
    "os.utime",
}


class Killed(BaseException):
    """Stands for a kill: nothing of the program runs on, so every file event after it fails too."""


class Stop:
    """Stops the program at its n-th file event; n = 0 only counts."""

    def __init__(self) -> None:
        self.at, self.count, self.error, self.is_on = 0, 0, BaseException, False
        sys.addaudithook(self.event)

    def event(self, name: str, args: tuple[object, ...]) -> None:
        if not self.is_on or name not in FILE_EVENTS or (name == "open" and "pytest" not in str(args[0])):
            return
        self.count += 1
        if self.at and (self.count == self.at or (self.count > self.at and self.error is Killed)):
            raise self.error

    def run(self, do: Callable[[], object], at: int, error: type[BaseException]) -> int:
        """How many file events there were; it ended by itself if fewer than `at`."""
        self.at, self.count, self.error, self.is_on = at, 0, error, True
        try:
            do()
        except error:
            pass
        finally:
            self.is_on = False
        return self.count


STOP = Stop()
OLD, NEW = job_files(), job_files(**{"wrap/T1.dxf": b"new"}) | {"cut-list.pdf": b"new"}


def state(folder: Path) -> dict[str, bytes | str]:
    """All that is in a folder, links and folders too."""
    found: dict[str, bytes | str] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        found[name] = os.readlink(path) if path.is_symlink() else "folder" if path.is_dir() else path.read_bytes()
    return found


def an_old_folder(at: Path) -> Path:
    write_folder(at / "job", OLD)
    (at / "job" / "own").mkdir()
    (at / "job" / "own" / "notes.txt").write_text("mine")
    (at / "job" / "empty").mkdir()
    (at / "job" / "link").symlink_to("nowhere")
    return at / "job"


def stops(tmp_path: Path, is_first: bool, error: type[BaseException]) -> Iterator[tuple[Path, dict[str, bytes | str]]]:
    """The place after a stop at each file event, one after the other, and what stood there before."""
    for at in range(1, 1000):
        place = tmp_path / str(at)
        place.mkdir()
        before = {} if is_first else state(an_old_folder(place).parent)
        events = STOP.run(partial(write_folder, place / "job", NEW), at, error)
        yield place, before
        if events < at:
            assert at > 10
            return
    raise AssertionError("it never ended")


def whole(place: Path) -> dict[str, bytes | str]:
    """What a whole run makes of what stands there."""
    write_folder(place / "job", NEW)
    return state(place)


@pytest.mark.parametrize("is_first", [True, False])
def test_ctrl_c_at_every_file_event_leaves_old_or_new_and_nothing_else(tmp_path: Path, is_first: bool) -> None:
    seen = []
    for place, before in stops(tmp_path, is_first, KeyboardInterrupt):
        after = state(place)
        seen.append(after == before)
        assert after == before or after == whole(place)
    assert seen[0]
    assert not seen[-1]


@pytest.mark.parametrize("is_first", [True, False])
def test_after_a_kill_at_every_file_event_the_next_run_finds_all(tmp_path: Path, is_first: bool) -> None:
    for place, before in stops(tmp_path, is_first, Killed):
        settle(place / "job")
        after = state(place)
        assert after == before or after == whole(place)
        whole(place)
        assert os.listdir(place) == ["job"]


def test_a_folder_made_anew_after_a_kill_hides_nothing(tmp_path: Path) -> None:
    job = an_old_folder(tmp_path)
    (tmp_path / ".job.fabgen-work" / "new").mkdir(parents=True)
    os.rename(job, tmp_path / ".job.fabgen-work" / "old")
    job.mkdir()
    with pytest.raises(NotWrittenError, match="made anew"):
        write_folder(job, NEW)
    assert (tmp_path / ".job.fabgen-work" / "old" / "own" / "notes.txt").read_text() == "mine"
