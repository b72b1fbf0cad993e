"""job.json: the whole job as data (`job.schema.json` says what each key is)."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from fabgen import __version__
from fabgen.changes.issuing import Issuing
from fabgen.changes.trial import Trial
from fabgen.checks.rule import Finding
from fabgen.documents.data.piece_json import piece_data
from fabgen.documents.data.plan_json import plan_data, purchase_data, shopping_keys
from fabgen.job.tables.definitions import Header
from fabgen.job.values.tried import Tried, worded
from fabgen.parts.piece import Piece
from fabgen.parts.survey.check_distances import EVERYWHERE, Reach
from fabgen.plan.plan import Plan

if TYPE_CHECKING:
    from fabgen.contact.contacts import Contacts
    from fabgen.motion.movement import Movement
    from fabgen.parts.survey.following import Survey


VERSION = 2
"""Of the contract, that is of `job.schema.json`: higher where a key goes or changes its meaning; keys may be added."""


def tried_data(tried: Sequence[Tried], units: str) -> list[dict[str, str]]:
    """Dimensions with other figures than the job file's, each with both, in words."""
    return [
        {"name": each.name, "value": worded(each.value).words(units), "in_place_of": worded(each.given).words(units)}
        for each in tried
    ]


def job_json(
    header: Header,
    pieces: Sequence[Piece],
    plan: Plan,
    findings: Sequence[Finding],
    files: Sequence[str] = (),
    movement: Movement | None = None,
    survey: Survey | None = None,
    issue: Issuing | None = None,
    contacts: Contacts | None = None,
    tape: Reach = EVERYWHERE,
    trial: Trial | None = None,
) -> str:
    """The document as text.

    Args:
        findings: of all checks, the gravest first.
        files: all that the output folder holds, relative to it.
        movement: where the job moves.
        survey: where the job has points.
        issue: what has changed since earlier papers, where that is known.
        contacts: what touches what, where that is known.
        tape: where a tape goes on the job.
        trial: what it is made with in place of what the job file says.
    """
    tried = {"tried": tried_data(trial.tried, header.units)} if trial is not None else {}
    document = {
        "fabgen": __version__,
        "version": VERSION,
        "job": {"title": header.title, "number": header.number, "units": header.units} | tried,
        "pieces": [piece_data(piece, header.units) for piece in pieces],
        "plan": plan_data(plan),
        "shopping": [purchase_data(line, header.units) for line in plan.shopping],
        "checks": [finding.data for finding in findings],
        "files": list(files),
    } | shopping_keys(pieces, plan, header.units)
    if movement is not None:
        from fabgen.documents.data.movement_json import movement_keys  # the jobs that move are few

        document |= movement_keys(movement)
    if survey is not None:
        from fabgen.documents.data.measuring_json import measuring_keys

        document |= measuring_keys(survey, tape)
    if issue is not None and issue.says_something:
        document["changes"] = [
            {"since": since.revision, "made": since.made, "how": each.how, "marks": list(each.marks)}
            | {"text": each.said.words(header.units)}
            for since in issue.lists
            for each in since.changes
        ]
    if contacts is not None and contacts.solids:
        from fabgen.documents.data.contact_json import contact_keys

        document |= contact_keys(contacts)
    return _written(document)


def _written(document: dict[str, Any]) -> str:
    """Indented, but each cut line and each value of a fact in one line of text: nobody reads 360 pairs below one
    another."""
    lines: list[str] = []

    def kept(value: Any, key: str = "") -> Any:
        if key == "line" and value:
            return held(value)
        if isinstance(value, dict):
            return {name: kept(part, name) for name, part in value.items()}
        if isinstance(value, list | tuple):
            return [held(part) if key == "values" else kept(part) for part in value]
        return value

    def held(value: Any) -> str:
        lines.append(json.dumps(value, ensure_ascii=False, allow_nan=False))
        return f"{_HELD}{len(lines) - 1}"

    text = json.dumps(kept(document), ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    return re.sub(rf'(?m)^( +(?:"line": )?)"{_HELD}([0-9]+)"', lambda found: found[1] + lines[int(found[2])], text)


_HELD = "\N{REPLACEMENT CHARACTER}line "
"""Stands for what is in one line until all else is written."""
