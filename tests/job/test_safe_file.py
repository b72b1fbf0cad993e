"""A file changed by several, and by programs that end in the middle."""

from __future__ import annotations

import multiprocessing
import os
import stat
from pathlib import Path

import pytest

from fabgen.job.text import safe_file
from fabgen.job.text.safe_file import FileBusyError, NotWrittenError, changing, replace_text


def add_one(path: Path, times: int) -> None:
    for _ in range(times):
        with changing(path) as target:
            text = target.read_text()
            replace_text(target, text, str(int(text) + 1))


def hold(path: Path, held: object, done: object) -> None:
    with changing(path):
        held.set()  # type: ignore[attr-defined]
        done.wait(10)  # type: ignore[attr-defined]


def die_inside(path: Path) -> None:
    with changing(path) as target:
        target.with_name("inside").write_text("")
        os._exit(1)


def test_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "count"
    path.write_text("0")
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=add_one, args=(path, 30)) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
        assert writer.exitcode == 0
    assert path.read_text() == "60"
    assert (tmp_path / "count.bak").read_text() == "59"


def test_who_waits_too_long_is_told(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text("a")
    context = multiprocessing.get_context("spawn")
    held, done = context.Event(), context.Event()
    holder = context.Process(target=hold, args=(path, held, done))
    holder.start()
    assert held.wait(30)
    with pytest.raises(FileBusyError, match="somebody else"), changing(path, patience=0.2):
        raise AssertionError("two were inside")
    done.set()
    holder.join(30)
    with changing(path, patience=0.2):
        pass


def test_a_program_that_dies_inside_leaves_no_lock_behind(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text("a")
    process = multiprocessing.get_context("spawn").Process(target=die_inside, args=(path,))
    process.start()
    process.join(30)
    assert (tmp_path / "inside").exists()
    with changing(path, patience=1.0):
        pass
    assert path.read_text() == "a"


@pytest.mark.parametrize("step", ["replace", "fsync", "fdopen"])
@pytest.mark.parametrize("call", [1, 2])
def test_a_failure_in_the_middle_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, call: int
) -> None:
    path = tmp_path / "rack.toml"
    path.write_text("old")
    real, calls = getattr(os, step), []

    def fail(*words: object, **more: object) -> object:
        calls.append(1)
        if len(calls) == call:
            raise OSError(28, "No space left on device")
        return real(*words, **more)

    monkeypatch.setattr(safe_file.os, step, fail)
    with pytest.raises(NotWrittenError, match="No space left"):
        replace_text(path, "old", "new")
    monkeypatch.undo()
    assert path.read_text() == "old"
    assert set(os.listdir(tmp_path)) <= {"rack.toml", "rack.toml.bak"}
    replace_text(path, "old", "new")
    assert path.read_text() == "new"


def test_what_somebody_saved_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "rack.toml"
    path.write_text("saved by an editor")
    with pytest.raises(NotWrittenError, match="changed by somebody else"):
        replace_text(path, "what was read before", "new")
    assert path.read_text() == "saved by an editor"


def test_a_link_stays_a_link_and_rights_and_byte_order_mark_stay(tmp_path: Path) -> None:
    real = tmp_path / "shelf" / "rack.toml"
    real.parent.mkdir()
    real.write_bytes(b"\xef\xbb\xbfold")
    real.chmod(0o664)
    link = tmp_path / "rack.toml"
    link.symlink_to(real)
    with changing(link) as target:
        replace_text(target, "old", "new")
    assert link.is_symlink()
    assert real.read_bytes() == b"\xef\xbb\xbfnew"
    assert stat.S_IMODE(real.stat().st_mode) == 0o664
    assert (real.parent / "rack.toml.bak").read_bytes() == b"\xef\xbb\xbfold"
