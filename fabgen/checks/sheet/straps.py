"""Straps and bands, held against what they go round."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.geometry.space.frame import Frame
from fabgen.parts.piece import Band, BandBox, FlatPart, LengthPart
from fabgen.shop.bending.bend_radii import least_radius
from fabgen.wording.levels import Level
from fabgen.wording.sentence import degrees, mm, sentence

OVER = 0.01
"""A tube is over or under its diameter by this share (EN 10219-2, from memory)."""
LOOSE, CRUSHED = 0.1, 0.35
"""Rubber that is squeezed by less of its thickness lets go, by more it is cut (common practice, no source)."""

THICKEST = 12.0
"""Rubber strip to lie under straps is sold up to this thickness, mm (common practice, no source)."""
STANDS_OFF = 2.5
"""A strap that stands farther off a face than this rests on the corners alone, mm (common practice, no source)."""
OFF_SHARE = 1.0 - math.sqrt(0.5)
"""How far a strap stands off the faces, as a share of what its corners are rounder by."""

LEANS, ASIDE = math.radians(5.0), 2.0
"""A strap is pulled straight from this far out of line, and on to its tube from this far beside it and half its gap, mm
(common practice, no source)."""


def straps(checked: Checked) -> Iterator[Checking[FlatPart]]:
    """The straps of a job."""
    for piece in checked.pieces:
        if (part := piece.flat_part) is not None and part.band is not None:
            yield Checking(piece, part, checked)


def _band(of: Checking[FlatPart]) -> Band:
    assert of.part.band is not None
    return of.part.band


def _closes(band: Band) -> float:
    """By how much the diameter, or both sizes of something rectangular, get less when the ears meet, mm."""
    round_ = math.pi if band.box is None else 4.0
    return band.gap * {"band": 1.0 / round_, "half band": 2.0 / round_, "saddle": 2.0}.get(band.shape, 0.0)


@rule("strap-gap", Level.WARN, Level.STOP, source="EN 10219-2, 1 % of the diameter (from memory)")
def strap_gap(of: Checking[FlatPart]) -> Iterator[Found]:
    """The ears of a band without rubber do not meet before it is tight."""
    band = _band(of)
    if band.rubber or band.shape not in ("band", "half band"):
        return
    least = OVER * band.around * (math.pi if band.shape == "band" else math.pi / 2.0)
    if band.gap < least - 1e-6:
        said = sentence("its ears are ", mm(band.gap), " apart and meet before it is tight: squeeze = ", mm(least))
        yield found(said, " or more", level=Level.STOP if band.gap < 0.5 else Level.WARN)


@rule("strap-rubber", Level.STOP, Level.WARN, source=PRACTICE)
def strap_rubber(of: Checking[FlatPart]) -> Iterator[Found]:
    """Tightening squeezes the rubber enough to hold, and does not crush it."""
    band = _band(of)
    if not band.rubber or band.shape == "arc":
        return
    share, fifth = _closes(band) / 2.0 / band.rubber, mm(0.2 * band.rubber * band.gap / max(_closes(band) / 2.0, 1e-9))
    said = sentence("closing its gap squeezes ", mm(band.rubber, 2), " of rubber by ", mm(_closes(band) / 2.0, 2))
    if share > CRUSHED + 1e-6:
        yield found(said, ", which crushes it: squeeze = ", fifth)
    elif share < LOOSE - 1e-6:
        more = sentence(": squeeze = ", fifth) if band.gap else ": a gap between its ears"
        yield found(said, ", too little to hold", more, level=Level.WARN)


@rule("strap-thick-rubber", Level.WARN, source=PRACTICE)
def strap_thick_rubber(of: Checking[FlatPart]) -> Iterator[Found]:
    """Rubber under a strap is strip as it is sold, which does not let what it holds wander."""
    band = _band(of)
    if band.rubber > THICKEST + 1e-6:
        said = sentence(
            mm(band.rubber, 2), " of rubber is more than strip is sold in, ", mm(THICKEST), " at most, and "
        )
        yield found(said, "what it holds wanders in it: a thinner one, or the strap nearer to its size")


@rule("strap-open", Level.WARN, source=PRACTICE)
def strap_open(of: Checking[FlatPart]) -> Iterator[Found]:
    """A strap that is tightened has something that does it: holes in its ears, or a weld."""
    band, part = _band(of), of.part
    ears = (band.flat[1], band.flat[-2])
    holed = any(hole.shape.bounds[2] <= ears[0] or hole.shape.bounds[0] >= ears[1] for hole in part.all_holes)
    if band.shape != "arc" and not holed and not any(of.mark in weld.parts for weld in of.job.job.weld):
        yield found(
            'its ears have no hole, so nothing closes it: `bolt`, e.g. bolt = "M8", or a [[weld]] that names it'
        )


@rule("strap-corners", Level.WARN, source=PRACTICE)
def strap_corners(of: Checking[FlatPart]) -> Iterator[Found]:
    """A strap round something rectangular lies on its faces, not on its corners alone."""
    band = _band(of)
    if band.box is not None and band.box.off > STANDS_OFF + 1e-6:
        radius = band.box.corner - (band.box.off - STANDS_OFF) / OFF_SHARE
        said = sentence(
            "its corners of ", mm(band.box.corner, 2), " inside radius hold it ", mm(band.box.off, 2), " off "
        )
        yield found(said, "the faces: corner = ", mm(math.floor(radius * 10.0) / 10.0), " or less, or thicker rubber")


@rule("strap-bolt", Level.STOP, source=FROM_JOB)
def strap_bolt(of: Checking[FlatPart]) -> Iterator[Found]:
    """The bolt reaches across both ears and the gap with its washers, nut and two threads out."""
    band = _band(of)
    if band.bolt is not None and band.needs and band.bolt < band.needs - 1e-6:
        said = sentence(
            "its bolt is ", mm(band.bolt), " long and both ears, the gap, washers, nut and two threads take "
        )
        yield found(said, mm(band.needs), ": a longer bolt, or a smaller gap")


@rule("strap-radius", Level.STOP, source="the table of least bend radii")
def strap_radius(of: Checking[FlatPart]) -> Iterator[Found]:
    """What is rolled is not rolled tighter than its metal takes."""
    band, material = _band(of), of.job.job.find_material(of.piece.material)
    if band.box is not None:
        return  # its corners are bends like any others
    least = least_radius(material, of.part.thickness)
    if band.inside / 2.0 < least.value - 1e-6:
        said = sentence("its arc has ", mm(band.inside / 2.0, 2), " inside radius and ", mm(of.part.thickness, 2))
        yield found(said, f" {material.name} takes ", mm(least.value, 2), ": thinner strip", source=least.source)


@rule("strap-metal", Level.WARN)
def strap_metal(of: Checking[FlatPart]) -> Iterator[Found]:
    """A strap without rubber is of a metal that does not eat the tube it lies on, nor is eaten by it."""
    band = _band(of)
    held = next((each for each in of.job.pieces if band.mark and each.mark == band.mark), None)
    if held is None or band.rubber:
        return
    own, other = (of.job.job.find_material(piece.material).group for piece in (of.piece, held))
    if own != other and {"aluminium", "stainless"} & {own, other}:
        said = f"{own} on {held.mark} of {other}: where it gets wet the less noble of the two is eaten: "
        yield found(said, "rubber between, or a strap of the tube's metal")


@rule("strap-pair", Level.WARN, source=FROM_JOB)
def strap_pair(of: Checking[FlatPart]) -> Iterator[Found]:
    """Half bands are made in pairs."""
    if _band(of).shape == "half band" and of.piece.quantity % 2:
        odd, even = of.piece.quantity, of.piece.quantity + 1
        yield found(f"{odd} half {'band is' if odd == 1 else 'bands are'} made, and two go round: quantity = {even}")


@rule("strap-off", Level.WARN, source=FROM_JOB)
def strap_off(of: Checking[FlatPart]) -> Iterator[Found]:
    """A strap that has its place stands round the tube that it names: along it, its middle on the tube's."""
    band = _band(of)
    parts = (piece.length_part for piece in of.job.pieces if band.mark and piece.mark == band.mark)
    held = next((part for part in parts if part is not None and part.frame is not None), None)
    if held is None:
        return
    seats = [_seat(held, place.frame, band.box) for place in of.part.places]
    leans, asides, past, turned = (max((seat[i] for seat in seats), default=0.0) for i in range(4))
    if leans > LEANS + 1e-9:
        yield found("it stands ", degrees(leans), f" out of line with {band.mark}, which it goes round: `up` along the "
                    "tube, or another `along`")  # fmt: skip
    elif asides > ASIDE + band.gap / 2.0 + 1e-6:
        yield found("its middle is ", mm(asides), f" from the middle of {band.mark}, which it goes round: `at` on the "
                    "tube's middle line")  # fmt: skip
    elif past > 1e-6:
        yield found("it stands ", mm(past), f" past the end of {band.mark}, which it goes round: move it in")
    elif band.box is not None and turned > LEANS + 1e-9:
        yield found(
            "it stands turned ", degrees(turned), f" about {band.mark}, whose faces it lies on: another `along`"
        )


