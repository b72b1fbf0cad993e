"""The JSON Schema of a job file, held against the reader by the jsonschema library: what the reader takes passes it,
and slips in keys, words and types are refused by both."""

from __future__ import annotations

import datetime as dt
import json
import random
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import mutated_jobs
import pytest
from jobs import toml
from jsonschema import Draft7Validator
from pydantic import BaseModel
from random_seeds import first_seed, how_many
from typer.testing import CliRunner

from fabgen.app.starters import SCHEMA, samples, starters, write_schema
from fabgen.cli import app
from fabgen.job.errors import JobError
from fabgen.job.key_help.accepted import models_in
from fabgen.job.key_help.job_schema import job_schema, outdates, schema_text
from fabgen.job.key_help.keys_text import key_name, tables, taken_keys
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.table import Case, Table

JOBS = [*starters().values(), *(path for name, path in samples().items() if "rack" not in name)]


@cache
def schema() -> Draft7Validator:
    return Draft7Validator(job_schema())


def written(text: str) -> dict[str, Any]:
    """A job's values as JSON has them: dates as texts."""

    def plain(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: plain(each) for key, each in value.items()}
        if isinstance(value, list):
            return [plain(each) for each in value]
        return value.isoformat() if isinstance(value, dt.date | dt.time) else value

    found = plain(tomllib.loads(text))
    assert isinstance(found, dict)
    return found


def faults(job: dict[str, Any]) -> list[str]:
    return [f"{list(fault.path)}: {fault.message[:200]}" for fault in schema().iter_errors(job)]


def is_read(text: str) -> bool:
    try:
        read_text(text)
    except JobError:
        return False
    return True


def text_of(job: dict[str, Any]) -> str:
    return "\n".join(f"{key} = {quoted(value)}" for key, value in job.items())


def quoted(value: Any) -> str:
    """A value as a file has it, keys and texts with all their characters."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {quoted(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list):
        return f"[{', '.join(map(quoted, value))}]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else toml(value)


# -- it is a schema, and every job passes ----------------------------------------------
def test_it_is_a_schema_of_draft_07() -> None:
    assert job_schema()["$schema"] == "http://json-schema.org/draft-07/schema#"
    Draft7Validator.check_schema(job_schema())
    assert json.loads(schema_text()) == {"$comment": json.loads(schema_text())["$comment"], **job_schema()}


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_samples_and_starters_pass(path: Path) -> None:
    assert faults(written(path.read_text(encoding="utf-8"))) == []


def test_every_key_is_there_with_its_words_and_choices() -> None:
    made = job_schema()
    assert set(made["properties"]) == set(Definitions.model_fields)
    for name, model in tables().items():
        keys = made["definitions"][model.__name__]["properties"]
        assert set(keys) == {key_name(key, field) for key, field in taken_keys(model)}, name
        for key, field in taken_keys(model):
            assert keys[key_name(key, field)].get("description", "") == (field.description or "")
    bracket = made["definitions"]["Bracket"]
    assert bracket["required"] == ["mark", "thickness"]
    assert "clevis" in bracket["properties"]["shape"]["enum"]
    assert bracket["properties"]["clearance"]["default"] == "0.4 mm"
    assert made["definitions"]["BendTest"]["properties"]["angle"]["default"] == "90 deg"
    assert "S355" in made["definitions"]["material"]["anyOf"][0]["enum"]
    assert "M10" in made["definitions"]["bolt"]["anyOf"][0]["enum"]
    assert "UPN 80" in made["definitions"]["profile"]["anyOf"][0]["enum"]


# -- what shapes and kinds ask for -------------------------------------------------------
def all_tables(model: type[BaseModel], seen: set[type[BaseModel]]) -> Iterator[type[Table]]:
    for field in model.model_fields.values():
        for inner in models_in(field.annotation):
            if inner not in seen:
                seen.add(inner)
                if issubclass(inner, Table):
                    yield inner
                yield from all_tables(inner, seen)


CASES = [(model, case) for model in all_tables(Definitions, set()) for case in model.cases()]


@pytest.mark.parametrize(("model", "case"), CASES, ids=lambda each: getattr(each, "__name__", "") or repr(each.word))
def test_what_a_case_says_the_reader_says_too(model: type[Table], case: Case) -> None:
    """Without a needed key, and with each barred one, the table's own rules find fault."""
    word: dict[str, object] = {} if case.word == "" else {case.key: 1 if case.word is None else case.word}
    whole = word | dict.fromkeys(case.needed, 1)

    def said(given: dict[str, object]) -> set[str]:
        return {fault.what for fault in model.faults(given)}

    for key in case.needed:
        less = {name: value for name, value in whole.items() if name != key}
        assert any(key in text for text in said(less) - said(whole)), key
    for key in case.barred:
        assert any(key in text for text in said(whole | {key: 1}) - said(whole)), key


