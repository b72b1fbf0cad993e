"""What touches what, and where sheet could be welded, as data."""

from __future__ import annotations

from typing import Any

from fabgen.contact.contacts import Contacts, Pair
from fabgen.contact.solids import Solid
from fabgen.contact.weld_lines import WeldLine


def contact_keys(contacts: Contacts) -> dict[str, Any]:
    """The keys of job.json on contacts.

    Args:
        contacts: of the job.
    """
    return {
        "contacts": [_pair(pair) for pair in contacts.pairs],
        "sheet_welds": [_weld(line) for line in contacts.weld_lines],
    }


def _pair(pair: Pair) -> dict[str, Any]:
    deep = {} if pair.into is None else {"deep_mm": pair.into.deepest.deep, "at_mm": pair.into.deepest.middle.tolist()}
    return _two(pair.one, pair.other) | {"how": pair.how, "gap_mm": pair.gap} | deep


def _weld(line: WeldLine) -> dict[str, Any]:
    return _two(line.one, line.other) | {"kind": line.kind, "runs_mm": list(line.runs)}


def _two(one: Solid, other: Solid) -> dict[str, Any]:
    return {"one": _named(one), "other": _named(other)}


def _named(solid: Solid) -> dict[str, Any]:
    return {"name": solid.mark, "place": solid.number + 1}
