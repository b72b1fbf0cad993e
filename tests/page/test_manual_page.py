"""The manual: every table told, every example part of a job that is made, every command run, read in a browser."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from opened import AXE, DESK, PHONE, Look
from test_all_pages import JOBS
from typer.testing import CliRunner

from fabgen.app.starters import samples, starters
from fabgen.checks.registry import groups
from fabgen.cli import app
from fabgen.documents.manual.excerpts import blocks, excerpts, extra
from fabgen.job.key_help.keys_text import table_entries, tables
from fabgen.shop.tables import data

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def manual(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("manual")
    done = CliRunner().invoke(app, ["manual", "--out", str(out)])
    assert done.exit_code == 0, done.output
    assert done.output.strip() == (out / "manual.html").as_posix()
    return out / "manual.html"


def test_every_key_command_and_starter_is_told(manual: Path) -> None:
    text = unescape(manual.read_text(encoding="utf-8"))
    for name in tables():
        for table in table_entries(name):
            assert table.heading in text
            assert all(f">{key.name}</th>" in text for key in table.keys)
    for name, path in starters().items():
        assert f"<b>{name}</b>" in text
        assert path.read_text(encoding="utf-8").strip() in text
    for command in ("make", "check", "look", "start", "cope", "bend", "book", "printer", "keys", "manual"):
        assert f"fabgen {command} " in text or f"fabgen {command}<" in text
    assert "--label-sheet" in text


def test_same_version_same_bytes(manual: Path, tmp_path: Path) -> None:
    CliRunner().invoke(app, ["manual", "--out", str(tmp_path)])
    assert (tmp_path / "manual.html").read_bytes() == manual.read_bytes()


def test_every_example_is_part_of_a_job_that_is_made() -> None:
    """Those jobs are all made, page by page, by test_all_pages.py."""
    found = excerpts([*starters().values(), *samples().values()])
    made = {path.name: path.read_text(encoding="utf-8") for path in JOBS}
    for name, example in found.items():
        assert example.text in made[example.file], name
        assert f"[{name}" in example.text
    assert {"job", "points", "tube", "link", "plate", "bracket", "cover", "stock", "bolt", "weld"} <= set(found)


@pytest.mark.parametrize("name", extra())
def test_further_examples_go_with_the_job_they_are_for(name: str, tmp_path: Path) -> None:
    example = extra()[name]
    path = tmp_path / example.file
    (base,) = [each for each in JOBS if each.name == example.file]
    path.write_text(f"{base.read_text(encoding='utf-8')}\n{example.text}\n", encoding="utf-8")
    done = CliRunner().invoke(app, ["check", str(path)])
    assert done.exit_code in (0, 1), done.output


def test_every_table_has_an_example() -> None:
    found = excerpts([*starters().values(), *samples().values()])
    assert set(tables()) <= set(found) | set(extra())


def test_blocks_keep_their_remarks_and_leave_the_next_heading() -> None:
    lines = ["# about it", "[[tube]]", 'mark = "T1"', "", "# ------- next", "[[plate]]", "thickness = 3"]
    assert list(blocks(lines)) == [("tube", lines[:3]), ("plate", lines[5:])]


def test_the_first_ten_minutes_as_they_stand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for step in data("begin", "fabgen.documents.manual")["step"]:
        if step["line"]:
            done = CliRunner().invoke(app, step["line"].split()[1:])
            assert done.exit_code == 0, f"{step['title']}: {done.output}"
    assert {"tube-templates.pdf", "cut-list.pdf", "page.html"} <= {p.name for p in (tmp_path / "output/mine").iterdir()}


def test_every_starter_opens_with_comments_that_teach() -> None:
    for name, path in starters().items():
        opening = re.match(r"(?:#.*\n)+", path.read_text(encoding="utf-8"))
        assert opening is not None, name
        lines = [line.strip("# \n") for line in opening[0].splitlines()]
        assert len([line for line in lines if line]) >= 3, name


def test_accuracy_names_tests_that_are_there() -> None:
    for each in data("accuracy", "fabgen.documents.manual")["output"]:
        assert each["tests"]
        for test in each["tests"]:
            assert (ROOT / test).is_file(), test
        assert all(each[key] for key in ("name", "within", "against", "not_covered"))


def test_every_rule_is_listed_with_its_levels_and_its_source(manual: Path) -> None:
    text = unescape(manual.read_text(encoding="utf-8"))
    for group in groups():
        assert f"<h3>{group.about}</h3>" in text
        for rule in group.rules:
            listed = text[text.index(f"<li>{rule.about} ") :].split("</li>")[0]
            assert listed.endswith(f"; {rule.source}</small>")
            assert all(level.word in listed for level in rule.levels)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_it_is_read_without_a_network_and_fits_the_screen(browser: object, manual: Path, size: tuple[int, int]) -> None:
    look = Look(browser, manual.as_uri(), size)
    assert look.faults() == []
    assert look.asked() <= {manual.as_uri(), "about:blank"}
    assert look.do("return document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.slow
def test_axe_finds_no_fault_in_the_manual(browser: object, manual: Path, axe: str) -> None:
    look = Look(browser, manual.as_uri(), DESK)
    look.do(axe)
    assert look.driver.execute_async_script(AXE) == []  # type: ignore[attr-defined]
