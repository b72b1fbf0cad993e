"""Crush sleeves: short tubes from wall to wall, welded in, so that a bolt does not pull the walls together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from fabgen.geometry.space.frame import Array, upright
from fabgen.job.errors import InputError
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.holes.short_tube import Holder, short_tube, welded_in
from fabgen.parts.piece import DrilledHole, Piece, fact
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm

_SAME = 0.01
"""Sleeves no farther from one another in length are one, mm."""


def crush_sleeves(job: Definitions, tube: Piece) -> Iterator[Piece]:
    """The sleeves of a tube, those alike as one piece; each counts as often as its hole and the tube are made.

    Raises:
        InputError: a mark is taken.
    """
    part = tube.length_part
    assert part is not None
    kinds: list[tuple[Section, float, list[DrilledHole]]] = []
    for near in (hole for hole in part.drilled if hole.sleeve is not None and not hole.far):
        far = next(hole for hole in part.drilled if hole.far and hole.number == near.number)
        assert near.sleeve is not None
        length = _across(near, far)
        like = next((each for each in kinds if each[0] == near.sleeve and abs(each[1] - length) <= _SAME), None)
        if like is None:
            kinds.append((near.sleeve, length, [near]))
        else:
            like[2].append(near)
    for number, (section, length, holes) in enumerate(kinds, 1):
        mark = f"{tube.mark}-S{number}"
        if any(other.mark == mark for other in job.parts()):
            what = f'a crush sleeve gets the mark "{mark}", which is taken already'
            raise InputError(what, "another mark for that part", key=("holes",))
        yield _sleeve(job, tube, mark, section, length, holes)


def _across(near: DrilledHole, far: DrilledHole) -> float:
    """From skin to skin along the drill, mm."""
    return float(np.linalg.norm(_middle(near) - _middle(far)))


def _middle(hole: DrilledHole) -> Array:
    """The hole's middle on the tube's skin, (3,)."""
    return np.asarray(hole.skin.at(np.array([hole.station]), np.array([hole.along]))[0])


def _sleeve(
    job: Definitions, tube: Piece, mark: str, section: Section, length: float, holes: Sequence[DrilledHole]
) -> Piece:
    places = [upright(_middle(hole), -hole.frame.x) for hole in holes]
    numbers = ", ".join(str(hole.number) for hole in holes)
    named = "holes" if len(holes) > 1 else "hole"
    return Piece(
        mark=mark,
        kind="bush",
        quantity=tube.quantity * len(holes),
        material=tube.material,
        mass=job.find_material(tube.material).density * section.area * length * 1e-9,
        shape=welded_in(short_tube(section, length, places), [Holder(tube.mark)]),
        title=f"crush sleeve in {tube.mark}",
        part_of=tube.mark,
        path=tube.path,
        facts=(
            fact("sits", "sits", f"in {tube.mark}, {named} {numbers}, flush with both walls"),
            fact("weld", "weld", f"to {tube.mark} all round at both walls, ", mm(2.0 * section.perimeter), " each"),
        ),
    )
