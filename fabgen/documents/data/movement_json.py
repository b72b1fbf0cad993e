"""The key `movement` of job.json: freedoms, travels and clearances as data."""

from __future__ import annotations

from typing import Any

import numpy as np

from fabgen.checks.motion.motion_words import motion_text
from fabgen.documents.data.json_figures import rounded
from fabgen.geometry.space.frame import Array
from fabgen.motion.keep_out import Clearance
from fabgen.motion.movement import Movement
from fabgen.motion.travel import SweepResult


def movement_keys(movement: Movement) -> dict[str, Any]:
    """{'movement': …}."""
    found: dict[str, Any] = {}
    if movement.mobility is not None:
        found |= {
            "freedoms": movement.mobility.freedoms,
            "lasting": movement.mobility.lasting,
            "wanted": movement.linkage.wanted,
            "free": [motion_text(movement.linkage, motion).words() for motion in movement.free],
            "holds_twice": [{"of": list(g.owners), "times": g.count} for g in movement.mobility.overheld],
        }
    found["sweeps"] = [_sweep(result) for result in movement.sweeps]
    found["clearances"] = [
        [_clearance(clear, movement.sweeps[number] if movement.sweeps else None) for clear in listed]
        for number, listed in enumerate(movement.clearances)
    ]
    return {"movement": found}


def _sweep(result: SweepResult) -> dict[str, Any]:
    return {
        "name": result.name,
        "driver": result.words,
        "held_mm": {name: rounded(change) for name, change in result.held.items()},
        "driver_mm": _figures(result.driver),
        "ends": [[rounded(reached), why] for reached, why in result.ends],
        "wheels": [
            {
                "name": wheel.name,
                "camber_deg": _figures(np.degrees(wheel.camber)),
                "toe_deg": _figures(np.degrees(wheel.toe)),
                "track_mm": _figures(wheel.outward),
                "wheelbase_mm": _figures(wheel.forward),
                "height_mm": _figures(wheel.height),
            }
            for wheel in result.wheels
        ],
        "dampers_mm": {name: _figures(length) for name, length in result.dampers.items()},
        "balls": [
            {"of": tilt.mark, "at": tilt.at, "angle_deg": _figures(np.degrees(tilt.angle))} for tilt in result.tilts
        ],
        "bushes": [
            {"of": give.joint, "endwise_mm": _figures(give.endwise), "tilt_deg": _figures(np.degrees(give.tilt))}
            for give in result.gives
        ],
        "watched_mm": {name: [_figures(at) for at in path] for name, path in result.watched.items()},
    }


def _clearance(clear: Clearance, result: SweepResult | None) -> dict[str, Any]:
    found = {
        "one": clear.one,
        "other": clear.other,
        "least_mm": rounded(clear.least),
        "wanted_mm": rounded(clear.wanted),
        "near_mm": _figures(clear.points.mean(axis=0)),
    }
    return found if result is None else found | {"at_driver_mm": rounded(clear.driver(result.driver))}


def _figures(values: Array) -> list[float]:
    return [rounded(value) for value in values]
