"""`make` and the papers before: what is printed, written and kept, whatever happens to the record of issued papers."""

from __future__ import annotations

import io
import json
import os
import re
import shutil
from pathlib import Path

import pytest
from page.print_check import outside, overlaps
from pypdf import PdfReader
from typer.testing import CliRunner, Result

from fabgen.app.work import built
from fabgen.changes.issuing import issuing
from fabgen.cli import app
from fabgen.documents.lists.changes_list import changes_section
from fabgen.documents.render.flow import flowing_pdf
from fabgen.documents.render.paper import PRINTER, SIZES
from fabgen.job.reader import read_job
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece

JOB = """
[job]
title = "Stand"
number = "ST-1"
units = "mm"
revision = "A"
[[tube]]
mark = "T1"
section = "48.3 x 3.2"
route = [[0, 0, 0], [612.4, 0, 0]]
[[plate]]
mark = "P1"
thickness = 6
rectangle = [100, 60]
holes = [{ at = [20, 20], diameter = 11 }]
"""
LONGER = JOB.replace("612.4", "618")
MOVED = LONGER.replace("at = [20, 20]", "at = [22.5, 20]")
SAID = "Changed since revision A"


def make(folder: Path, text: str, *words: str) -> Result:
    job = folder / "stand.toml"
    job.write_text(text, encoding="utf-8")
    return CliRunner().invoke(app, ["make", str(job), "--out", str(folder / "out"), *words])


def revised(text: str, letter: str) -> str:
    return text.replace('"A"', f'"{letter}"')


def content(folder: Path) -> dict[str, bytes]:
    made = folder / "out" / "stand"
    return {path.relative_to(made).as_posix(): path.read_bytes() for path in made.rglob("*") if path.is_file()}


def first_page(folder: Path) -> str:
    pdf = PdfReader(io.BytesIO(content(folder)["cut-list.pdf"]))
    return " ".join(pdf.pages[0].extract_text().split())


def test_changes_stand_in_the_terminal_on_the_first_page_and_in_a_file(tmp_path: Path) -> None:
    first = make(tmp_path, JOB)
    assert "hanged" not in first.output
    assert "changes.txt" not in content(tmp_path)
    assert "hanged" not in first_page(tmp_path)
    second = make(tmp_path, revised(MOVED, "B"))
    told = {
        "T1": "saw length 612.4 to 618.0 mm",
        "P1": "hole Ø 11 mm moves by 2.5 mm, to 22.5, 20 mm",
    }
    text = content(tmp_path)["changes.txt"].decode()
    assert f"\n{SAID}\n" in text
    assert f"{SAID}:" in second.output
    for mark, said in told.items():
        assert f"  {mark}: {said}\n" in second.output
        assert f"  {mark}  {said}\n" in text
        assert f"{mark} {said}" in first_page(tmp_path)
    data = json.loads(content(tmp_path)["job.json"])
    assert [(each["since"], each["how"], *each["marks"], each["text"]) for each in data["changes"]] == [
        ("A", "changed", mark, said) for mark, said in told.items()
    ]
    assert {"changes.txt", "issued.json"} <= set(data["files"]) == set(content(tmp_path))


def test_a_second_make_changes_no_byte(tmp_path: Path) -> None:
    for text in (JOB, LONGER, revised(MOVED, "B")):
        make(tmp_path, text)
        before = content(tmp_path)
        assert make(tmp_path, text).exit_code == 0
        assert content(tmp_path) == before


def test_the_same_baseline_gives_the_same_bytes(tmp_path: Path) -> None:
    make(tmp_path, JOB)
    (tmp_path / "other").mkdir()
    shutil.copytree(tmp_path / "out", tmp_path / "other" / "out")
    for folder in (tmp_path, tmp_path / "other"):
        make(folder, revised(MOVED, "B"))
    made = content(tmp_path / "other")
    # The other folder was copied: its files are not known as ours, and are kept.
    assert {name: data for name, data in made.items() if not name.startswith("kept/")} == content(tmp_path)


def test_under_the_same_revision_it_says_what_to_do(tmp_path: Path) -> None:
    make(tmp_path, JOB)
    result = make(tmp_path, LONGER)
    assert f"{SAID} was first made:\n  T1: saw length 612.4 to 618.0 mm\n" in result.output
    assert "raise `revision` in [job]" in result.output
    assert "raise `revision` in [job]" in first_page(tmp_path)
    assert "hanged" not in make(tmp_path, LONGER, "--nothing-cut").output
    assert "hanged" not in make(tmp_path, LONGER).output


def test_that_nothing_changed_is_said_once_a_revision_was_raised(tmp_path: Path) -> None:
    make(tmp_path, JOB)
    said = "Nothing that is sawn, cut, folded or drilled has changed since revision A."
    assert said in make(tmp_path, revised(JOB, "B")).output
    assert said in content(tmp_path)["changes.txt"].decode()
    assert said in first_page(tmp_path)


def test_quiet_prints_none(tmp_path: Path) -> None:
    make(tmp_path, JOB)
    assert make(tmp_path, LONGER, "--quiet").output == ""
    assert "changes.txt" in content(tmp_path)


