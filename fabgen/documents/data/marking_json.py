"""How tubes are marked, as job.json tells it: a saw set-up of an end, a hole in a main."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from fabgen.documents.data.json_figures import rounded
from fabgen.documents.dxf.flat_dxf import hole_name
from fabgen.parts.piece import Opening, SawSetup


def saw_json(setup: SawSetup | None) -> dict[str, Any]:
    """{"saw": {…}} with the keys of `SawSetup` that say something; {} where there is none."""
    if setup is None:
        return {}
    return {"saw": {key: value for key, value in asdict(setup).items() if value is not None and key != "brief"}}


def hole_json(hole: Opening) -> dict[str, Any]:
    """One hole: whose bore, where its centre lies, its edge as [[round, along], …] and its file.

    Millimetres: round the main to the right of its top line, along it from its start's saw cut.
    """
    points = zip(hole.edge.station.tolist(), hole.edge.along.tolist(), strict=True)
    return {
        "for": hole.branch,
        "at": hole.at,
        "bore": hole.bore_size.words(),
        "angle_deg": round(math.degrees(hole.angle), 4),
        "centre_mm": [rounded(value) for value in hole.edge.centre],
        "edge": [[rounded(station), rounded(along)] for station, along in points],
        "dxf": f"wrap/{hole_name(hole)}",
    }
