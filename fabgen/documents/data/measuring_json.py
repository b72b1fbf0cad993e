"""The key `measuring` of job.json: points with their tolerances and readings, and the frame as built."""

from __future__ import annotations

from typing import Any

from fabgen.checks.survey.frame_shape import shape_words
from fabgen.documents.data.json_figures import rounded
from fabgen.job.points.as_built import Built
from fabgen.job.values.point import Point
from fabgen.parts.survey.check_distances import EVERYWHERE, Reach, distances
from fabgen.parts.survey.following import Survey
from fabgen.parts.survey.measured import UNHELD, distance_tolerance, place_tolerance

UNHELD_REASON = "the readings do not hold it in this direction: take one more, from another side"


def measuring_keys(survey: Survey, tape: Reach = EVERYWHERE) -> dict[str, Any]:
    """{'measuring': …}; lengths in mm, tolerances of 95 in 100.

    Args:
        survey: the job as drawn and as measured.
        tape: where a tape goes on the job.
    """
    rows, _ = distances(survey.drawn, tape)
    found: dict[str, Any] = {
        "points": {name: _point(point) for name, point in survey.job.points.items()},
        "distances": [
            {
                "from": row.one.name,
                "to": row.other.name,
                "mm": rounded(row.length),
            }
            | _tolerance(distance_tolerance(row.one, row.other))
            for row in rows
        ],
    }
    if survey.built is not None:
        found["as_built"] = _built(survey.built) | {
            "changes": [
                {"mark": c.mark, "drawn_mm": rounded(c.drawn), "saw_mm": rounded(c.saw), "made": c.made}
                for c in survey.changes
                if c.is_any or c.made
            ]
        }
    return {"measuring": found}


def _tolerance(tolerance: float) -> dict[str, Any]:
    """`tolerance_mm`, null with its reason where readings do not hold the length."""
    if tolerance <= UNHELD:
        return {"tolerance_mm": rounded(tolerance)}
    return {"tolerance_mm": None, "tolerance_reason": UNHELD_REASON}


def _point(point: Point) -> dict[str, Any]:
    found: dict[str, Any] = {"at_mm": [rounded(v) for v in point.xyz]}
    if point.scatter:
        tolerance = place_tolerance(point)
        found["tolerance_mm"] = [rounded(v) if v <= UNHELD else None for v in tolerance]
        if max(tolerance) > UNHELD:
            found["tolerance_reason"] = UNHELD_REASON
    if point.record is not None:
        found["how"] = point.record.how
        if point.record.widened > 1.0:
            found["tolerance_widened"] = round(point.record.widened, 2)
        found["readings"] = [
            {"of": r.words, "read_mm": rounded(r.read), "fits_mm": rounded(r.made)} for r in point.record.readings
        ]
        found["remarks"] = [remark.text.words() for remark in point.record.remarks]
    return found


def _built(built: Built) -> dict[str, Any]:
    return {
        "shape": [text.words() for text in shape_words(built)],
        "off_mm": {
            name: [rounded(v) if known else None for v, known in zip(off, held, strict=True)]
            for name, off, held in zip(built.names, built.frame.off, built.frame.held, strict=True)
        },
        "readings": [
            {"of": r.words, "drawn_mm": rounded(r.drawn), "read_mm": rounded(r.read), "fits_mm": rounded(r.made)}
            for r in built.readings
        ],
    }
