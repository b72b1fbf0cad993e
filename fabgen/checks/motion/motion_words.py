"""Motions in words: which body turns about which axis, or slides where."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fabgen.geometry.mechanics.mechanism import Screw
from fabgen.geometry.space.frame import Array
from fabgen.motion.linkage import Linkage
from fabgen.motion.travel import SweepResult
from fabgen.parts.shape.directions import array
from fabgen.wording.sentence import Sentence, changes, joined, mm, sentence

_ON_AXIS = 1.0
"""Points nearer to an axis than this lie on it, mm."""
_AXES = (
    (np.array([1.0, 0.0, 0.0]), "fore and aft (along x)"),
    (np.array([0.0, 1.0, 0.0]), "across (along y)"),
    (np.array([0.0, 0.0, 1.0]), "up and down (along z)"),
)
_STRAIGHT = math.cos(math.radians(1.0))


def motion_text(linkage: Linkage, motion: Sequence[Screw]) -> Sentence:
    """'arm turns about the line through PIVOT and LINK; hub slides across (along y)'."""
    return joined("; ", (screw_text(linkage, screw) for screw in motion))


def screw_text(linkage: Linkage, screw: Screw) -> Sentence:
    """One body's part of a motion."""
    name = linkage.mechanism.bodies[screw.body]
    if not screw.turns:
        return sentence(f"{name} slides {direction_text(screw.along)}")
    turns = f"{name} turns about {axis_text(linkage, screw)}"
    a_degree = abs(math.radians(screw.pitch))
    if a_degree > 1e-3:
        places = max(0, 1 - math.floor(math.log10(a_degree)))
        return sentence(turns, " and slides ", mm(a_degree, places), " along it a degree")
    return sentence(turns)


def axis_text(linkage: Linkage, screw: Screw) -> str:
    """The axis by the job's named points on it, else by a point and a direction."""
    on = points_on(linkage, screw)
    if len(on) >= 2:
        ends = sorted(on, key=lambda name: float(screw.along @ array(linkage.job.points[name])))
        return f"the line through {ends[0]} and {ends[-1]}"
    if on:
        return f"a line through {on[0]} that runs {direction_text(screw.along)}"
    x, y, z = screw.at
    return f"a line through ({x:.0f}, {y:.0f}, {z:.0f}) that runs {direction_text(screw.along)}"


def points_on(linkage: Linkage, screw: Screw) -> list[str]:
    """Names of the job's points on the axis."""
    return [
        name
        for name, point in linkage.job.points.items()
        if float(np.linalg.norm(np.cross(array(point) - screw.at, screw.along))) < _ON_AXIS
    ]


def direction_text(along: Array) -> str:
    for axis, words in _AXES:
        if abs(float(axis @ along)) > _STRAIGHT:
            return words
    x, y, z = along if along[int(np.argmax(np.abs(along)))] > 0.0 else -along
    return f"along ({x:.2f}, {y:.2f}, {z:.2f})"


def driver_text(result: SweepResult, at: int) -> Sentence:
    """'height of W +60.0 mm': where its driver stands in a position of a travel."""
    return driver_at(result, float(result.driver[at]))


def driver_at(result: SweepResult, driver: float) -> Sentence:
    """The same of any change of its driver, mm."""
    return sentence(f"{result.words} ", changes(driver))
