"""Gauge lines, back marks: how far from the heel bolt holes stand in the legs of profiles; figures in
data/gauge_lines.toml."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.shop.profiles.standard_sizes import SAME, in_inches
from fabgen.shop.tables import inches, table
from fabgen.wording.inches import INCH

Leg = Literal["a", "b", "web", "flange a", "flange b", "stem", "face"]
Datum = Literal["heel", "back", "middle"]
"""What a gauge is measured from: an angle's heel; the back of a channel's web or the outside of a T's flange; the
middle of a web, a T's flange or a flat bar."""

MIDDLE = "common practice, no source: the middle of the flat beside the other leg"


@dataclass(frozen=True, slots=True)
class GaugeLine:
    """A leg's gauge: its `distance` from its datum, mm, and where it is from."""

    distance: float
    source: str


def legs_of(section: ProfileSection) -> tuple[Leg, ...]:
    """The parts of a section that are drilled, by the names that a job gives them; () of round and hexagon bar.

    Args:
        section: of the profile.
    """
    legs: dict[str, tuple[Leg, ...]] = {
        "angle": ("a", "b"),
        "channel": ("web", "flange a", "flange b"),
        "T": ("flange a", "flange b", "stem"),
        "flat": ("face",),
        "square bar": ("face",),
    }
    return legs.get(section.kind, ())


def datum_of(section: ProfileSection, leg: Leg) -> Datum:
    """What the gauge of a leg is measured from.

    Args:
        section: of the profile.
        leg: one of `legs_of`.
    """
    if section.kind == "angle":
        return "heel"
    return "back" if leg == "stem" or (section.kind == "channel" and leg != "web") else "middle"


def usual_gauge(section: ProfileSection, leg: Leg) -> GaugeLine:
    """The gauge line of a leg by the tables; of a size that they do not hold the middle of the flat beside the other
    leg, to the whole mm or, of inch sizes, the 1/16 in; of a web and a flat bar its middle.

    Args:
        section: of the profile.
        leg: one of `legs_of`.
    """
    if section.kind in ("flat", "square bar") or leg == "web":
        return GaugeLine(0.0, "its middle")
    blocks, size = _listed(section, leg)
    for block, unit in blocks:
        known = table("gauge_lines", block)
        for name, row in known.rows.items():
            if abs((inches(name) if unit == "in" else float(name)) - size) <= SAME:
                distance = row["apart"] / 2.0 if "apart" in row else row["gauge"]
                return GaugeLine(float(distance), f"{known.source} ({known.certainty})")
    behind, toe = flat_of(section, leg)
    step = INCH / 16.0 if in_inches((size,)) else 1.0
    return GaugeLine(math.floor((behind + toe) / 2.0 / step + 0.5 + 1e-9) * step, MIDDLE)


def flat_of(section: ProfileSection, leg: Leg) -> tuple[float, float]:
    """From where to where a leg is flat outside, mm from its datum: from the leg behind it to its toe; of a web and a
    flat bar to either side of its middle.

    Args:
        section: of the profile.
        leg: one of `legs_of`.
    """
    sizes = section.sizes
    if section.kind == "angle":
        return sizes[2], sizes[1 if leg == "b" else 0]
    if section.kind == "channel":
        return (sizes[3] - sizes[0] / 2.0, sizes[0] / 2.0 - sizes[3]) if leg == "web" else (sizes[2], sizes[1])
    if section.kind == "T":
        return (sizes[2], sizes[0]) if leg == "stem" else (sizes[3] / 2.0, sizes[1] / 2.0)
    return -sizes[0] / 2.0, sizes[0] / 2.0


def _listed(section: ProfileSection, leg: Leg) -> tuple[tuple[tuple[str, str], ...], float]:
    """The blocks that have a leg's gauge, with the units of their rows, and the size that they go by, mm."""
    if section.kind == "angle":
        return (("leg", "mm"), ("leg_inch", "in")), section.sizes[1 if leg == "b" else 0]
    if section.kind == "channel":
        return (("channel_flange", "mm"),), section.sizes[1]
    return (() if leg == "stem" else (("tee_flange", "mm"),)), section.sizes[0 if leg == "stem" else 1]
