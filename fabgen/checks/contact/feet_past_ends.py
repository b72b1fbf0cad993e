"""Sheet that stands on a tube, and its foot past the tube's end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.solids import Solid
from fabgen.contact.weld_lines import BESIDE, DEEP
from fabgen.geometry.space.frame import Frame, cross
from fabgen.geometry.space.plane_cut import plane_cut
from fabgen.parts.piece import At, FlatPart, LengthPart, Place
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

if TYPE_CHECKING:
    from manifold3d import Manifold
    from shapely import Geometry

SHARE = 1.0 / 3.0
"""More of a foot than this past the end is worth a look (common practice, no source)."""
ALL = 0.99
"""A foot that lies past the end with so much of it stands on nothing."""
_ALONG = 0.99
"""Cosine of what the run of a skin may lean from the tube's axis."""


@dataclass(frozen=True, eq=False)
class _Hang:
    """A foot of `length` mm on the tube `on`, of which `past` mm lie in the air past its end."""

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
    """What stands with its foot on a tube does so on the tube's length, not past its end in the air."""
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
                "its foot hangs in the air past the end of its tube (", named(list(dict.fromkeys(each)), "; "),
                "): turn it to the other side (`turn`), or move it inward",
                about=list(dict.fromkeys(case.solid.mark for case in cases)),
                level=level,
            )  # fmt: skip


def _hanging(job: Checked, solid: Solid) -> Iterator[_Hang]:
    part = solid.part
    if not isinstance(part, FlatPart) or part.band is not None:
        return
    place = part.places[solid.number]
    tube = job.tubes.get(place.against)
    if place.skin is None or not place.stands or tube is None or tube.frame is None or tube.path is not None:
        return
    hang = _hang(job, solid, place, tube)
    if hang is not None:
        yield hang


def _hang(job: Checked, solid: Solid, place: Place, tube: LengthPart) -> _Hang | None:
    import shapely

    skin = place.skin
    assert skin is not None
    assert tube.frame is not None
    if abs(float(skin.along @ tube.frame.x)) < _ALONG:  # on its end
        return None
    frame = Frame(skin.place, skin.along, cross(skin.out, skin.along), skin.out)
    foot = plane_cut(solid.metal, frame, BESIDE)
    under = [each for each in job.contacts.solids if each.mark == place.against]
    rests = [_run(each.filled, frame) for each in under]
    if foot.is_empty or not any(rests):
        return None
    low, _, high, _ = foot.bounds
    begin, end = max((rest for rest in rests if rest), key=lambda rest: min(rest[1], high) - max(rest[0], low))
    outside = foot.difference(shapely.box(begin, -1e6, end, 1e6))
    held = shapely.union_all(
        [plane_cut(each.filled, frame, -DEEP).buffer(job.contacts.weld_gap)
         for each in job.contacts.seated_by(solid) if each not in under]
    )  # fmt: skip
    free = outside.difference(held)
    past = _length(free)
    at: At = "finish" if (high - end > begin - low) == (float(skin.along @ tube.frame.x) > 0.0) else "start"
    return _Hang(solid, place.against, at, past, high - low) if past > 0.0 else None


def _run(metal: Manifold, frame: Frame) -> tuple[float, float] | None:
    """From where to where metal lies just under a skin, mm along its run."""
    cut = plane_cut(metal, frame, -DEEP)
    if cut.is_empty:
        return None
    low, _, high, _ = cut.bounds
    return float(low), float(high)


def _length(free: Geometry) -> float:
    """How long, along x, what is left is, mm."""
    if free.is_empty:
        return 0.0
    low, _, high, _ = free.bounds
    return float(high - low)
