"""How much thread must be engaged, and what a thread bears, by the materials of screw and nut.

Shear areas a mm of engagement and the length at which the screw breaks before either thread
strips: Machinery's Handbook, 'Length of engagement of mating threads' (same as FED-STD-H28/2B;
from memory, edition not at hand), for the threads' least favourable limits of ISO 965-1, class
6g in 6H (formulas of the tolerances from memory); inch threads are calculated alike, their own
limits being close.  Stress area: ISO 898-1, A = pi/4 ((d2 + d3) / 2)^2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from fabgen.shop.tables import data
from fabgen.shop.threads import Thread, coarse_pitch

HANDBOOK = "Machinery's Handbook, length of engagement of mating threads; from memory, edition not at hand"
PRACTICE = "common practice, no source"
CLASS = "8.8"
"""The property class taken for a shank whose class is not given (ISO 898-1): the hard case for the nut."""


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """Limits that leave the least metal, mm: of the screw its major and pitch diameter, of the nut its pitch and
    minor diameter."""

    screw_major: float
    screw_pitch: float
    nut_pitch: float
    nut_minor: float


def limits(thread: Thread) -> ThreadLimits:
    """The limits of 6g in 6H that leave the least metal.

    Args:
        thread: of screw and nut.
    Source: ISO 965-1, formulas of the tolerances (from memory).
    """
    d, p = thread.diameter, thread.pitch
    pitch_diameter = d - 0.75 * math.sqrt(3.0) / 2.0 * p
    allowance = (15.0 + 11.0 * p) / 1000.0
    pitch_tolerance = 0.090 * p**0.4 * d**0.1
    major_tolerance = 0.180 * p ** (2.0 / 3.0) - 0.00315 / math.sqrt(p)
    minor_tolerance = 0.230 * p**0.7 if p >= 1.0 else 0.433 * p - 0.190 * p**1.22
    return ThreadLimits(
        screw_major=d - allowance - major_tolerance,
        screw_pitch=pitch_diameter - allowance - pitch_tolerance,
        nut_pitch=pitch_diameter + 1.32 * pitch_tolerance,
        nut_minor=thread.core + minor_tolerance,
    )


def stress_area(thread: Thread) -> float:
    """Area that a pull on the screw is calculated with, mm2.

    Args:
        thread: of the screw.
    Source: ISO 898-1; inch threads ASME B1.1.
    """
    if thread.series != "M":
        return math.pi / 4.0 * (thread.diameter - 0.9743 * thread.pitch) ** 2
    h = math.sqrt(3.0) / 2.0 * thread.pitch
    return math.pi / 4.0 * (thread.diameter - 0.75 * h / 2.0 - (1.25 + 1.0 / 6.0) * h / 2.0) ** 2


def screw_shear(thread: Thread) -> float:
    """Area in shear of the screw's thread, mm2 a mm of engagement.

    Args:
        thread: of screw and nut.
    Source: Machinery's Handbook, length of engagement of mating threads (from memory).
    """
    at = limits(thread)
    half = thread.pitch / 2.0 + (at.screw_pitch - at.nut_minor) / math.sqrt(3.0)
    return math.pi / thread.pitch * at.nut_minor * half


def nut_shear(thread: Thread) -> float:
    """Area in shear of the nut's thread, mm2 a mm of engagement.

    Args:
        thread: of screw and nut.
    Source: Machinery's Handbook, length of engagement of mating threads (from memory).
    """
    at = limits(thread)
    half = thread.pitch / 2.0 + (at.screw_major - at.nut_pitch) / math.sqrt(3.0)
    return math.pi / thread.pitch * at.screw_major * half


def breaking_engagement(thread: Thread, screw: float, nut: float) -> float:
    """Length at which the screw breaks before either thread strips, mm.

    Args:
        thread: of screw and nut.
        screw: tensile strength of the screw, MPa.
        nut: tensile strength of the nut, MPa.
    Source: Machinery's Handbook, length of engagement of mating threads (from memory).
    """
    area = stress_area(thread)
    alike = 2.0 * area / screw_shear(thread)
    harder = screw_shear(thread) * screw / (nut_shear(thread) * nut)
    return alike * max(1.0, harder)


def practice_engagement(thread: Thread, soft: bool) -> float:
    """The diameter in steel, one and a half times it in aluminium, mm (common practice, no source).

    Args:
        thread: of screw and nut.
        soft: whether the nut is of aluminium.
    """
    return thread.diameter * (1.5 if soft else 1.0)


@dataclass(frozen=True, slots=True)
class TappedEngagement:
    """Thread that must be engaged in a tapped part, as a multiple of the diameter; None where the table has none."""

    times: float | None
    source: str


def tapped_engagement(thread: Thread, grade: str, soft: bool, tensile: float | None) -> TappedEngagement:
    """How much of a bolt's thread must be engaged in a tapped part.

    Args:
        thread: of the bolt.
        grade: its property class or grade, '8.8', 'A2-70', 'grade 8'.
        soft: whether the part is of aluminium.
        tensile: strength of the part, MPa; None takes the table's weakest steel.
    Source: Bossard technical tables F.039, coarse and fine threads, without countersink.
    """
    metal, column = "aluminium" if soft else "steel", _COLUMNS.get(grade, "8.8")
    for row in data("thread_engagement")["row"]:
        if row["metal"] == metal and (tensile or 0.0) >= row["least_tensile"]:
            coarse_fine = row["grades"].get(column)
            coarse = thread.series == "UNC" or (thread.series == "M" and thread.pitch == coarse_pitch(thread.diameter))
            return TappedEngagement(None if coarse_fine is None else coarse_fine[not coarse], row["source"])
    raise AssertionError(metal)


_COLUMNS = {"10.9": "10.9", "grade 8": "10.9", "12.9": "12.9"}
"""The table's column for a bolt's class; 8.8 stands for all weaker ones."""


_BY_GRADE = {
    "A2-70": (700.0, 450.0),
    "A4-70": (700.0, 450.0),
    "A4-80": (800.0, 600.0),
    "grade 5": (827.0, 634.0),
    "grade 8": (1034.0, 896.0),
}
"""Stainless by ISO 3506-1; inch bolts by SAE J429, 120 over 92 and 150 over 130 ksi, up to 1 in; from memory."""


def class_strengths(name: str) -> tuple[float, float]:
    """Tensile and yield strength by a property class or grade, MPa.

    Args:
        name: such as '8.8', which is 800 and 640; 'A2-70'; 'grade 8'.
    Raises:
        ValueError: the name is none.
    Source: ISO 898-1's own way of naming; ISO 3506-1 and SAE J429 for the rest, from memory.
    """
    if known := _BY_GRADE.get(name.strip()):
        return known
    first, _, second = name.strip().partition(".")
    if not (first.isdigit() and second.isdigit() and 3 <= int(first) <= 14 and 4 <= int(second) <= 9):
        raise ValueError(f"{name[:20]!r} is no property class")
    tensile = 100.0 * int(first)
    return tensile, tensile * int(second) / 10.0
