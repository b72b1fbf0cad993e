"""Ends of tubes that stay open."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.closed_members import SLOPE, mouths
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.job.expansion.feet import ahead_on
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import ENDS, FlatPart, Hole, LengthPart, Purpose, WorkedEnd
from fabgen.parts.shape.hollow.closed_members import holes_at, low_end
from fabgen.parts.shape.hollow.open_ends import is_sawn_to_plane, open_ends, slanted_ends
from fabgen.plan.buying.hardware import bolted_along
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence, to_paste

_RAIN = 1.0
"""Rain gets in through what is wider, mm (common practice, no source)."""
_STRAIGHT = 0.05
"""A cap turned by less is not turned, degrees."""


@rule("open-ends", Level.NOTE, source=PRACTICE)
def open_tube_ends(job: Checked) -> Iterator[Found]:
    """A tube's end that stays open lets water and dirt in: a note, as plugs for such ends are on the shopping list,
    but for those that are sawn level at a slant, which none fits."""
    found_open = open_ends(job.job, job.pieces, mouths(job), bolted_along(job.plan.bolts))
    if found_open:
        ends = sum(found_open.values())
        yield found(
            "one tube end stays" if ends == 1 else f"{ends} tube ends stay",
            " open to water and dirt: plug them, the plugs are on the shopping list; or close one with a cap, ",
            _cap_line(job, found_open),
            about=found_open,
        )
    if slanted := slanted_ends(job.job, job.pieces, mouths(job)):
        ends = sum(slanted.values())
        yield found(
            "one tube end sawn level stays" if ends == 1 else f"{ends} tube ends sawn level stay",
            " open to water and dirt, and no plug fits a slanted end: "
            '`foot = { plate = [ …, … ], thickness = … }` in place of `cut = "level"` closes one',
            about=slanted,
        )


@rule("rain-past-cap", Level.WARN, source=PRACTICE)
def rain_past_cap(job: Checked) -> Iterator[Found]:
    """A cap on the top of an upright that is closed at its foot lets no rain in: it has no drain hole, and leaves no
    gap."""
    flats = {piece.mark: piece.shape for piece in job.pieces if isinstance(piece.shape, FlatPart)}
    drained: list[tuple[str, str, float]] = []
    beside: list[tuple[str, str, float, float]] = []
    for mark, part, top, foot in _closed_at_foot(job):
        left = mouths(job).end(mark, part, top) if is_sawn_to_plane(top) else None
        caps = [(each, flats.get(each)) for each in left.by] if left is not None else []
        if left is None or left.width <= _RAIN or not all(cap is not None and _is_cap(cap) for _, cap in caps):
            continue
        deep = _height(top) - _height(foot)
        with_drain = [each for each, cap in caps if cap is not None and any(map(_is_drain, cap.holes))]
        if with_drain:
            drained.append((mark, with_drain[0], deep))
        elif caps:
            beside.append((mark, caps[0][0], left.width, deep))
    if drained:
        cases = [sentence(f"{mark} under {cap}, ", mm(deep, 0), " deep") for mark, cap, deep in drained]
        text = sentence(
            "a drain hole on top lets rain in, which stands over the closed foot (", named(cases, "; "), ")"
        )
        do = ': leave it out (`drain = "none"`) and drain the tube by its foot (`{ vent = true }` among its `holes`)'
        yield found(text, do, about=list(dict.fromkeys(cap for _, cap, _ in drained)))
    if beside:
        cases = [
            sentence(f"{mark} under {cap}, a gap of ", mm(wide), ", ", mm(deep, 0), " deep")
            for mark, cap, wide, deep in beside
        ]
        text = sentence("rain gets in beside it and stands over the closed foot (", named(cases, "; "), ")")
        yield found(text, ": as large as the tube closes it", about=list(dict.fromkeys(cap for _, cap, *_ in beside)))


def _is_cap(flat: FlatPart) -> bool:
    """Whether sheet over a mouth is meant to close it: a cap, or what has no hole."""
    return flat.closes or not flat.holes


def _is_drain(hole: Hole) -> bool:
    return hole.purpose is Purpose.DRAIN


@rule("open-top", Level.NOTE, source=PRACTICE)
def open_top(job: Checked) -> Iterator[Found]:
    """An upright that is open at its top and closed at its foot holds the rain that falls into it."""
    if held := _water(job):
        alike = len({round(deep) for deep in held.values()}) == 1
        cases = [sentence(f"{mark} ", mm(deep, 0)) for mark, deep in held.items()]
        its = "its top and closed at its foot" if len(held) == 1 else "the top and closed at the foot"
        up_to = mm(next(iter(held.values())), 0)
        deep = sentence("up to ", up_to, " deep") if alike else sentence("in them (", named(cases), " deep)")
        text = sentence(f"open at {its}: rain stands ", deep)
        yield found(
            text, ", rusts the tube and bursts it in frost: plug or cap the top, or drill a drain hard by the foot "
            "(`{ vent = true }` among its `holes` puts one there)", about=held,
        )  # fmt: skip


def _water(job: Checked) -> dict[str, float]:
    """How deep rain stands in tubes that hold it, mm, by mark."""
    ends = Counter(open_ends(job.job, job.pieces, mouths(job), bolted_along(job.plan.bolts)))
    ends.update(slanted_ends(job.job, job.pieces, mouths(job)))
    return {
        mark: _height(top) - _height(foot)
        for mark, part, top, foot in _closed_at_foot(job)
        if ends[mark] and top.is_free and mouths(job).end(mark, part, top).is_vent
    }


@once
def _closed_at_foot(job: Checked) -> list[tuple[str, LengthPart, WorkedEnd, WorkedEnd]]:
    """Straight tubes that rise and do not drain at their lower end, with their upper and their lower end."""
    flats = {piece.mark: piece.shape for piece in job.pieces if isinstance(piece.shape, FlatPart)}
    found: list[tuple[str, LengthPart, WorkedEnd, WorkedEnd]] = []
    for piece in job.pieces:
        part = piece.length_part
        if part is None or part.section.is_solid or part.path is not None or (low := low_end(part)) is None:
            continue
        foot = part.ends[ENDS.index(low)]
        (top,) = (end for end in part.ends if end is not foot)
        rises = float(top.frame.origin[2] - foot.frame.origin[2])
        known = mouths(job)
        drained = foot.opens or foot.line.misses or bool(holes_at(known.aired(piece.mark, part), low))
        if is_sawn_to_plane(foot):
            drained = drained or known.end(piece.mark, part, foot).is_vent
        if rises > SLOPE * part.axis and not drained and not _over_hole(part, foot, flats):
            found.append((piece.mark, part, top, foot))
    return found


def _height(end: WorkedEnd) -> float:
    """Of the longest point of an end, mm."""
    return float((end.frame.origin + end.line.longest * end.frame.x)[2])


def _over_hole(part: LengthPart, foot: WorkedEnd, flats: Mapping[str, FlatPart]) -> bool:
    """Whether a plate that a tube stands on has a hole under its bore."""
    bore = part.section.reach - part.section.wall
    for flat in (flats[mark] for mark in {foot.stands_on, *(seat.onto for seat in foot.plates)} if mark in flats):
        for place in flat.places:
            u, v, _ = place.frame.inside(foot.frame.origin[None, :])[0]
            for hole in flat.holes:
                u0, v0, u1, v1 = hole.shape.bounds
                if math.hypot((u0 + u1) / 2.0 - u, (v0 + v1) / 2.0 - v) < bore:
                    return True
    return False


def _cap_line(job: Checked, found_open: Mapping[str, int]) -> Sentence:
    """The line that caps the first of them; where all have something else said, what is to be written."""
    for piece in job.pieces:
        part = piece.length_part
        given = job.tube_tables.get(piece.mark)
        if piece.mark not in found_open or part is None or given is None:
            continue
        free = [end for end in part.ends if end.is_free]
        bare = [end for end in free if not given.end(end.at).extend and given.end(end.at).foot is None]
        if bare and found_open[piece.mark] == len(free) * piece.quantity:
            cap = Wanted(piece.mark, bare[0].at, {"foot": _cap(part, bare[0])})
            return sentence("e.g. ", job.written.lines([cap]))
    return sentence('`foot = { disc = …, thickness = …, lies = "square", point = "top" }` at that end')


def _cap(part: LengthPart, end: WorkedEnd) -> Sentence:
    """A cap as large as the tube and as thick as its wall, lying as the tube's section does."""
    section, turned = part.section, sentence("")
    if section.is_round:
        size = sentence("disc = ", to_paste(section.width))
    else:
        size = sentence("plate = [", to_paste(section.width), ", ", to_paste(section.depth), "]")
        top = math.cos(end.top) * end.frame.y + math.sin(end.top) * end.frame.z
        along = ahead_on(end.frame.x)
        turn = math.degrees(math.atan2(float(np.cross(end.frame.x, along) @ top), float(along @ top))) % 180.0
        alike = 90.0 if section.width == section.depth else 180.0
        if min(turn % alike, alike - turn % alike) > _STRAIGHT:
            turned = sentence(f", turn = {figure(turn % alike, 1)}")
    thick = sentence(", thickness = ", to_paste(section.wall))
    return sentence("{ ", size, thick, turned, ', lies = "square", point = "top" }')
