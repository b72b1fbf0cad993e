"""How a frame as built is out, in words: the same shape but turned, racked, twisted, or one corner low."""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.survey.frame_as_built import PLANES, Strain, one_out, strain
from fabgen.job.points.as_built import Built
from fabgen.wording.sentence import Part, Sentence, degrees, joined, mm, sentence

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
        return [sentence("too little was measured for the frame's shape: measure between three points or more")]
    return [*_shape(built, known), *_stands(built)]


def _shape(built: Built, known: list[int]) -> list[Sentence]:
    frame, allowed = built.frame, built.given.allowed
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
    if abs(rise) > allowed:
        parts.append((abs(rise), _twist_words(built, known, rise)))
    return [text for _, text in sorted(parts, key=lambda part: -part[0])]


def _twist_words(built: Built, known: list[int], rise: float) -> Sentence:
    """Of a frame's corners, which stands low against the plane of the other three."""
    frame = built.frame
    away = frame.drawn[known] - frame.drawn[known].mean(axis=0)
    corner = known[int(np.argmin(np.sign(rise) * away[:, 0] * away[:, 1]))]
    stands = sentence(f"twisted: {built.names[corner]} stands ", mm(abs(rise)))
    return sentence(stands, " low against the plane of the other corners (or its neighbours as much high)")


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
    return words
