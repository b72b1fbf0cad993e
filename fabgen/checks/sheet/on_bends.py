"""Straps and sheet parts where the tube that carries them bends: what is straight does not follow it."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from fabgen.checks.checked import Checking
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.sheet.straps import CRUSHED, OVER
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.centreline import Centreline
from fabgen.parts.piece import FlatPart, LengthPart, Place
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

TOUCHES = 0.5
"""A part that lies along a tube is welded down where at least this share of it touches (common practice, no source)."""
_NEAR = 0.5
"""What of a part is this near to the plane that touches the skin is its seat, mm."""
_STEP = 1.0
"""Places along a bent skin stand so far apart, mm."""
_ACROSS = 30.0
"""A strap that leans more than this to its tube, degrees, does not go round it there."""


@rule("strap-bend", Level.STOP, Level.WARN, source="EN 10219-2, 1 % of the diameter (from memory)")
def strap_bend(of: Checking[FlatPart]) -> Iterator[Found]:
    """A band is rolled for a straight tube, and cannot close where the tube bends within its width by more than the
    tube may be over its size, or its rubber takes."""
    band = of.part.band
    held = None if band is None or not band.mark else _tube(of, band.mark)
    if band is None or held is None or held.path is None:
        return
    _, low, _, high = of.part.outline.bounds
    wide = high - low
    most = max(OVER * band.around, CRUSHED * band.rubber)
    seats = [(_out_of_line(held.path, place.frame, wide), place) for place in of.part.places]
    off, place = max(seats, key=lambda each: each[0], default=(0.0, None))
    if place is None or off <= most + 1e-6:
        return
    closes = band.shape in ("band", "half band")
    said = sentence(f"{band.mark} bends where it goes round: within its width of ", mm(wide), " the tube runs ")
    why = ", and it cannot close there" if closes else ", and it does not lie down there"
    yield found(
        said, mm(off, 2), f" out of line{why}: ", _clear_of_bends(held.path, place, wide),
        level=Level.STOP if closes else Level.WARN,
    )  # fmt: skip


@rule("seat-on-bend", Level.WARN, source=PRACTICE)
def seat_on_bend(of: Checking[FlatPart]) -> Iterator[Found]:
    """A straight part along a bent tube touches it for at least half of its length."""
    gap, body = of.job.contacts.weld_gap, None
    for place in of.part.places:
        held = _tube(of, place.against) if of.part.band is None else None
        if held is None or held.path is None or place.skin is None or place.skin.way is None:
            continue
        body = sheet_body(of.part).vertices if body is None else body
        if (seat := _seat(of.part, place, held, body)) is None:
            continue
        along, off = seat
        touching = float((np.abs(off) <= gap).mean())
        ends = [float(each) for each in (off[0], off[-1]) if each > gap]
        if not ends or touching >= TOUCHES:
            continue
        long = float(along[-1] - along[0])
        said = sentence("only ", mm(touching * long, 0), " of its ", mm(long), f" along {place.against} touch, as the ")
        far = sentence(mm(max(ends)), " off at its end" if len(ends) == 1 else " off at its ends")
        do = ": put it on a straight, make it shorter, turn it across the tube, or cut its edge to the bend"
        yield found(said, "tube bends there: it stands ", far, do)
        return


def _tube(of: Checking[FlatPart], mark: str) -> LengthPart | None:
    held = of.job.tubes.get(mark)
    return held if held is not None and held.frame is not None else None


def _out_of_line(path: Centreline, place: Frame, wide: float) -> float:
    """How far a tube's middle runs from the line through a strap, mm, within the strap's width; 0 of a strap that does
    not go round it there."""
    s = float(path.locate(place.origin[None, :])[0][0])
    here = path.frame_at(min(max(s, 0.0), path.length))
    if abs(float(here.x @ place.z)) < math.cos(math.radians(_ACROSS)):
        return 0.0
    off = 0.0
    for at in (s - wide / 2.0, s + wide / 2.0):
        away = path.frame_at(min(max(at, 0.0), path.length)).origin - here.origin
        off = max(off, float(np.linalg.norm(away - (away @ here.x) * here.x)))
    return off


def _clear_of_bends(path: Centreline, place: Place, wide: float) -> Sentence:
    """Where along the tube's axis a strap clears the bend that it is in."""
    s = float(path.locate(place.frame.origin[None, :])[0][0])
    low = high = s
    for turn in (*reversed(path.turns), *path.turns):  # downward for the one, upward for the other
        begins, ends = turn.at - wide / 2.0, turn.at + turn.length + wide / 2.0
        low = begins if begins < low <= ends else low
        high = ends if begins <= high < ends else high
    ways = []
    if low > wide / 2.0:
        ways.append(sentence(mm(math.floor(low * 10.0) / 10.0), " or less"))
    if high < path.length - wide / 2.0:
        ways.append(sentence(mm(math.ceil(high * 10.0) / 10.0), " or more"))
    if not ways:
        return sentence("it has no straight long enough: bend it otherwise, or take a narrower strap")
    where = ways[0] if len(ways) == 1 else sentence(ways[0], ", or ", ways[1])
    return sentence("it clears the bend at ", where, " along the tube's middle from its start")


def _seat(part: FlatPart, place: Place, held: LengthPart, body: Array) -> tuple[Array, Array] | None:
    """Places along a part's seat, mm, evenly, and how far the skin of a bent tube is under each, mm; None where nothing
    of it lies along the tube."""
    skin, path = place.skin, held.path
    assert skin is not None
    assert skin.way is not None
    assert path is not None
    away = place.frame.outside(body) - skin.origin
    height, half = away @ skin.out, part.thickness / 2.0
    drop = skin.drop(skin.offset - half, skin.offset + half)
    drop = 0.0 if math.isnan(drop) else drop
    seat = (np.abs(height) < _NEAR) | (np.abs(height + drop) < _NEAR)
    if not seat.any():
        return None
    along = away[seat] @ skin.along
    low, high = float(along.min()), float(along.max())
    if high - low < _STEP:
        return None
    s = float(path.locate(skin.axis[None, :])[0][0])
    # So far along the middle, a bend and all, that the skin reaches past the part's edges.
    stretch = 2.0 * (high - low) + held.section.width
    if not any(turn.at < s + stretch and turn.at + turn.length > s - stretch for turn in path.turns):
        return None
    places = np.arange(max(0.0, s - stretch), min(path.length, s + stretch) + _STEP, _STEP)
    frames = [path.frame_at(min(float(at), path.length)) for at in places]
    through = held.section.through(skin.way) / 2.0
    ways = [math.cos(skin.way) * each.z - math.sin(skin.way) * each.y for each in frames]
    points = np.array([each.origin + through * way for each, way in zip(frames, ways, strict=True)]) - skin.origin
    u, under = points @ skin.along, -(points @ skin.out)
    nearest = int(np.argmin(np.abs(places - s)))
    first, last = nearest, nearest
    while first > 0 and u[first - 1] < u[first]:
        first -= 1
    while last < len(u) - 1 and u[last + 1] > u[last]:
        last += 1
    low, high = max(low, float(u[first])), min(high, float(u[last]))
    if high - low < _STEP:
        return None
    at = np.linspace(low, high, 201)
    return at, np.interp(at, u[first : last + 1], under[first : last + 1])
