"""Every family of parts is known by its model alone: its table, its words, and the module that builds its parts."""

from __future__ import annotations

from importlib import import_module
from inspect import signature

import pytest

from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.part_tables import Part

HEADER = '[job]\ntitle = "t"\nnumber = "n"\nunits = "mm"\n'


def models(of: type[Part] = Part) -> list[type[Part]]:
    return [model for each in of.__subclasses__() for model in (each, *models(each))]


def test_every_model_of_parts_is_in_the_job_file() -> None:
    assert list(FAMILIES.values()) == [
        model.family for table in FAMILIES for model in models() if model.family is FAMILIES[table]
    ]
    assert {id(model.family) for model in models()} == {id(family) for family in FAMILIES.values()}


@pytest.mark.parametrize("table", FAMILIES)
def test_its_module_builds_pieces_of_a_job(table: str) -> None:
    module = import_module(f"fabgen.parts.{FAMILIES[table].built_by}")
    assert list(signature(module.pieces).parameters) == ["job"]
    assert list(module.pieces(Definitions.model_validate({"job": {"title": "t", "number": "n", "units": "mm"}}))) == []


@pytest.mark.parametrize("table", FAMILIES)
def test_a_mark_of_it_is_taken_for_every_family(table: str) -> None:
    other = next(each for each in FAMILIES if each != table)
    text = f'{HEADER}[[{table}]]\nmark = "X"\n[[{other}]]\nmark = "x"\n'
    with pytest.raises(JobError) as caught:
        read_text(text)
    assert any("is taken already by" in problem.what for problem in caught.value.problems)


def test_a_job_without_parts_names_every_family() -> None:
    with pytest.raises(JobError) as caught:
        read_text(HEADER)
    (problem,) = caught.value.problems
    assert problem.what == "the job has no part"
    assert problem.accepted == "at least one of " + ", ".join(f"[[{table}]]" for table in FAMILIES)
