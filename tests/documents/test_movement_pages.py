"""movement.pdf and the key movement of job.json."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from moving_jobs import SAMPLES, job_of, sample, studied
from page.print_check import outside, overlaps, text_boxes
from typer.testing import CliRunner

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.cli import app
from fabgen.documents.points.movement_pdf import movement_pdf
from fabgen.documents.points.plot import ticks
from fabgen.documents.render.paper import PRINTER, find

CAUGHT = ["caught/loose-arm.toml", "caught/solid-arm.toml"]


@pytest.mark.parametrize("name", ["curlew-arm.toml", *CAUGHT])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_pages_print_clean(name: str, paper: str) -> None:
    text = sample(name)
    movement = studied(text)
    pdf = movement_pdf(job_of(text).job, movement, movement_findings(movement), find(paper))
    assert overlaps(pdf) == []
    assert outside(pdf, PRINTER.left - 1.0) == []
    words = " ".join(box.text for box in text_boxes(pdf))
    assert "movement" in words
    assert words.count("rigid parts") == 1
    assert "were taken as rigid" not in words
    assert pdf == movement_pdf(job_of(text).job, studied(text), movement_findings(movement), find(paper))


def test_make_writes_it_and_lists_it(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["make", str(SAMPLES / "curlew-arm.toml"), "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    data = json.loads((tmp_path / "curlew-arm/job.json").read_text(encoding="utf-8"))
    assert "movement.pdf" in data["files"]
    (sweep,) = data["movement"]["sweeps"]
    assert len(sweep["driver_mm"]) == len(sweep["wheels"][0]["camber_deg"]) == 27
    assert data["movement"]["freedoms"] == 1


@pytest.mark.parametrize("name", CAUGHT)
def test_what_is_caught_ends_with_1(name: str, tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["check", str(SAMPLES / name)])
    assert result.exit_code == 1, result.output
    assert "STOP  movement" in result.output


def test_a_fault_in_a_table_ends_with_2_and_its_line(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(sample("curlew-arm.toml").replace('on = "arm"\ncentre', 'on = "arn"\ncentre'), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert 'there is no body "arn"' in result.output
    assert "nearest: arm" in result.output
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (-60.0, 70.0), (361.1, 490.0), (0.0, 0.0), (-0.003, 0.021)])
def test_ticks_are_round_and_enclose(low: float, high: float) -> None:
    found = ticks(low, high, 6)
    assert found[0] <= low + 1e-9
    assert found[-1] >= high - 1e-9
    assert 2 <= len(found) <= 7
