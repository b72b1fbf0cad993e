"""The README is true: its job file works and every command in it ends well."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from fabgen.cli import app

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = [
    line.split("#")[0].split("bin/fabgen ")[-1].strip()
    for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    for line in block.splitlines()
    if "bin/fabgen " in line
]


def test_the_first_thing_is_one_paragraph_that_states_the_job() -> None:
    title, paragraph, *_ = README.split("\n\n")
    assert title == "# fabgen"
    assert "one command" in paragraph.replace("\n", " ")


def test_every_command_ends_well_in_the_order_it_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(ROOT / "sample_parts", tmp_path / "sample_parts")
    shutil.copy(ROOT / "sample_parts/rack/rack.toml", tmp_path / "rack.toml")
    monkeypatch.chdir(tmp_path)
    assert len(COMMANDS) >= 8
    for command in COMMANDS:
        result = CliRunner().invoke(app, shlex.split(command))
        assert result.exit_code == 0, (command, result.output)


def test_the_job_in_the_text_makes(tmp_path: Path) -> None:
    written = re.search(r"```toml\n(.*?)```", README, re.DOTALL)
    assert written
    path = tmp_path / "job.toml"
    path.write_text(written.group(1), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(path), "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output


def test_its_pictures_and_links_exist() -> None:
    for target in re.findall(r"\]\(([^)#:]+)\)", README):
        assert (ROOT / target).exists(), target
