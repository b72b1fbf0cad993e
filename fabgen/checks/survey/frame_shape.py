"""How a frame as built is out, in words: the same shape but turned, racked, twisted, or one corner low."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.survey.frame_as_built import PLANES, FrameAsBuilt, Strain, one_out, strain
from fabgen.job.points.as_built import Built
from fabgen.wording.sentence import Part, Sentence, degrees, joined, mm, sentence

SHOWS = 0.05
"""What is out by less is printed as 0, mm."""
AS_DRAWN = "same shape as drawn:"
"""So begins what is said of a frame that is right."""
EXPLAINS = 0.75
"""A shape is named where it takes up at least this share of the squares of what the frame is out."""
_RACKED = ("racked in plan", "leaning in the side view", "leaning seen from behind")
_LONG = ("long", "wide", "high")
_SHORT = ("short", "narrow", "low")


def shape_words(built: Built) -> list[Sentence]:
    """Sentences on the frame's shape, the plainest reading of its measures first."""
    frame = built.frame
    known = [i for i in range(len(built.names)) if frame.held[i].any()]
    if len(known) < 3:
        little = sentence("too little was measured for the frame's shape: measure between three points or more")
        named = _heights_out(built) if built.heights.datum is not None else None
        return [sentence(named, "; ", little) if named else little]
    return [*_with_heights(built, known), *_stands(built)]


def _with_heights(built: Built, known: list[int]) -> list[Sentence]:
    """Its shape; corners whose heights say that they are out are named for themselves, and the shape is the rest's."""
    named = _heights_out(built)
    if named is None or not built.heights.tell:
        return _shape(built, built.frame, known)
    places = built.frame.places.copy()
    for name, off in built.heights.others.items():
        places[built.names.index(name), 2] -= off
    first, *more = _shape(built, replace(built.frame, places=places), known)
    if first.words().startswith(AS_DRAWN):
        return [sentence("same shape as drawn, but ", named)]
    return [first, sentence("besides, ", named), *more]


def _shape(built: Built, frame: FrameAsBuilt, known: list[int]) -> list[Sentence]:
    allowed = built.given.allowed
    if (single := one_out(frame, allowed)) is not None:
        name = built.names[single.index]
        return [sentence(f"same shape as drawn but for {name}: it is ", _off_words(single.off), "; the others agree")]
    found = strain(frame, known)
    left = np.linalg.norm(found.left, axis=1)
    total = float(np.square(frame.off[known]).sum())
    explained = 1.0 - float(np.square(left).sum()) / max(total, 1e-12)
    parts = _named(built, found, known, allowed) if len(known) > 3 else []
    if parts and explained >= EXPLAINS:
        return [
            sentence("same shape but ", joined(" and ", parts)),
            *_points_out(built, known, found.left, "besides, "),
        ]
    out = np.linalg.norm(frame.off[known], axis=1)
    if float(out.max()) < SHOWS:
        return [sentence(f"{AS_DRAWN} every point that was measured is where it was drawn")]
    if float(out.max()) <= allowed:
        worst = built.names[known[int(np.argmax(out))]]
        return [sentence(f"{AS_DRAWN} no point is out by more than ", mm(float(out.max())), f" ({worst})")]
    lead = sentence("out of shape")
    if len(known) > 3:
        partly = sentence("; part of it: ", joined(" and ", parts)) if parts else ""
        lead = sentence(lead, ": no single skew, stretch or twist explains it", partly)
    return [lead, *_points_out(built, known, frame.off[known], "")]


def _points_out(built: Built, known: list[int], off: Array, lead: str) -> list[Sentence]:
    """The three points that are out most, `off` (k, 3) being how far those of `known` are."""
    size = np.linalg.norm(off, axis=1)
    worst = [i for i in np.argsort(-size)[:3] if size[i] > built.given.allowed]
    return [sentence(f"{lead}{built.names[known[i]]} is ", _off_words(off[i])) for i in worst]


def _named(built: Built, found: Strain, known: list[int], allowed: float) -> list[Sentence]:
    """The even skews, stretches and twist that come to more than is allowed, the greatest first."""
    size = np.ptp(built.frame.drawn[known], axis=0)
    parts: list[tuple[float, Sentence]] = []
    for (i, j), skew, name in zip(PLANES, found.skew, _RACKED, strict=True):
        diagonal = math.hypot(size[i], size[j])
        # Of a rectangle the two diagonals come to differ by so much.
        differ = 2.0 * abs(skew) * size[i] * size[j] / max(diagonal, 1e-9)
        if differ > allowed:
            text = sentence(f"{name} by ", mm(differ), " across the diagonals (", degrees(abs(skew), 2), ")")
            parts.append((differ, text))
    for axis, stretch in enumerate(found.stretch):
        change = float(stretch * size[axis])
        if abs(change) > allowed:
            word = _LONG[axis] if change > 0.0 else _SHORT[axis]
            parts.append((abs(change), sentence(mm(abs(change)), f" too {word} over ", mm(float(size[axis]), 0))))
    rise = found.twist * size[0] * size[1]
    if abs(rise) > allowed and not built.heights.tell:
        parts.append((abs(rise), _twist_words(built, known, rise)))
    return [text for _, text in sorted(parts, key=lambda part: -part[0])]