def _seat(held: LengthPart, place: Frame, box: BandBox | None) -> tuple[float, float, float, float]:
    """How a strap stands to its tube: rad out of line, mm beside the tube's middle, mm past its end, and rad turned
    from the nearest way that a rectangular tube's sizes go into its `box`."""
    assert held.frame is not None
    if held.path is None:
        axis, first = held.frame.x, held.frame.origin
        along = float((place.origin - first) @ axis)
        past = max(-along, along - held.axis)
        aside = float(np.linalg.norm(place.origin - first - along * axis))
        frame = held.frame
    else:
        along = float(held.path.locate(place.origin[np.newaxis])[0][0])
        frame = held.path.frame_at(min(max(along, 0.0), held.path.length))
        axis, off = frame.x, place.origin - frame.origin
        past = max(-along, along - held.path.length)
        aside = float(np.linalg.norm(off - (off @ axis) * axis))
    sizes = ((frame.z, held.section.width), (frame.y, held.section.depth))
    ways = [way for way, size in sizes if box is not None and abs(size - box.thing[1]) < 1e-6]
    turned = math.acos(min(1.0, max((abs(float(place.y @ way)) for way in ways), default=1.0)))
    return math.acos(min(1.0, abs(float(place.z @ axis)))), aside, past, turned


RULES = (
    *(strap_gap, strap_rubber, strap_thick_rubber, strap_open, strap_corners, strap_bolt, strap_radius, strap_metal),
    *(strap_pair, strap_off),
)