# -- slips: one of each kind in each kind of table ----------------------------------------
HEADER = {"title": "t", "number": "1", "units": "mm"}
TUBE = {"mark": "T1", "section": "40 x 3", "route": [[0, 0, 0], [900, 0, 0]]}
SHEET = {"mark": "P", "thickness": 4}
OTHERS: dict[str, dict[str, Any]] = {
    "job": HEADER,
    "dimensions": {"a": "40 mm"},
    "points": {"A": [0, -200, 0], "B": [900, -200, "a"], "C": {"from": "A", "up": 500}},
    "measuring": {"tape_error": 1},
    "as_built": {"heights": {"A": 3}},
    "material": {"name": "my own", "like": "S235"},
    "frame": {"mark": "F", "shape": "ladder", "section": "40 x 40 x 3", "size": [900, 400], "at": "A", "bars": 3},
    "tube": TUBE,
    "profile": {"mark": "L1", "section": "angle 40 x 40 x 4", "route": [[0, 500, 0], [900, 500, 0]]},
    "node": {"at": "A", "corners": "mitred"},
    "former": {"tube": 40, "radius": 120},
    "link": {"mark": "K", "section": "25 x 3", "length": 400, "rod_ends": ["M12 left", "M12 right"]},
    "rod_end": {"thread": "M12", "shank": 54, "thread_length": 30},
    "plate": SHEET | {"rectangle": [100, 60]},
    "bracket": SHEET | {"shape": "angle", "length": 80, "legs": [40, 30]},
    "cover": SHEET | {"shape": "skirt", "diameter": 300, "height": 90},
    "strap": SHEET | {"width": 30, "round": 60},
    "bar": {"mark": "U", "shape": "U-bolt", "diameter": 10, "around": "60.3 x 3", "height": 120},
    "bush": {"mark": "S", "section": "30 x 4", "length": 40},
    "repeat": {"parts": ["T1"], "count": 2, "step": [0, 300, 0]},
    "mirror": {"parts": "T1", "plane": ["A", "B", "C"]},
    "weld": {"parts": ["T1", "T2"], "throat": 3},
    "bend_test": {"material": "S235", "thickness": 3, "radius": 3, "strip": 100, "legs": [51, 52]},
    "stock": {"section": "40 x 3", "lengths": [6000]},
    "bolt": {"thread": "M10", "through": ["20 mm"]},
    "price": {"item": "tube", "each": 3},
    "saw": {"kerf": 2},
    "consumables": {"process": "tig"},
    "movement": {"clear": 12},
    "body": {"name": "arm", "points": ["A"]},
    "joint": {"name": "pivot", "kind": "hinge", "between": ["arm", "frame"], "at": "A", "axis": "left"},
    "pin": {"at": "A", "axis": [0, 1, 0]},
    "damper": {"name": "shock", "between": ["A", "B"]},
    "wheel": {"name": "W", "on": "arm", "centre": "B", "diameter": 500},
    "sweep": {"name": "travel", "height": "B", "travel": [-50, 50]},
    "envelope": {"name": "caliper", "shape": "box", "at": "B", "size": [40, 60, 80]},
}
"""An entry of every table."""


def job_with(table: str, entry: Any, **besides: Any) -> dict[str, Any]:
    """A job of a tube and what an entry may need, and the entry."""
    job = {key: OTHERS[key] for key in ("job", "dimensions", "points")} | {"tube": [TUBE, TUBE | {"mark": "T2"}]}
    single = table in ("job", "dimensions", "points", "measuring", "as_built", "saw", "consumables", "movement")
    return deepcopy(job | {table: entry if single else [*(job["tube"] if table == "tube" else []), entry]} | besides)


def test_each_table_is_among_the_slips() -> None:
    assert set(OTHERS) == set(Definitions.model_fields)


@pytest.mark.parametrize("table", OTHERS)
def test_slips_are_refused_by_both(table: str) -> None:
    entry = OTHERS[table] | ({"mark": "T3"} if table == "tube" else {})
    for slip, faulty in slips(table, entry):
        job = job_with(table, faulty)
        assert faults(job), slip
        assert not is_read(text_of(job)), slip
    assert faults(job_with(table, entry)) == []
    assert is_read(text_of(job_with(table, entry)))


def slips(table: str, entry: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """An entry with an unknown key, a wrong word and a wrong type in turn, and without each key it needs."""
    yield "wrong type", 7
    if table in ("dimensions", "points"):
        yield "wrong type inside", entry | {"Z": True}
        return
    model = tables()[table]
    yield "unknown key", entry | {"colour": "red"}
    for key, field in taken_keys(model):
        name = key_name(key, field)
        form = schema().schema["definitions"][model.__name__]["properties"][name]
        if field.is_required():
            yield f"no {name}", {other: value for other, value in entry.items() if other != name}
        if "enum" in form:
            yield f"wrong word: {name}", entry | {name: "something else"}
        if name in entry:
            yield f"wrong type: {name}", entry | {name: {"some": {"thing": 1}}}


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("bracket", {"shape": "clevis"}),
        ("bracket", {"web": 40}),
        ("cover", {"shape": "cone"}),
        ("cover", {"shift": [1, 2]}),
        ("frame", {"bays": 3}),
        ("frame", {"shape": "truss"}),
        ("joint", {"kind": "ball", "stiff": ["tilt"]}),
        ("envelope", {"shape": "tyre"}),
        ("strap", {"shape": "arc"}),
        ("bar", {"legs": [40, 40]}),
        ("points", {"D": {"mirror": "B", "side": "above"}}),
        ("plate", {"holes": [{"at": [10, 20, 30], "bolt": "M10"}]}),
        ("plate", {"thickness": -4}),
        ("plate", {"place": {"at": "A", "along": "forward", "upp": "top"}}),
        ("tube", {"mark": "T 3"}),
        ("tube", {"quantity": 0}),
    ],
)
def test_shapes_and_values_that_do_not_go_are_refused_by_both(table: str, change: dict[str, Any]) -> None:
    job = job_with(table, OTHERS[table] | change)
    assert faults(job)
    assert not is_read(text_of(job))


