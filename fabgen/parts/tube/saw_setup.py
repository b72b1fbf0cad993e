"""How to cut a tube end with a saw: a straight cut, a hole saw, or by the template, and why.

A branch on a flat face, and a mitre, is one plane: x = a y + b z + c in the end's frame.  It is
atan(hypot(a, b)) from square, and the tube is longest where a y + b z is least.  A branch on a
round main is what a hole saw of the main's outside diameter leaves, held as the main's axis lies:
its travel across the branch is how far the cut goes along that axis, x cos(angle) + y sin(angle).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import At, Method, SawSetup
from fabgen.parts.tube.saw_angles import SawAngles, beyond_reach, right_of
from fabgen.shop.hole_saws import CUP_DEPTH, DEEP_CUP, HOLE_SAW_ANGLE, MEMORY, HoleSaw, neighbours
from fabgen.shop.section import Section
from fabgen.wording.sentence import EMPTY, Part, Sentence, Value, joined, mm, sentence

WIDEST_GAP = 2.0
"""What a ready-made hole saw may leave open beside the main, mm: more than this is a poor gap to
weld (common practice, no source)."""

_FLAT = 0.01
"""A cut is straight when it departs from a plane by less than this, mm."""
_TOO_DEEP = sentence("the common cup cannot do it, it takes ", mm(CUP_DEPTH), "; a deep cup, or by the template")
_EQUAL = 0.02
"""A branch within this share of its main's diameter counts as equal to it."""


@dataclass(frozen=True, eq=False)
class EndCut:
    """One end as a saw sees it: `at` which end; `skin` (y, z) of places round its outside, (n, 2); `line` x as the
    template has it and `outside` x of the outer skin on the main, (n,) mm, nan where it misses;
    `angle` rad and `offset` mm of the main; `top` phi (rad) of the tube's top line."""

    section: Section
    skin: Array
    line: Array
    outside: Array
    angle: float
    offset: float
    top: float = 0.0
    at: At = "start"

    @property
    def misses(self) -> bool:
        return bool(np.isnan(self.line).any() or np.isnan(self.outside).any())


def by_saw(cut: EndCut, onto: Section, with_bar: Callable[[float], Array]) -> SawSetup:
    """The set-up of a cope onto one main.

    Args:
        onto: the main's section.
        with_bar: gives the outer skin's line, (n,) mm, on a round bar of a diameter (mm) in the main's place.
    """
    if cut.misses:
        return by_template(cut, "the branch runs past the main in part: check the template before cutting")
    if (straight := flat(cut)) is not None:
        if float(np.abs(cut.line - cut.outside).max()) < _FLAT:
            return straight
        # A saw at the template's length would take off the wall at a slant, and leave the heel short.
        return by_template(cut, f'fit clear cuts the wall square through: by the template; fit = "outside" is sawn '
                           f"straight, {straight.from_square_deg:.1f}° from square")  # fmt: skip
    turned = 90.0 - math.degrees(cut.angle)
    if float(np.ptp(cut.line)) < _FLAT:
        return _square(cut, onto)
    if not onto.is_round:
        return by_template(cut, _corner_words(cut, turned))
    if cut.angle < HOLE_SAW_ANGLE:
        return by_template(cut, "below 30° a hole saw wanders along the tube: cut by the template and dress to fit")
    ready = _nearest_ready(cut, onto, with_bar)
    if ready is None:
        why = sentence("no ready-made hole saw comes near the main's ", mm(onto.width, 2), ": cut by the template")
        return by_template(cut, why)
    saw, line = ready
    gap = float(np.ptp(line - cut.outside))
    if gap > WIDEST_GAP:
        left = sentence("the nearest ready-made hole saw, ", saw, ", leaves up to ", _tenths(gap), " open on the ")
        return by_template(cut, sentence(left, "main's ", mm(onto.width, 2), ": cut by the template"))
    travel = float(np.ptp(cut.outside * math.cos(cut.angle) + cut.skin[:, 0] * math.sin(cut.angle)))
    if travel > DEEP_CUP:
        deepest = sentence(" deep and the deepest cups take ", mm(DEEP_CUP), f" ({MEMORY}): no hole saw can do it, ")
        return by_template(cut, sentence("the cut is ", _tenths(travel), deepest, "cut by the template"))
    # Square at the template's saw length the outer skin would stay off the main: there the wall's inner
    # edge decides, which the saw takes off at a slant.
    sawn = min(float(cut.outside.min()), float(line.min()))
    advice, brief = _hole_saw_words(cut, onto, saw, gap, turned, travel, sawn)
    return replace(
        _setup(cut, "hole saw", advice, brief),
        hole_saw_mm=rounded(onto.width),
        hole_saw_depth_mm=rounded(travel),
        hole_saw_ready_mm=rounded(saw.diameter),
        hole_saw_ready_in=saw.inch_text,
        hole_saw_open_mm=rounded(gap),
        hole_saw_cut_mm=rounded(sawn),
        hole_saw_longer_mm=rounded(float(cut.line.min()) - sawn),
    )


