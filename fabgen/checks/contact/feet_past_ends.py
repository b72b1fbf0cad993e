"""Sheet that stands on a tube or a profile, and its foot past the end of that."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeGuard

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.solids import Solid
from fabgen.contact.weld_lines import BESIDE, DEEP
from fabgen.geometry.space.frame import Frame, cross
from fabgen.geometry.space.plane_cut import plane_cut
from fabgen.parts.piece import At, FlatPart, LengthPart, LinkPart, ProfilePart, Skin
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

if TYPE_CHECKING:
    from shapely import Geometry

SHARE = 1.0 / 3.0
"""More of a foot than this past the end is worth a look (common practice, no source)."""
ALL = 0.99
"""A foot that lies past the end with so much of it stands on nothing."""
_ALONG = 0.99
"""Cosine of what the run of a skin may lean from the length's axis."""
_WIDE = 1e6
_Run = tuple[float, float, tuple[At, At]]


@dataclass(frozen=True, eq=False)
class _Hang:
    """A foot of `length` mm on the length `on`, of which `past` mm lie in the air past its end."""

    solid: Solid
    on: str
    at: At
    past: float
    length: float

    @property
    def share(self) -> float:
        return self.past / self.length


@rule("sheet-past-end", Level.WARN, Level.STOP, source=PRACTICE)
def sheet_past_end(job: Checked) -> Iterator[Found]:
    """What stands with its foot on a tube or a profile does so on its length, not past its end in the air."""
    hung = [hang for solid in job.contacts.solids if not solid.as_it_is for hang in _hanging(job, solid)]
    for level, cases in (
        (Level.STOP, [each for each in hung if each.share >= ALL]),
        (Level.WARN, [each for each in hung if SHARE < each.share < ALL]),
    ):
        if cases:
            each = [
                sentence(f"{case.solid.mark} past {case.on}'s {case.at} by ", mm(case.past), " of its ",
                         mm(case.length)) for case in cases
            ]  # fmt: skip
            yield found(
                "its foot hangs in the air past the end of what it stands on (", named(list(dict.fromkeys(each)), "; "),
                "): turn it to the other side (`turn`), or move it inward",
                about=list(dict.fromkeys(case.solid.mark for case in cases)),
                level=level,
            )  # fmt: skip


def _hanging(job: Checked, solid: Solid) -> Iterator[_Hang]:
    part = solid.part
    if not isinstance(part, FlatPart) or part.band is not None:
        return
    place = part.places[solid.number]
    under = [each for each in job.contacts.solids
             if each.mark == place.against and each.number == place.against_place - 1]  # fmt: skip
    if place.skin is None or not place.stands or not under or not _is_length(under[0]):
        return
    hang = _hang(job, solid, under[0], place.skin)
    if hang is not None and hang.past > 0.0:
        yield hang


def _is_length(solid: Solid) -> bool:
    part = solid.part
    return isinstance(part, LengthPart | ProfilePart) and not isinstance(part, LinkPart)


def _hang(job: Checked, solid: Solid, under: Solid, skin: Skin) -> _Hang | None:
    import shapely

    frame = Frame(skin.place, skin.along, cross(skin.out, skin.along), skin.out)
    foot = plane_cut(solid.metal, frame, BESIDE)
    if foot.is_empty:
        return None
    low, _, high, _ = foot.bounds
    run = _path_run(under.part, frame) if _is_bent(under.part) else _straight_run(under, frame)
    if run is None:
        return None
    begin, end, (near, far) = run
    held = shapely.union_all(
        [plane_cut(each.filled, frame, -DEEP).buffer(job.contacts.weld_gap)
         for each in job.contacts.seated_by(solid) if each is not under]
    )  # fmt: skip
    free = foot.difference(shapely.box(begin, -_WIDE, end, _WIDE)).difference(held)
    return _Hang(solid, under.mark, far if high - end > begin - low else near, _length(free), high - low)


def _is_bent(part: object) -> TypeGuard[LengthPart]:
    return isinstance(part, LengthPart) and part.path is not None


def _straight_run(under: Solid, frame: Frame) -> _Run | None:
    """From where to where along x the metal of a straight length lies just under a skin, mm, and which of its ends is
    there; None of what is placed on its end."""
    along = float(under.frame.x @ frame.x)
    cut = plane_cut(under.filled, frame, -DEEP)
    if abs(along) < _ALONG or cut.is_empty:
        return None
    low, _, high, _ = cut.bounds
    return float(low), float(high), ("start", "finish") if along > 0.0 else ("finish", "start")


def _path_run(tube: LengthPart, frame: Frame) -> _Run | None:
    """The same of the skin of a bent tube's first or last straight, which has no end at its bend; None of the skin
    elsewhere."""
    reach = max(tube.section.width, tube.section.depth)
    for end in tube.ends:
        x, y, z = frame.inside(end.frame.origin).tolist()
        along = float(end.frame.x @ frame.x)
        straight = tube.straights[0 if end.at == "start" else -1]
        inward = -x * along  # from the work point to the foot
        if abs(along) > _ALONG and math.hypot(y, z) < reach and inward < straight:
            cut = x + math.copysign(end.line.longest, along)
            return (cut, _WIDE, (end.at, end.at)) if along > 0.0 else (-_WIDE, cut, (end.at, end.at))
    return None


def _length(free: Geometry) -> float:
    """How long, along x, what is left is, mm."""
    if free.is_empty:
        return 0.0
    low, _, high, _ = free.bounds
    return float(high - low)
