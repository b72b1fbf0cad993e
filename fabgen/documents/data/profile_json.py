"""A profile as the key `pieces` of job.json has it."""

from __future__ import annotations

from typing import Any

from fabgen.documents.data.json_figures import in_deg, in_degrees, in_mm, rounded
from fabgen.geometry.profile.sawing import SawStand
from fabgen.parts.piece import LegHole, ProfileEnd, ProfilePart


def profile_data(part: ProfilePart) -> dict[str, Any]:
    """Section, lengths and ends.

    Args:
        part: the shape of the piece.
    """
    found = {"section": part.section.words()} | in_mm(part, "length", "axis")
    found |= {"ends": [_end(end) for end in part.ends]}
    return found | ({"holes": [_hole(hole) for hole in part.holes]} if part.holes else {})


def _hole(hole: LegHole) -> dict[str, Any]:
    return {
        "number": hole.number,
        "face": hole.face,
        "bolt": hole.bolt,
        "size_mm": [rounded(size) for size in hole.size.values],
        "from": hole.datum,
        "gauge_mm": rounded(hole.gauge),
        "along_mm": rounded(hole.along),
        "turn_deg": in_degrees(hole.turn),
    }


def _end(end: ProfileEnd) -> dict[str, Any]:
    faces = [
        {"face": name, "line": [[rounded(across), rounded(back)] for across, back in line.tolist()]}
        for name, line in end.face_lines.items()
    ]
    found: dict[str, Any] = {
        "at": end.at,
        "cut": end.kind,
        "onto": list(end.onto),
        "from_square_deg": in_degrees(end.cut.sawn.from_square),
        "faces": faces,
    }
    if end.bevels:
        found["bevels"] = [
            {"faces": list(bevel.faces)} | in_mm(bevel, "back", "into", "through", "root") for bevel in end.bevels
        ]
    return found | ({"saw": _stand(end.stand)} if end.stand is not None else {})


def _stand(stand: SawStand) -> dict[str, Any]:
    return {"lies_on": stand.lies_on} | in_deg(stand, "swing", "tilt")
