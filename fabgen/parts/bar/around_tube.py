"""Where a thing that goes round a tube stands along it: U-bolts and straps."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, cross
from fabgen.geometry.tube.centreline import RouteError
from fabgen.job.errors import FollowOnError, InputError
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.tube_hole_tables import JOB_SIDES, SideName
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.shop.section import Section
from fabgen.wording.sentence import mm, sentence

_ALONG = 0.3
"""Sine below which a tube runs toward a side of the job, not beside it."""


@dataclass(frozen=True, eq=False)
class AroundTube:
    """A place along a tube: the tube's own `frame` there, x along it, and the unit way `toward` (3,) that legs or ears
    point, square to it; toward one of the four faces of a rectangular tube."""

    section: Section
    frame: Frame
    toward: Array

    @property
    def page(self) -> Frame:
        """The page of what goes round it: y as the legs point, z along the tube."""
        return Frame(self.frame.origin, cross(self.toward, self.frame.x), self.toward, self.frame.x)

    @property
    def is_square(self) -> bool:
        """Whether the tube's two figures are one, so that it is all the same which lies where."""
        return self.section.width == self.section.depth

    @property
    def first_is_upright(self) -> bool:
        """Whether the tube's first figure, which stands toward its top, lies the way that the legs point."""
        return abs(float(self.frame.z @ self.toward)) > 0.7


def around_tube(
    job: Definitions, mark: str, at: float, toward: SideName, side_key: str, is_given: bool = True
) -> AroundTube:
    """The place so far along a tube.

    Args:
        mark: of a tube that the job has.
        at: from its start along its axis, mm.
        toward: the side of the job that legs or ears point to.
        side_key: the key that says so.
        is_given: whether the job has that key; if not, what is wrong is the place.
    Raises:
        InputError: the tube has no such place, or runs toward that side there.
    """
    i, tube = next((i, tube) for i, tube in enumerate(job.tube) if tube.mark == mark)
    try:
        run = RoutedTube.of(i, tube)
    except RouteError as fault:
        raise FollowOnError(str(fault)) from None  # reported with the tube
    if not 0.0 <= at <= run.axis:
        raise InputError(sentence("its tube is ", mm(run.axis, 1, fixed=True), " long"), "a place on it", key=("at",))
    frame = run.frame_at("start") if run.path is None else run.path.frame_at(at)
    if run.path is None:
        frame = replace(frame, origin=frame.origin + at * frame.x)
    side = np.array(JOB_SIDES[toward])
    square = side - float(side @ frame.x) * frame.x
    if float(np.linalg.norm(square)) < _ALONG:
        takes = f"a side of the tube, {_beside(frame.x, side_key)}"
        if is_given:
            raise InputError(f"the tube runs toward {toward} there", takes, key=(side_key,))
        what = f"the tube runs toward {toward} there, which is `{side_key}` where the job does not say it"
        raise InputError(what, takes, key=("at",))
    if run.section.is_round:
        return AroundTube(run.section, frame, np.asarray(square / np.linalg.norm(square)))
    faces = (frame.z, -frame.z, frame.y, -frame.y)
    return AroundTube(run.section, frame, max(faces, key=lambda face: float(face @ square)))


def _beside(run: Array, side_key: str) -> str:
    """The line with the side of the job that is squarest to a tube's run."""
    side = min(JOB_SIDES, key=lambda name: round(abs(float(np.array(JOB_SIDES[name]) @ run)), 3))
    return f'{side_key} = "{side}"'
