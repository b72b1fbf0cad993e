"""A changed point changes all that hangs on it: links, tubes, copes, brackets, covers and the cut list."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from fabgen.cli import app

JOB = """
[job]
title = "Fed by points"
number = "FED-1"
units = "mm"
material = "S355"
[points]
A = [0, 400, 0]
B = [1200, 400, 0]
C = [0, -400, 0]
D = [1200, -400, 0]
E = {{ from = "{base}", ahead = 600, left = {left}, up = {up} }}
F = {{ mirror = "E" }}
G = {{ from = "E", by = [-200, -150, -420] }}
[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = ["A", "B"]
[[tube]]
mark = "T2"
section = "60.3 x 3.2"
route = ["C", "D"]
[[tube]]
mark = "T3"
section = "33.7 x 2.6"
route = ["B", "E"]
finish = {{ cut = "plain" }}
[[tube]]
mark = "T4"
section = "42.4 x 2.6"
route = ["E", "F"]
[[link]]
mark = "L1"
section = "25.4 x 4"
between = ["G", "D"]
rod_ends = ["M12 right", "M12 left"]
[[bracket]]
mark = "B1"
shape = "angle"
thickness = 3
length = "E_to_F - 120 mm"
legs = [40, 30]
[[plate]]
mark = "P1"
thickness = 4
rectangle = ["B_to_E / 2", 50]
[[cover]]
mark = "C1"
shape = "cap"
thickness = 2
rectangle = ["G_to_D / 4", 60]
"""


def made(folder: Path, base: str, left: float, up: float) -> dict[str, Any]:
    folder.mkdir()
    job = folder / "fed.toml"
    job.write_text(JOB.format(base=base, left=left, up=up), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(folder)])
    assert result.exit_code in (0, 1), result.output
    loaded: dict[str, Any] = json.loads((folder / "fed" / "job.json").read_text(encoding="utf-8"))
    return loaded | {"wraps": {p.name: p.read_bytes() for p in (folder / "fed" / "wrap").glob("*.dxf")}}


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], dict[str, Any]]:
    folder = tmp_path_factory.mktemp("fed")
    return made(folder / "one", "A", 0, 300), made(folder / "other", "A", 25, 340)


def pieces(data: dict[str, Any]) -> dict[str, Any]:
    return {piece["mark"]: piece for piece in data["pieces"]}


def test_tubes_copes_and_links_follow(both: tuple[dict[str, Any], dict[str, Any]]) -> None:
    one, other = (pieces(data) for data in both)
    for mark in ("T3", "T4", "L1"):
        assert abs(one[mark]["length_mm"] - other[mark]["length_mm"]) > 5.0
    assert one["T1"] == other["T1"] or one["T1"]["length_mm"] == other["T1"]["length_mm"]
    # T3's start sits on T1 at another angle, and is cut along another line.
    assert one["T3"]["ends"][0]["joints"][0]["angle_deg"] != other["T3"]["ends"][0]["joints"][0]["angle_deg"]
    assert one["T3"]["ends"][0]["line"] != other["T3"]["ends"][0]["line"]
    assert both[0]["wraps"]["T3-start.dxf"] != both[1]["wraps"]["T3-start.dxf"]
    # The mirrored point goes with its own: T4 grows by twice what E moves to the left.
    assert other["T4"]["axis_mm"] - one["T4"]["axis_mm"] == pytest.approx(2 * 25)
    assert one["L1"]["facts"]["pin to pin"] != other["L1"]["facts"]["pin to pin"]


def test_brackets_plates_and_covers_that_span_points_follow(both: tuple[dict[str, Any], dict[str, Any]]) -> None:
    one, other = (pieces(data) for data in both)
    sizes = [max(p["B1"]["flat"][key] for key in ("width_mm", "height_mm")) for p in (one, other)]
    assert sizes[0] == pytest.approx(800 - 120)
    assert sizes[1] - sizes[0] == pytest.approx(2 * 25)
    for mark in ("P1", "C1"):
        assert one[mark]["flat"]["width_mm"] != other[mark]["flat"]["width_mm"]


def test_the_cut_list_and_the_plan_follow(both: tuple[dict[str, Any], dict[str, Any]]) -> None:
    for data in both:
        cut = {mark: length for bar in data["plan"]["bars"] for mark, length in bar["cuts"]}
        assert cut["T4"] == pytest.approx(pieces(data)["T4"]["length_mm"])
        assert cut["L1"] == pytest.approx(pieces(data)["L1"]["length_mm"])


def test_measured_lengths_carry_their_tolerance(both: tuple[dict[str, Any], dict[str, Any]]) -> None:
    # 2 mm each way on three readings; T4's length hangs on `left` alone, twice over.
    assert pieces(both[0])["T4"]["facts"]["as measured"] == "± 4 mm between its points"
