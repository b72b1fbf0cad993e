"""job.json keeps to its schema (JSON Schema, draft 2020-12), and loses no fact."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from fabgen.app.work import WorkedJob, built, planned, work_on
from fabgen.documents.data.job_json import VERSION, job_json
from fabgen.job.reader import read_text
from fabgen.plan.effort import Effort

ROOT = Path(__file__).parents[2]
SAMPLES = sorted(
    path
    for folder in ("templates", "sample_parts")
    for path in ROOT.glob(f"{folder}/**/*.toml")
    if "rack" not in path.parts
)
SCHEMA: dict[str, Any] = json.loads(files("fabgen.documents.data").joinpath("job.schema.json").read_text("utf-8"))

EVERY_FAMILY = """
[job]
title = "Bench stand"
number = "IN-1"
units = "in"
[points]
A = [0, 0, 0]
B = [40, 0, 0]
C = [12, 0, 0]
D = [20, 0, "1' 6 1/2\\""]
E = [40, 10, 0]
F = [0, 10, 0]
[[tube]]
mark = "T1"
section = "1 3/4 x 0.120"
route = ["A", "B"]
[[tube]]
mark = "T2"
section = "1 1/2 x 0.095"
route = ["C", "D"]
start = { opens = true }
[[tube]]
mark = "T3"
section = "1 x 1 x 0.083"
route = ["B", "E", "F"]
bend_radius = 3
[[profile]]
mark = "A1"
section = "angle 1 1/2 x 1 1/2 x 1/8 in"
route = [[0, 30, 0], [20, 30, 0]]
legs = ["top", "left"]
[[profile]]
mark = "A2"
section = "angle 1 1/2 x 1 1/2 x 1/8 in"
route = [[20, 30, 0], [20, 50, 0]]
legs = ["top", "back"]
[[profile]]
mark = "A3"
section = "flat 1 1/2 x 1/4 in"
route = [[10, 30, 1], [10, 50, 1]]
[[plate]]
mark = "P1"
thickness = "3/16"
rectangle = [4, "2 1/2"]
holes = [{ at = [1, 1], bolt = "3/8" }]
[[link]]
mark = "L1"
length = "16 1/4"
section = "1 x 0.156"
load = "10 kN"
rod_ends = [{ thread = "M12 right", rating = "8 kN" }, { thread = "M12 left", rating = "40 kN" }]
[[bracket]]
mark = "B1"
thickness = "1/8"
base = [4, 3]
flanges = [{ edge = 2, height = 1 }, { edge = 4, height = 1, angle = 45 }]
[[cover]]
mark = "C1"
shape = "skirt"
thickness = "1/16"
diameter = 5
height = 2
[[bar]]
mark = "U1"
shape = "U-bolt"
diameter = "3/8"
around = "T1"
ends = { thread = "3/8-16 UNC" }
[[bolt]]
thread = "3/8-16 UNC"
through = ["P1", 0.5]
quantity = 4
[as_built]
distances = [["A", "B", "39 15/16"], ["B", "E", 10], ["E", "F", 40], ["A", "F", 10], ["A", "E", 41.25],
             ["B", "F", 41.2]]
made = ["T3"]
"""


def told(work: WorkedJob) -> dict[str, Any]:
    """The document of a job worked through, as it is read back."""
    header = work.job.definitions.job
    text = job_json(header, work.pieces, work.plan, work.findings, ["job.json"], work.movement, work.survey, None,
                    work.contacts)  # fmt: skip
    found: dict[str, Any] = json.loads(text)
    return found


@pytest.fixture(scope="module")
def every() -> dict[str, Any]:
    """The document of a job with every family."""
    loaded = read_text(EVERY_FAMILY)
    return told(planned(loaded, built(loaded), None))


def closed(schema: Any) -> Any:
    """The schema with no room for a key that it does not describe."""
    if isinstance(schema, list):
        return [closed(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    parts = {key: closed(part) for key, part in schema.items()}
    return parts | {"additionalProperties": False} if isinstance(parts.get("properties"), dict) else parts


STRICT = Draft202012Validator(closed(SCHEMA))


def faults(document: dict[str, Any]) -> list[str]:
    return [
        f"{'/'.join(map(str, fault.absolute_path))}: {fault.message[:200]}" for fault in STRICT.iter_errors(document)
    ]


def test_the_schema_is_one_and_says_what_each_key_is() -> None:
    Draft202012Validator.check_schema(SCHEMA)

    def undescribed(schema: Any, path: str) -> list[str]:
        found = []
        for key, part in schema.get("properties", {}).items():
            if "description" not in part and "$ref" not in part:
                found.append(f"{path}/{key}")
            found += undescribed(part, f"{path}/{key}")
        items = schema.get("items")
        return found + (undescribed(items, path) if isinstance(items, dict) else [])

    assert not undescribed(SCHEMA, "")
    for name, part in SCHEMA["$defs"].items():
        assert "description" in part, name
        assert not undescribed(part, name)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_samples_and_starters_keep_to_it(path: Path) -> None:
    assert not faults(told(work_on(path, effort=Effort.QUICK)))


def test_a_job_on_the_rack_keeps_to_it() -> None:
    document = told(
        work_on(ROOT / "sample_parts/curlew-trailer.toml", ROOT / "sample_parts/rack/rack.toml", Effort.QUICK)
    )
    assert document["on_hand"]
    assert not faults(document)


def test_every_family_in_inches_with_a_frame_as_built_keeps_to_it(every: dict[str, Any]) -> None:
    assert {piece["kind"] for piece in every["pieces"]} == {
        "tube",
        "profile",
        "link",
        "plate",
        "bracket",
        "cover",
        "bar",
    }
    assert every["measuring"]["as_built"]["changes"]
    assert not faults(every)


def test_it_is_numbered_as_its_schema() -> None:
    assert SCHEMA["properties"]["version"]["const"] == VERSION


@pytest.mark.parametrize(
    ("key", "wrong"),
    [("version", VERSION + 1), ("pieces", [{"mark": "T1"}]), ("checks", [{"level": "grave"}]), ("of our own", 1)],
)
def test_what_does_not_keep_to_it_is_found(every: dict[str, Any], key: str, wrong: Any) -> None:
    assert faults(every | {key: wrong})


# -- facts --------------------------------------------------------------------------
def test_twin_labels_lose_no_fact(every: dict[str, Any]) -> None:
    pieces = {piece["mark"]: piece for piece in every["pieces"]}
    ratings = pieces["L1"]["facts"]["M12 x 1.75 rod end's static rating"].split("\n")
    assert [text.split(" (")[0] for text in ratings] == [
        "at 1798 lbf [8 kN], 0.8 times the load",
        "at 8992 lbf [40 kN], 4 times the load",
    ]
    rated = [value for value in pieces["L1"]["values"] if value["key"] == "rod-end-rating" and value["name"] == "bears"]
    assert [(value["value"], value["unit"]) for value in rated] == [(8000.0, "N"), (40000.0, "N")]
    turns = pieces["B1"]["facts"]["bends"].split("\n")
    assert [text.split(",")[0] for text in turns] == ["1 x 90°", "1 x 45°"]
    angles = [v for v in pieces["B1"]["values"] if v["key"] == "bends" and v["name"] == "angle"]
    assert [(value["value"], value["unit"]) for value in angles] == [(90.0, "deg"), (45.0, "deg")]


def test_values_are_exact_in_mm_whatever_the_job_is_worked_in(every: dict[str, Any]) -> None:
    (link,) = (piece for piece in every["pieces"] if piece["mark"] == "L1")
    assert link["facts"]["pin to pin"] == '16 1/4" [412.8 mm]'
    value = next(value for value in link["values"] if value["key"] == "pin-to-pin")
    assert value == {"key": "pin-to-pin", "label": "pin to pin", "value": 412.75, "unit": "mm"}


def test_what_is_bought_has_its_fields(every: dict[str, Any]) -> None:
    lines = every["shopping"]
    tubes = {(line["section"], line["length_mm"]) for line in lines if line["item"] == "tube"}
    assert ("44.45 x 3.05", 6096.0) in tubes
    (bolt,) = (line for line in lines if line["item"] == "bolt")
    found = (bolt["thread"], bolt["length_mm"], bolt["strength"], bolt["standard"])
    assert found == ("3/8-16 UNC", pytest.approx(25.4 * 1.5), "grade 5", "ASME B18.2.1")