def by_template(cut: EndCut, why: Part) -> SawSetup:
    """The set-up of an end that no single saw cut makes."""
    return _setup(cut, "template", sentence(why))


# -- straight cuts --------------------------------------------------------------------
def flat(cut: EndCut) -> SawSetup | None:
    """The set-up of an end that lies in one plane; None where it does not."""
    (a, b, c), *_ = np.linalg.lstsq(np.column_stack((cut.skin, np.ones(len(cut.skin)))), cut.outside, rcond=None)
    if float(np.ptp(cut.outside - cut.skin @ np.array([a, b]) - c)) >= _FLAT:
        return None
    tilted = math.degrees(math.atan(math.hypot(a, b)))
    if tilted < 0.05:
        return replace(_setup(cut, "straight saw cut", sentence("the end is flat: saw it square")), from_square_deg=0.0)
    side = math.degrees(math.atan2(-b, -a)) % 360.0
    advice = f"the end is flat: saw straight, {tilted:.1f}° from square, the long side at {side:.0f}°"
    if cut.section.is_round and (instead := beyond_reach(math.radians(tilted))):
        advice = f"{advice}; {instead}"
    setup = replace(
        _setup(cut, "straight saw cut", sentence(advice)),
        from_square_deg=rounded(tilted),
        long_side_deg=rounded(side),
    )
    return setup if cut.section.is_round else _on_its_face(setup, cut, float(a), float(b))


def _on_its_face(setup: SawSetup, cut: EndCut, a: float, b: float) -> SawSetup:
    """The same with the saw's two angles for a tube that lies on its bottom face.

    With t along the tube's top and w a quarter turn of phi past it, the plane is x = q t + p w + c, and its
    normal into the tube (1, -p, -q) in the order x, w, t.
    """
    c, s = math.cos(cut.top), math.sin(cut.top)
    q, p = a * c + b * s, b * c - a * s
    long = math.sqrt(1.0 + p * p + q * q)
    saw = SawAngles.of(1.0 / long, right_of(cut.at, -p / long), -q / long)
    advice = sentence(setup.advice, "; ", saw.words())
    swing, tilt = saw.sides
    return replace(
        setup,
        advice=advice,
        brief=advice,
        swing_deg=rounded(math.degrees(abs(saw.swing))),
        tilt_deg=rounded(math.degrees(abs(saw.tilt))),
        swing_longer=swing or None,
        tilt_longer=tilt or None,
    )


def _square(cut: EndCut, onto: Section) -> SawSetup:
    """An end that its fit has sawn square though its main is not flat: solid bar square on a round."""
    left = _off_main(cut, onto) if onto.is_round else float(np.ptp(cut.line - cut.outside))
    where = "at the sides" if onto.is_round else "on the main's corners"
    advice = sentence("sawn square, leaves ", _tenths(left), f' open {where}; fit = "outside" copes it')
    return replace(_setup(cut, "straight saw cut", advice), from_square_deg=0.0)


def _corner_words(cut: EndCut, turned: float) -> Sentence:
    """What a straight cut leaves open on a main's rounded corners, and what the template does."""
    straight = float(np.ptp(cut.outside - cut.skin[:, 0] / math.tan(cut.angle)))
    left = float((cut.line - cut.outside).max())
    closes = sentence("the template closes it")
    if left >= 0.05:
        closes = sentence("by the template, fit clear, up to ", _tenths(left), '; fit = "outside" closes it')
    runs = f"the branch runs onto the main's corners: a straight cut {turned:.1f}° from square leaves up to "
    return sentence(runs, _tenths(straight), " open there, ", closes)


