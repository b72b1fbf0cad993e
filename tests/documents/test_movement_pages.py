"""movement.pdf and the key movement of job.json."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from moving_jobs import SAMPLES, job_of, sample, studied
from page.print_check import outside, overlaps, text_boxes
from typer.testing import CliRunner

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.cli import app
from fabgen.documents.points.movement_pdf import (
    clearance_table,
    movement_pdf,
    steady_clearances,
    steady_text,
    swept_plots,
    swept_tables,
)
from fabgen.documents.points.plot import ticks
from fabgen.documents.render.paper import PRINTER, find
from fabgen.motion.keep_out import Clearance
from fabgen.motion.movement import Movement
from fabgen.motion.travel import SweepResult

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


# -- what does not change -------------------------------------------------------------------
@cache
def arm() -> Movement:
    return studied(sample("curlew-arm.toml"))


def _arm(**columns: list[float]) -> SweepResult:
    """The arm's travel with some of its figures put in place of its own."""
    result = arm().sweeps[0]
    (wheel,) = result.wheels
    return replace(result, wheels=(replace(wheel, **{key: np.array(values) for key, values in columns.items()}),))


def test_a_figure_that_stays_the_same_has_a_line_and_no_graph_nor_column() -> None:
    movement = arm()
    count = len(movement.sweeps[0].driver)
    changing = _arm(toe=[0.01 * i for i in range(count)])
    flat = _arm(toe=[math.radians(0.25)] * count)
    size = (80.0, 46.0)
    assert len(swept_plots(movement, changing, size)) == len(swept_plots(movement, flat, size)) + 1
    assert "toe 0.25°" in steady_text(flat, "mm")
    assert "toe" not in steady_text(changing, "mm")
    heads = [head for table, _ in swept_tables(movement, flat) for head in table]
    assert "toe, °" not in heads
    assert any(head == "toe, °" for table, _ in swept_tables(movement, changing) for head in table)


@pytest.mark.parametrize(("change", "steady"), [(0.004, True), (0.006, False)])
def test_steady_is_what_its_last_printed_decimal_does_not_show(change: float, steady: bool) -> None:
    """Toe and camber are printed to 0.01 degrees: half of that, and a fifth less and more."""
    count = len(arm().sweeps[0].driver)
    result = _arm(camber=list(np.radians(np.linspace(1.0, 1.0 + change, count))))
    assert ("camber" in steady_text(result, "mm")) is steady


def test_pairs_that_do_not_move_against_one_another_are_counted_unless_they_are_too_near() -> None:
    movement = arm()
    count = len(movement.sweeps[0].driver)

    def pair(name: str, first: float, last: float, wanted: float = 10.0) -> Clearance:
        points = np.zeros((count, 2, 3))
        return Clearance("wheel", name, wanted, np.linspace(first, last, count), points, points[0])

    near = (pair("arm", 20.0, 20.0), pair("frame", 20.0, 60.0), pair("caliper", 4.0, 4.0), pair("far", 170.0, 190.0))
    changed = replace(movement, clearances=(near,))
    _, rows = clearance_table(changed, movement.sweeps[0], 0)
    assert [row[1] for row in rows] == ["frame", "caliper"]
    said = steady_clearances(changed, movement.sweeps[0], 0)
    assert said == "1 pair does not move against one another in this travel; it keeps its clearance."
    assert [row[1] for row in clearance_table(changed, None, 0)[1]] == ["arm", "frame", "caliper"]