def test_a_long_list_is_cut_in_the_terminal_alone(tmp_path: Path) -> None:
    many = "".join(
        f"""
[[tube]]
mark = "X{n}"
section = "48.3 x 3.2"
route = [[0, {500 * n}, 0], [{700 + 10 * n}, {500 * n}, 0]]
"""
        for n in range(1, 11)
    )
    make(tmp_path, JOB + many)
    longer = re.sub(r"\[(7|8|9)([0-9]{2}),", r"[\g<1>\g<2>.5,", many)
    result = make(tmp_path, JOB + longer)
    assert "  and 2 more: see changes.txt" in result.output
    assert content(tmp_path)["changes.txt"].decode().count("saw length") == 11  # what is compared names them too
    pages = PdfReader(io.BytesIO(content(tmp_path)["cut-list.pdf"])).pages
    assert sum(len(re.findall(r"saw length [0-9.]+ to", page.extract_text())) for page in pages) == 10


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_table_prints_within_the_page(tmp_path: Path, units: str) -> None:
    """Many marks in one row, and many changes of one mark."""
    many = "".join(
        f"""
[[plate]]
mark = "a-rather-long-mark-{n}"
thickness = "6 mm"
rectangle = ["100 mm", "60 mm"]
"""
        for n in range(50)
    )
    row = (f'{{ face = "web", at = ["{15 + 10 * n} mm", "20 mm"], diameter = "{4 + n / 2} mm" }}' for n in range(7))
    bracket = f"""
[[bracket]]
mark = "B1"
shape = "channel"
thickness = "3 mm"
web = "60 mm"
length = "90 mm"
flanges = ["40 mm", "30 mm"]
holes = [{", ".join(row)}]
"""
    text = JOB.replace('"mm"', f'"{units}"') + many + bracket
    (tmp_path / "stand.toml").write_text(text, encoding="utf-8")
    header, old = worked(tmp_path / "stand.toml")
    changed = text.replace('["100 mm", "60 mm"]', '["101 mm", "60 mm"]').replace('"20 mm"]', '"23 mm"]')
    (tmp_path / "stand.toml").write_text(changed.replace('"40 mm", "30 mm"', '"45 mm", "35 mm"'), encoding="utf-8")
    header, new = worked(tmp_path / "stand.toml")
    issue = issuing(header, new, issuing(header, old, None).record.encode())
    pdf = flowing_pdf(changes_section(header, issue, 180.0), SIZES[0], header, "cut list")
    assert overlaps(pdf) == []
    assert outside(pdf, PRINTER.left - 1.0) == []


def worked(path: Path) -> tuple[Header, list[Piece]]:
    job = read_job(path)
    return job.definitions.job, built(job)


# -- the record ---------------------------------------------------------------------------
def test_a_damaged_record_is_said_and_kept(tmp_path: Path) -> None:
    make(tmp_path, JOB)
    record = tmp_path / "out" / "stand" / "issued.json"
    times = record.stat().st_mtime_ns
    record.write_bytes(record.read_bytes()[:100])
    os.utime(record, ns=(times, times))
    result = make(tmp_path, LONGER)
    assert result.exit_code == 0
    assert "issued.json cannot be read" in result.output
    assert "  kept: kept/issued.json\n" in result.output
    assert len(content(tmp_path)["kept/issued.json"]) == 100
    for _ in range(2):
        assert "What has changed since earlier papers is not known" in first_page(tmp_path)
        make(tmp_path, LONGER)
    assert "not known" not in make(tmp_path, LONGER, "--nothing-cut").output


def test_a_file_of_that_name_that_is_no_record(tmp_path: Path) -> None:
    record = tmp_path / "out" / "stand" / "issued.json"
    record.mkdir(parents=True)
    (record / "mine.txt").write_text("mine")
    result = make(tmp_path, JOB)
    assert result.exit_code == 0
    assert "issued.json cannot be read" in result.output
    assert content(tmp_path)["kept/issued.json/mine.txt"] == b"mine"


def test_a_record_of_another_job_is_kept(tmp_path: Path) -> None:
    make(tmp_path, JOB)
    old = content(tmp_path)["issued.json"]
    result = make(tmp_path, LONGER.replace("ST-1", "ST-2"))
    assert "issued.json is of job ST-1: job ST-2 is compared with no earlier papers" in result.output
    assert "hanged since" not in result.output
    assert content(tmp_path)["kept/issued.json"] == old


def test_a_folder_that_may_not_be_written_keeps_its_record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    make(tmp_path, JOB)
    before = content(tmp_path)

    def failing(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "rename", failing)
    result = make(tmp_path, LONGER)
    assert result.exit_code == 3
    monkeypatch.undo()
    assert content(tmp_path) == before


def test_a_record_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    make(tmp_path, JOB)
    before, read = content(tmp_path), Path.read_bytes

    def failing(path: Path) -> bytes:
        if path.name == "issued.json":
            raise PermissionError(13, "Permission denied")
        return read(path)

    monkeypatch.setattr(Path, "read_bytes", failing)
    result = make(tmp_path, LONGER)
    monkeypatch.undo()
    assert result.exit_code == 3
    assert "the record of issued papers: Permission denied" in result.output
    assert content(tmp_path) == before


def test_a_job_with_faults_leaves_the_record(tmp_path: Path) -> None:
    make(tmp_path, JOB)
    before = content(tmp_path)
    assert make(tmp_path, LONGER.replace("thickness", "thicknes")).exit_code == 2
    assert content(tmp_path) == before