def _twist_words(built: Built, known: list[int], rise: float) -> Sentence:
    """Which corners stand out of the plane of the others, as far as heights tell."""
    heights = built.heights
    if heights.datum is not None and (named := _heights_out(built)) is not None:
        return sentence("twisted: ", named)
    high, low = _corners(built, known, rise)
    size = mm(abs(rise))
    either = sentence(f"twisted: {' or '.join(high)} stands ", size, f" high, or {' or '.join(low)} ", size, " low")
    if len(others := heights.others) == 1 and len(heights.alike) > 2:
        (name,) = others
        either = sentence(either, f" ({_all(heights.alike)} read alike, {name} differs)")
    return sentence(either, ": no datum tells them apart, so give [measuring] `datum`")


def _heights_out(built: Built) -> Sentence | None:
    """'FL stands 6 mm high; FR, RL and RR are alike'; None where no height is out by more than is allowed."""
    heights = built.heights
    out = {name: off for name, off in heights.others.items() if abs(off) > built.given.allowed}
    if not out:
        return None
    words = joined(
        " and ",
        [sentence(f"{name} stands ", mm(abs(off)), " high" if off > 0.0 else " low") for name, off in out.items()],
    )
    return sentence(words, f"; {_all(heights.alike)} are alike" if heights.alike else " over the datum")


def _corners(built: Built, known: list[int], rise: float) -> tuple[list[str], list[str]]:
    """The corners that a twist lifts, and those that it lowers: the outermost point of each quarter of the plan."""
    at = built.frame.drawn[known]
    away = at - at.mean(axis=0)
    corners: dict[tuple[bool, bool], int] = {}
    for i, (x, y, _) in enumerate(away):
        quarter = (bool(x > 0.0), bool(y > 0.0))
        best = corners.get(quarter)
        if best is None or abs(x * y) > abs(float(away[best, 0] * away[best, 1])):
            corners[quarter] = i
    lifted = {i: float(rise * away[i, 0] * away[i, 1]) > 0.0 for i in corners.values()}
    high, low = ([built.names[known[i]] for i in sorted(lifted) if lifted[i] is up] for up in (True, False))
    return high, low


def _all(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _off_words(off: Array) -> Sentence:
    """'4 mm low and 2 mm to the left'."""
    ways = (("too far ahead", "too far back"), ("too far left", "too far right"), ("high", "low"))
    size = float(np.linalg.norm(off))
    order = sorted(range(3), key=lambda axis: -abs(off[axis]))
    parts: list[Part] = []
    for axis in order:
        if abs(off[axis]) > 0.25 * size:
            parts.append(sentence(mm(abs(float(off[axis]))), f" {ways[axis][0 if off[axis] > 0 else 1]}"))
    return joined(" and ", parts)


def _stands(built: Built) -> list[Sentence]:
    """How it stands as measured, where places or heights say so."""
    words: list[Sentence] = []
    frame = built.frame
    if frame.stands is not None and math.degrees(frame.stands.angle) >= 0.05:
        names = ("fore-and-aft", "crosswise", "upright")
        axis = frame.stands.axis
        which = int(np.argmax(np.abs(axis)))
        about = f"the {names[which]} axis" if abs(axis[which]) > 0.95 else "a slanting axis"
        turned = degrees(frame.stands.angle, 2)
        words.append(sentence("to the directions it was measured in it stands turned by ", turned, f" about {about}"))
    if frame.level is not None:
        high = [i for i, name in enumerate(built.names) if name in built.given.heights]
        for place, way in ((0, "fore and aft"), (1, "sideways")):
            slope = abs(float(frame.level[1 + place]))
            if slope * float(np.ptp(frame.drawn[high, place])) > 2.0 * built.given.allowed:
                tilt = degrees(math.atan(slope), 2)
                words.append(sentence("it stands ", tilt, f" out of level {way}, which is taken out here"))
    lift = built.heights.lift
    if built.heights.datum is not None and abs(lift) > built.given.allowed:
        way = "high" if lift > 0.0 else "low"
        words.append(sentence("it stands ", mm(abs(lift)), f" {way} over the datum, which is taken out here"))
    return words