# -- hole saws --------------------------------------------------------------------------
def _nearest_ready(cut: EndCut, onto: Section, with_bar: Callable[[float], Array]) -> tuple[HoleSaw, Array] | None:
    """The ready-made saw that leaves least open between branch and main, and the outer skin's line it makes."""
    found: list[tuple[float, HoleSaw, Array]] = []
    for saw in neighbours(onto.width):
        if saw is not None and not np.isnan(line := with_bar(saw.diameter)).any():
            found.append((float(np.ptp(line - cut.outside)), saw, line))
    if not found:
        return None
    _, saw, line = min(found, key=lambda each: each[0])
    return saw, line


def _hole_saw_words(
    cut: EndCut, onto: Section, saw: HoleSaw, gap: float, turned: float, travel: float, sawn: float
) -> tuple[Sentence, Sentence]:
    """The advice, and the same in a line."""
    longer = float(cut.line.min()) - sawn
    held = "square to the tube" if turned < 0.05 else f"{turned:.1f}° from square"
    side = "90°" if cut.offset > 0.0 else "270°"
    aside = abs(cut.offset) >= 0.05
    first = longer >= 0.05
    which = "that saw cut" if first else "the saw cut"
    along = sentence(_tenths(abs(sawn)), f" {'beyond' if sawn >= 0.0 else 'inside'} {which}")
    along = along if abs(sawn) >= 0.05 else sentence(f"level with {which}")
    left = sentence(", open up to ", _tenths(gap)) if gap >= 0.05 else ""
    off, deep = _tenths(abs(cut.offset)), sentence(": ", _TOO_DEEP) if travel > CUP_DEPTH else ""
    brief = [
        *((sentence("saw square ", _tenths(longer), " longer at this end"),) if first else ()),
        sentence("hole saw ", saw, left),
        "square" if turned < 0.05 else held,
        sentence("axis ", off, f" toward {side}, ", along) if aside else sentence("axis centred, ", along),
        sentence("travel ", _tenths(travel), deep),
    ]
    skin = "than the saw length, which leaves the outer skin up to "
    short = sentence("saw square ", _tenths(longer), " longer at this end ", skin, _tenths(_off_main(cut, onto)))
    advice = [
        *((sentence(short, " off the main"),) if first else ()),
        sentence("hole saw ", saw, " for the main's ", mm(onto.width, 2), left),
        held,
        sentence("its axis ", off, f" off the tube's, toward {side}") if aside else "its axis on the tube's",
        along,
        sentence(_tenths(travel), " of travel", deep),
    ]
    more = f"; saw sizes {MEMORY}"
    if cut.section.is_solid and first:
        more = '; for the template set fit = "outside": it copes solid bar' + more
    if cut.section.is_round and cut.section.width > onto.width * (1.0 - _EQUAL):
        more = "; equal tubes run out thin at the sides: feed gently" + more
    return sentence(joined(", ", advice), more), joined(", ", brief)


def _off_main(cut: EndCut, onto: Section) -> float:
    """How far from the main the outer skin stays at most, mm, on a tube hole-sawn at the template's saw length."""
    along = np.maximum(cut.outside, cut.line.min())
    across = np.hypot(along * math.sin(cut.angle) - cut.skin[:, 0] * math.cos(cut.angle), cut.skin[:, 1] - cut.offset)
    return float(across.max()) - onto.width / 2.0


def _tenths(length: float) -> Value:
    return mm(length, fixed=True)


def _setup(cut: EndCut, method: Method, advice: Sentence, brief: Sentence = EMPTY) -> SawSetup:
    hits = cut.line[~np.isnan(cut.line)]
    return SawSetup(
        method=method,
        angle_deg=rounded(math.degrees(cut.angle)),
        from_square_deg=rounded(90.0 - math.degrees(cut.angle)),
        offset_mm=rounded(cut.offset),
        long_point_mm=rounded(hits.min()) if len(hits) else None,
        short_point_mm=rounded(hits.max()) if len(hits) else None,
        hole_saw_mm=None,
        hole_saw_depth_mm=None,
        advice=advice,
        brief=brief or advice,
    )


def rounded(value: float) -> float:
    """To a tenth of a micrometre; never -0."""
    return round(float(value), 4) + 0.0
