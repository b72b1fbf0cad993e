"""The settings file: where it is, what it may say, and that it is written whole or not at all.

Nothing here reads or writes the settings of whoever runs the tests.
"""

import os
import sys
from pathlib import Path

import pytest

from fabgen.app.settings import Settings, read_settings, settings_path, settings_text, write_settings
from fabgen.documents.render import paper
from fabgen.documents.render.correction import NONE, Correction
from fabgen.job.text.safe_file import NotWrittenError
from fabgen.wording.input_error import InputError

GIVEN = Settings({"A4": Correction(1.0032, 0.9987), "Letter": Correction(1.001, 1.0)})
HOME = Path.home()


@pytest.mark.parametrize(
    ("environ", "platform", "wanted"),
    [
        ({}, "linux", HOME / ".config/fabgen/settings.toml"),
        ({"XDG_CONFIG_HOME": "/srv/conf"}, "linux", Path("/srv/conf/fabgen/settings.toml")),
        ({"XDG_CONFIG_HOME": "relative"}, "linux", HOME / ".config/fabgen/settings.toml"),
        ({"XDG_CONFIG_HOME": ""}, "darwin", HOME / ".config/fabgen/settings.toml"),
        ({"APPDATA": "/profile/roaming"}, "win32", Path("/profile/roaming/fabgen/settings.toml")),
        ({}, "win32", HOME / "AppData/Roaming/fabgen/settings.toml"),
        ({"FABGEN_SETTINGS": "/x/own.toml", "XDG_CONFIG_HOME": "/srv"}, "linux", Path("/x/own.toml")),
    ],
)
def test_where_it_is(environ: dict[str, str], platform: str, wanted: Path) -> None:
    assert settings_path(environ, platform) == wanted


def test_no_file_is_no_settings(tmp_path: Path) -> None:
    settings = read_settings(tmp_path / "none.toml")
    assert settings == Settings()
    assert settings.correction(paper.A4) == NONE


def test_the_variable_is_obeyed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FABGEN_SETTINGS", str(tmp_path / "own.toml"))
    assert write_settings(GIVEN) == tmp_path / "own.toml"
    assert read_settings() == GIVEN


def test_written_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "settings.toml"
    write_settings(GIVEN, path)
    assert read_settings(path) == GIVEN
    assert read_settings(path).correction(paper.A4) == Correction(1.0032, 0.9987)
    assert read_settings(path).correction(paper.A3) == NONE
    assert os.listdir(path.parent) == ["settings.toml"]
    assert "[printer.A4]\nx = 1.0032\ny = 0.9987\n" in path.read_text(encoding="utf-8")
    assert path.read_bytes() == settings_text(GIVEN).encode()


def test_by_paper_and_forgotten(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    one = Settings().with_correction(paper.LETTER, Correction(1.001, 1.0))
    both = one.with_correction(paper.A4.landscape, Correction(1.0032, 0.9987))
    assert both == GIVEN
    assert list(both.printer) == ["A4", "Letter"]
    write_settings(both, path)
    less = read_settings(path).with_correction(paper.A4, None)
    assert less == one
    write_settings(less.with_correction(paper.LETTER, None), path)
    assert not path.exists()
    write_settings(Settings(), path)


def test_a_hand_written_file(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text("# mine\nprinter.A3.x = 1\n", encoding="utf-8")
    assert read_settings(path) == Settings({"A3": Correction(1.0, 1.0)})


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("[printer", "is not TOML"),
        ("[printr.A4]\nx = 1.0", "nearest: printer"),
        ("printer = 3", "printer is not a table"),
        ("[printer]\nA4 = 1.0", "printer.A4 is not a table"),
        ("[drawings]\nowned = 'x'", "nearest: owner"),
        ("[drawings]\nowner = 3", "[drawings] owner = 3 is not a text"),
        ("[printer.a4]\nx = 1.0", "nearest: A4"),
        ("[printer.A4]\nacross = 1.0", "accepted: x, y"),
        ("[printer.A4]\nx = 1.2", "accepted: 0.95 to 1.05"),
        ("[printer.A4]\nx = nan", "accepted: 0.95 to 1.05"),
        ("[printer.A4]\ny = '1.01'", "y = '1.01' is not a correction"),
        ("[printer.A4]\ny = true", "accepted: 0.95 to 1.05"),
    ],
)
def test_what_will_not_do_is_said(tmp_path: Path, text: str, what: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as error:
        read_settings(path)
    assert str(error.value).startswith(f"{path}: ")
    assert what in str(error.value)
    assert "accepted: " in str(error.value)


def test_not_utf_8_and_not_a_file(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="UTF-8"):
        read_settings(path)
    with pytest.raises(InputError, match="cannot be read"):
        read_settings(tmp_path)


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "settings.toml"
    write_settings(GIVEN, path)
    before = path.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(NotWrittenError, match="No space left"):
        write_settings(Settings({"A4": Correction(1.01, 1.01)}), path)
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["settings.toml"]


@pytest.mark.skipif(sys.platform == "win32", reason="files stand for folders differently")
def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(NotWrittenError, match="cannot write"):
        write_settings(GIVEN, tmp_path / "file" / "settings.toml")
