"""The commands as a shell sees them: what they print, what they write, how they end."""

from __future__ import annotations

import json
import math
import os
import tomllib
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from fabgen.app.starters import starters
from fabgen.cli import app

LEAST = """
[job]
title = "Least"
number = "L-1"
units = "mm"

[[plate]]
mark = "P1"
thickness = 6
rectangle = [100, 60]
"""


def run(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


def job(folder: Path, text: str = LEAST) -> Path:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_least_job_makes_its_folder(tmp_path: Path) -> None:
    result = run("make", job(tmp_path), "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    made = {p.relative_to(tmp_path / "out" / "job").as_posix() for p in (tmp_path / "out").rglob("*") if p.is_file()}
    assert made >= {"cut-list.pdf", "drawings.pdf", "cut-list.csv", "shopping-list.csv", "job.json"}
    assert "flat/P1_S235_6mm_x1.dxf" in made
    assert made == set(json.loads((tmp_path / "out/job/job.json").read_text())["files"])


def test_check_writes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = run("check", job(tmp_path))
    assert result.exit_code == 0
    assert "1 mark read and checked" in result.output
    assert os.listdir(tmp_path) == ["job.toml"]


def test_every_problem_is_told_at_once_and_nothing_is_written(tmp_path: Path) -> None:
    bad = LEAST.replace("thickness = 6", "thicknes = 6").replace('number = "L-1"', "number = 7").replace("100", '"1o0"')
    result = run("make", job(tmp_path, bad), "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert not (tmp_path / "out").exists()
    told = result.stderr
    assert "job.toml:9" in told
    assert "thickness" in told
    assert "job.toml:10" in told
    assert "Traceback" not in result.output


def test_a_stop_ends_with_1_and_still_writes(tmp_path: Path) -> None:
    long = LEAST.replace("[100, 60]", "[9000, 60]")
    result = run("make", job(tmp_path, long), "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert "STOP  P1" in result.output
    assert (tmp_path / "out/job/cut-list.pdf").exists()
    assert run("check", job(tmp_path, long)).exit_code == 1


def test_what_cannot_be_written_ends_with_3(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file in the way")
    assert run("make", job(tmp_path), "--out", tmp_path / "out").exit_code == 3


@pytest.mark.parametrize(
    "words",
    [
        ("make", "none.toml"),
        ("make", "{job}", "--paper", "A9"),
        ("make", "{job}", "--date", "14.3.2026"),
        ("start", "fram"),
        ("cope", "--branch", "48.3", "--onto", "60.3x3.2", "--angle", "60"),
        ("cope", "--branch", "48.3x3.2", "--onto", "60.3x3.2", "--angle", "banana"),
        ("bend", "--thickness", "0", "--radius", "3", "--angle", "90"),
        ("bend", "--thickness", "3", "--radius", "3", "--angle", "90", "--material", "S23"),
    ],
)
def test_bad_words_end_with_2_and_one_clear_error(words: tuple[str, ...], tmp_path: Path) -> None:
    path = job(tmp_path)
    result = run(*(word.format(job=path) for word in words), *(["--out", tmp_path / "o"] if words[0] == "make" else []))
    assert result.exit_code == 2
    assert result.stderr
    assert "Traceback" not in result.output
    assert not (tmp_path / "o").exists()


def test_date_goes_on_the_documents(tmp_path: Path) -> None:
    from pypdf import PdfReader

    assert run("make", job(tmp_path), "--out", tmp_path, "--date", "2026-05-06").exit_code == 0
    for name in ("cut-list.pdf", "drawings.pdf"):
        assert "2026-05-06" in "".join(page.extract_text() for page in PdfReader(tmp_path / "job" / name).pages)


def test_cope_prints_the_contract(tmp_path: Path) -> None:
    result = run(
        *("cope", "--branch", "48.3x3.2", "--onto", "60.3x3.2", "--angle", "60", "--offset", "5", "--fit", "outside"),
        *("--json", "--out", tmp_path),
    )
    assert result.exit_code == 0, result.output
    figures = json.loads(result.stdout)
    assert set(figures) >= {"branch", "onto", "angle_deg", "offset_mm", "fit", "line", "wrap_mm", "saw", "template"}
    assert figures["wrap_mm"] == pytest.approx(math.pi * 48.3, abs=1e-3)
    assert [phi for phi, _ in figures["line"]] == list(range(360))
    r, big, a = 24.15, 30.15, math.radians(60)
    for phi, x in figures["line"]:
        y, z = r * math.cos(math.radians(phi)), r * math.sin(math.radians(phi))
        # Two cylinders: (x sin a - y cos a)^2 + (z - d)^2 = R^2, the far side of the main from the work point.
        assert x == pytest.approx((y * math.cos(a) + math.sqrt(big**2 - (z - 5.0) ** 2)) / math.sin(a), abs=1e-3)
    assert Path(figures["template"]).is_file()


def test_bend_prints_its_figures() -> None:
    result = run("bend", "--thickness", "3", "--radius", "3", "--angle", "90", "--k", "0.42", "--json")
    figures = json.loads(result.stdout)
    allowance = math.pi / 2 * (3 + 0.42 * 3)
    assert figures["allowance_mm"] == pytest.approx(allowance, abs=1e-4)
    assert figures["setback_mm"] == pytest.approx(6.0, abs=1e-4)
    assert figures["deduction_mm"] == pytest.approx(12.0 - allowance, abs=1e-4)


def test_start_lists_and_copies_and_never_overwrites(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    listed = run("start").stdout
    assert len(starters()) >= 5
    assert all(name in listed for name in starters())
    assert run("start", "plates").exit_code == 0
    (tmp_path / "plates.toml").write_text("mine")
    assert run("start", "plates").exit_code == 2
    assert (tmp_path / "plates.toml").read_text() == "mine"


def test_a_new_job_bears_date_owner_and_who_draws_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FABGEN_SETTINGS", str(tmp_path / "settings.toml"))
    words = ("--date", "2026-03-14", "--owner", 'Moor "End" Works', "--drawn-by", "A. Reed")
    assert run("start", "frame", "one.toml", *words, "--keep").exit_code == 0
    assert run("start", "plates", "two.toml", "--date", "2026-03-15", "--drawn-by", "B. Finch").exit_code == 0
    one, two = ((tmp_path / name).read_text(encoding="utf-8") for name in ("one.toml", "two.toml"))
    assert tomllib.loads(one)["job"].items() >= {
        "date": date(2026, 3, 14), "owner": 'Moor "End" Works', "drawn_by": "A. Reed",
    }.items()  # fmt: skip
    assert tomllib.loads(two)["job"].items() >= {"owner": 'Moor "End" Works', "drawn_by": "B. Finch"}.items()
    for name, text in (("frame", one), ("plates", two)):
        plain = starters()[name].read_text(encoding="utf-8").splitlines()
        kept = [line for line in text.splitlines() if not line.startswith(("date = ", "owner = ", "drawn_by = "))]
        assert kept[0] == "#:schema ./fabgen-job.schema.json"
        assert kept[1:] == [line for line in plain if not line.startswith(("owner = ", "drawn_by = "))]
    assert run("start", "tubes", "three.toml").exit_code == 0
    job = tomllib.loads((tmp_path / "three.toml").read_text(encoding="utf-8"))["job"]
    assert abs((date.today() - job["date"]).days) <= 1
    for faulty in (("--date", "14.3.2026"), ("--owner", "a\nb")):
        assert run("start", "tubes", "four.toml", *faulty).exit_code == 2
    assert not (tmp_path / "four.toml").exists()


@pytest.mark.parametrize("name", starters())
def test_every_starter_makes(name: str, tmp_path: Path) -> None:
    target = tmp_path / f"{name}.toml"
    assert run("start", name, target).exit_code == 0
    result = run("make", target, "--out", tmp_path)
    assert result.exit_code == 0, result.output


def test_a_corrected_printer_prints_other_bytes_and_can_be_forgotten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FABGEN_SETTINGS", str(tmp_path / "settings.toml"))
    words = ("cope", "--branch", "48.3x3.2", "--onto", "60.3x3.2", "--angle", "60", "--out", tmp_path)
    assert run("printer", "--out", tmp_path).exit_code == 0
    assert list((tmp_path / "printer-test").glob("*.pdf"))
    plain = run(*words)
    template = Path(plain.stdout.splitlines()[-1].removeprefix("template: "))
    as_it_comes = template.read_bytes()
    assert run("printer", "--across", "179.1", "--down", "259.4").exit_code == 0
    run(*words)
    assert template.read_bytes() != as_it_comes
    assert run("printer", "--forget").exit_code == 0
    run(*words)
    assert template.read_bytes() == as_it_comes
    assert run("printer", "--across", "90", "--down", "259.4").exit_code == 2
    (tmp_path / "settings.toml").write_text("[printr]\n")
    assert run(*words).exit_code == 2


def test_sleeves_come_when_asked_for(tmp_path: Path) -> None:
    words = ("cope", "--branch", "48.3x3.2", "--onto", "60.3x3.2", "--angle", "60", "--sleeves", "--out", tmp_path)
    assert run(*words).exit_code == 0
    assert len(list(tmp_path.rglob("*.stl"))) == 1
    assert len(list(tmp_path.rglob("sleeve-how-to-use.txt"))) == 1


RACK = """
[rack]
units = "mm"

[[sheet]]
mark = "S1"
thickness = 6
material = "S235"
size = [600, 300]
"""


def test_the_rack_is_used_booked_and_not_booked_twice(tmp_path: Path) -> None:
    rack = tmp_path / "rack.toml"
    rack.write_text(RACK, encoding="utf-8")
    least = job(tmp_path)
    assert run("make", least, "--rack", rack, "--out", tmp_path / "out").exit_code == 0
    data = json.loads((tmp_path / "out/job/job.json").read_text(encoding="utf-8"))
    assert data["plan"]["sheets"][0]["rack_marks"] == ["S1"]
    assert not [line for line in data["shopping"] if line["item"] == "sheet"]
    booked = run("book", least, "--rack", rack, "--out", tmp_path / "out")
    assert booked.exit_code == 0, booked.output
    assert "marked S1" in booked.stdout
    assert "L-1/1" in rack.read_text(encoding="utf-8")
    assert (tmp_path / "rack.toml.bak").read_text(encoding="utf-8") == RACK
    again = run("book", least, "--rack", rack, "--out", tmp_path / "out")
    assert again.exit_code == 2
    assert "booked already" in again.stderr
    assert run("book", least, "--rack", rack, "--out", tmp_path / "out", "--again", "--anyway").exit_code == 0


def test_a_rack_that_cannot_be_locked_or_read_is_told(tmp_path: Path) -> None:
    least = job(tmp_path)
    assert run("book", least, "--rack", tmp_path / "none.toml").exit_code == 2
    assert run("make", least, "--rack", tmp_path / "none.toml", "--out", tmp_path / "o").exit_code == 2
    assert not (tmp_path / "o").exists()


def test_a_cope_that_misses_altogether_ends_with_1(tmp_path: Path) -> None:
    words = ("cope", "--branch", "48.3x3.2", "--onto", "60.3x3.2", "--angle", "60", "--offset", "60", "--out", tmp_path)
    result = run(*words)
    assert result.exit_code == 1
    assert "STOP" in result.stdout


@pytest.mark.parametrize(("offset", "code"), [("20", 0), ("60", 1)])
def test_a_cope_and_a_job_judge_a_joint_alike(tmp_path: Path, offset: str, code: int) -> None:
    """Partly past its main: look at it; wholly past: stop.  In the same words, but for the main's name."""
    asked = ("--branch", "60.3x3.2", "--onto", "48.3x3.2", "--angle", "90", "--offset", offset)
    cope = run("cope", *asked, "--out", tmp_path)
    assert cope.exit_code == code, cope.output
    tubes = """
[[tube]]
mark = "M"
section = "48.3 x 3.2"
route = [[0, 0, 0], [1000, 0, 0]]
[[tube]]
mark = "K"
section = "60.3 x 3.2"
route = [[500, 0, -{offset}], [500, 600, -{offset}]]
start = {{ onto = ["M"] }}
"""
    header = '[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n'
    checked = run("check", job(tmp_path, header + tubes.format(offset=offset)))
    assert checked.exit_code == code, checked.output
    told = [line for line in checked.output.splitlines() if "  K: " in line and not line.startswith("note")]
    assert len(told) == 2
    for line in told:
        level, text = line.split("  K: ")
        assert f"{level}: {text.replace(' M ', ' 48.3 x 3.2 ')} (" in cope.output.replace("\n", " ")


def test_a_cope_of_a_size_nobody_sells_is_told(tmp_path: Path) -> None:
    result = run("cope", "--branch", "1.5x0.12", "--onto", "60.3x3.2", "--angle", "90", "--out", tmp_path)
    assert 'look: --branch: "1.5 x 0.12" was read as mm: meant "1.5 x 0.12 in"?' in result.output


def test_a_unit_slip_stops(tmp_path: Path) -> None:
    result = run("check", job(tmp_path, LEAST.replace("thickness = 6", "thickness = 0.125")))
    assert result.exit_code == 1
    assert 'STOP  P1: "0.125" was read as mm: meant "0.125 in"?' in result.output


def test_problems_that_stop_the_reading_say_that_checks_follow(tmp_path: Path) -> None:
    result = run("check", job(tmp_path, LEAST.replace("thickness", "thicknes")))
    assert "1 problem; nothing was written\nthe parts are checked" in result.stderr


def test_a_test_strip_comes_with_the_bend_when_asked_for(tmp_path: Path) -> None:
    words = ("bend", "--thickness", "3", "--radius", "3", "--angle", "90", "--coupon", "--out", tmp_path)
    assert run(*words).exit_code == 0
    assert {path.suffix for path in tmp_path.rglob("*") if path.is_file()} == {".pdf", ".dxf"}


def test_files_made_on_request(tmp_path: Path) -> None:
    kerf = LEAST.replace('units = "mm"', 'units = "mm"\nkerf_offset = 1.2')
    result = run("make", job(tmp_path, kerf), "--out", tmp_path / "o", "--order", "--patterns")
    assert result.exit_code == 0
    made = {path.relative_to(tmp_path / "o/job").parts[0] for path in (tmp_path / "o").rglob("*") if path.is_file()}
    assert {"order", "patterns.pdf", "own-cut", "flat"} <= made
    assert "flat/ 1 pattern, wrap/ 0 outlines" in result.stdout
    assert "order/ 1 pack for the cutting service" in result.stdout
    assert "own-cut/ 1 pattern with a kerf of 1.2 mm allowed for" in result.stdout


def test_what_the_kerf_cannot_cut_is_told(tmp_path: Path) -> None:
    small = LEAST.replace('units = "mm"', 'units = "mm"\nkerf_offset = 3')
    small += "holes = [{ at = [20, 20], diameter = 5 }]\n"
    result = run("make", job(tmp_path, small), "--out", tmp_path / "o")
    assert "too small or too tightly rounded for a kerf of 3 mm, hole Ø5 (20 mm from the left" in result.stdout
    told = json.loads((tmp_path / "o/job/job.json").read_text(encoding="utf-8"))["checks"]
    assert [check["rule"] for check in told if "kerf" in check["text"]] == ["kerf"]
