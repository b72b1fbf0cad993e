"""Small jobs for tests: a table or a text in, pieces and findings out, each job made once."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any

from fabgen.checks.checked import Checked
from fabgen.checks.closed_members import closed_tube
from fabgen.checks.registry import groups
from fabgen.checks.rule import Finding, Rule
from fabgen.checks.sheet import sheet_bends, sheet_holes, sheet_outline
from fabgen.checks.tube import tube_bends
from fabgen.checks.tube.access import weld_access
from fabgen.checks.tube.clashes import foot_past_end, tubes_cross
from fabgen.checks.tube.ends import cope_sizes, tube_ends
from fabgen.checks.tube.mitre_outlines import mitre_step
from fabgen.job.document import own_materials
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import FAMILIES, Definitions
from fabgen.job.tables.fields import Context
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.plan.job_plan import plan_job

HEADER = {"title": "t", "number": "1", "units": "mm"}
AnyRule = Rule[Any]

TUBE_RULES: tuple[AnyRule, ...] = (
    *(*tube_ends.RULES, *cope_sizes.RULES, *tube_bends.RULES, closed_tube, tube_ends.solid_square),
    *(foot_past_end, tubes_cross, weld_access, mitre_step),
)
FLAT_RULES: tuple[AnyRule, ...] = (*sheet_outline.RULES, *sheet_holes.RULES, *sheet_bends.RULES)


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    """The table of a tube."""
    return {"mark": mark, "section": section, "route": [list(point) for point in route], **keys}


def tubes_text(*tubes: dict[str, Any], **job: Any) -> str:
    """The text of a job of these tubes; `job` are keys of its header."""
    lines = ["[job]", *(f"{key} = {toml(value)}" for key, value in (HEADER | job).items())]
    for each in tubes:
        lines += ["[[tube]]", *(f"{key} = {toml(value)}" for key, value in each.items())]
    return "\n".join(lines)


def toml(value: Any) -> str:
    """A value as a job file has it."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(each)}" for key, each in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else str(value)


def definitions(job: dict[str, Any] | None = None, **tables: Any) -> Definitions:
    """A job of these tables; `job` are keys of its header."""
    return _definitions(json.dumps({"job": HEADER | (job or {}), **tables}))


@cache
def _definitions(text: str) -> Definitions:
    data = json.loads(text)
    marks = frozenset(part["mark"] for table in FAMILIES for part in data.get(table, []))
    context = Context(data["job"]["units"], materials=own_materials(data), marks=marks)
    return Definitions.model_validate(data, context=context)


@cache
def read(text: str) -> Definitions:
    """The job in a text."""
    return read_text(text).definitions


def checked(job: Definitions | str, planned: bool = False) -> Checked:
    """A job with its pieces, and its plan where that is wanted, as the checks see it."""
    given = read(job) if isinstance(job, str) else job
    pieces = pieces_of(given)
    return Checked(given, pieces, plan_job(given, pieces)) if planned else Checked(given, pieces)


def pieces_of(job: Definitions) -> Sequence[Piece]:
    """The pieces of a job; built once for each."""
    key = id(job)
    if key not in _BUILT:
        _BUILT[key] = (job, all_pieces(job))
    return _BUILT[key][1]


_BUILT: dict[int, tuple[Definitions, Sequence[Piece]]] = {}
"""The job is kept beside its pieces, so that no other has its id."""


def findings(of: Checked, rules: Iterable[AnyRule] | None = None) -> list[Finding]:
    """What some rules, or all, find on a job, in the order of the registry."""
    wanted = None if rules is None else list(rules)
    return [
        finding
        for group in groups(of.movement is not None)
        for subject in group.subjects(of)
        for rule in group.rules
        if wanted is None or rule in wanted
        for finding in rule(subject)
    ]


def made_by_hand(*pieces: Piece, **header: Any) -> Checked:
    """Pieces that no family made, in a job of that header."""
    return Checked(definitions(header), pieces)