# -- at random: what the reader takes passes ------------------------------------------------
LITTLE: list[Any] = [
    *(
        0,
        -1,
        2.5,
        7,
        "7",
        "12 mm",
        "1/2 in",
        "90 deg",
        True,
        "top",
        "A",
        "M10",
        "48.3 x 3.2",
        "none",
        [1, 2],
        [1, 2, 3],
    ),
    *(["1", "2", "3"], [], {}, {"from": "A", "by": [0, 0, 1]}, [[0, 0], [10, 0], [0, 10]]),
]


def with_other_values(job: dict[str, Any], rng: random.Random) -> None:
    """Values lost, replaced, put in a list or taken out of one, numbers as texts and texts as numbers."""
    where, key = rng.choice(list(places(job)))
    kind = rng.randrange(5)
    if kind == 0:
        del where[key]
    elif kind == 1:
        where[key] = rng.choice(LITTLE)
    elif kind == 2:
        where[key] = [where[key]]
    elif kind == 3 and isinstance(where[key], list) and where[key]:
        where[key] = where[key][0]
    elif isinstance(where[key], int | float):
        where[key] = f"{where[key]} mm"


def places(value: Any) -> Iterator[tuple[Any, Any]]:
    for key in value if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ():
        yield value, key
        yield from places(value[key])


def test_what_the_reader_takes_passes() -> None:
    taken = 0
    first = first_seed(1)
    for seed in range(first, first + how_many(2000, 200)):
        rng = random.Random(seed)
        if seed % 2:
            text, path = mutated_jobs.job_text(seed)
        else:
            path = rng.choice(mutated_jobs.PATHS)
            try:
                job = written(mutated_jobs.thinned(path.read_text(encoding="utf-8"), rng))
            except tomllib.TOMLDecodeError:
                continue
            with_other_values(job, rng)
            text = text_of(job)
        try:
            read_text(text, path)
        except JobError:
            continue
        taken += 1
        assert faults(written(text)) == [], seed
    assert taken > 30


# -- the file -----------------------------------------------------------------------------------
def test_start_writes_it_beside_the_starter(tmp_path: Path) -> None:
    job, kept = tmp_path / "mine.toml", tmp_path / SCHEMA
    told = CliRunner().invoke(app, ["start", "plates", str(job), "--date", "2026-03-14"])
    assert told.exit_code == 0, told.output
    assert f"{kept} written" in told.output
    assert job.read_text(encoding="utf-8").splitlines()[0] == f"#:schema ./{SCHEMA}"
    assert kept.read_text(encoding="utf-8") == schema_text() == CliRunner().invoke(app, ["keys", "--schema"]).output
    assert faults(written(job.read_text(encoding="utf-8"))) == []
    told = CliRunner().invoke(app, ["start", "plates", str(tmp_path / "other.toml")])
    assert SCHEMA not in told.output
    assert CliRunner().invoke(app, ["keys", "tube", "--schema"]).exit_code == 2


def test_an_older_one_is_replaced_and_another_kept(tmp_path: Path) -> None:
    path, now = tmp_path / SCHEMA, schema_text()
    assert write_schema(tmp_path) == path
    assert write_schema(tmp_path) is None
    for kept, is_replaced in (
        (now.replace('by fabgen 0.1.0"', 'by fabgen 0.0.9"'), True),
        (now.replace("thickness", "thicknes"), True),
        (now.replace('by fabgen 0.1.0"', 'by fabgen 99.10"'), False),
        ('{"title": "of another program"}\n', False),
    ):
        assert outdates(now, kept) == is_replaced
        path.write_text(kept, encoding="utf-8")
        write_schema(tmp_path)
        assert path.read_text(encoding="utf-8") == (now if is_replaced else kept)


# -- what such mutations found ------------------------------------------------------------------
def test_a_table_in_place_of_a_list_is_told_where_a_frame_makes_more_of_it() -> None:
    assert not is_read(text_of(job_with("frame", OTHERS["frame"], tube="660 mm")))


def test_a_list_of_marks_where_a_mirrored_place_takes_one_is_told() -> None:
    place = {"against": ["T1"], "at": 200, "side": "top"}
    clevis = SHEET | {"shape": "angle", "length": 80, "legs": [40, 30], "place": place}
    assert not is_read(text_of(job_with("bracket", clevis, mirror=[{"parts": ["P"]}])))
