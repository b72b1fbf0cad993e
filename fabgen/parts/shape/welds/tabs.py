"""A tab in the slit of a tube's end: how far it reaches into each wall, and where it is welded there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from fabgen.geometry.plane.regions import region
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.tube.weld_run import weld_run
from fabgen.parts.piece import DrilledHole, FlatPart, JointWeld, LengthPart, Slit, WorkedEnd
from fabgen.parts.shape.sheet_body import faces_in_space

if TYPE_CHECKING:
    from shapely import Polygon


@dataclass(frozen=True, eq=False)
class TabInSlit:
    """A tab that the job places at a slit, by its face there, seen across the tube: x into the tube from its saw cut, y
    out of the slit's wall, mm from the tube's middle.

    `seen`: its outline; `outside`: y of the tube's outside at the slit; `stands`: the tab's frame; `cut`: the tube's
    middle at the saw cut; `inward`, `out`: x and y in the job.
    """

    seen: Polygon
    outside: float
    stands: Frame
    cut: Array
    inward: Array
    out: Array

    def within(self, low: float, high: float) -> tuple[float, float] | None:
        """From where to where the tab lies along the tube between two heights, mm; None where it does not.

        Args:
            low: y, mm.
            high: y, mm.
        """
        from shapely import box

        band = self.seen.intersection(box(-1e4, low, 1e4, high))
        return None if band.is_empty else (float(band.bounds[0]), float(band.bounds[2]))

    def beside(self, hole: DrilledHole, thickness: float) -> float:
        """How far the tab's middle lies beside that of the slit at the hole at its bottom, mm.

        Args:
            hole: a wall of the slit.
            thickness: of the tab, mm.
        """
        return abs(float((hole.frame.origin - self.stands.origin) @ self.stands.z) - thickness / 2.0)


def tab_in_slit(tube: LengthPart, hole: DrilledHole, slit: Slit, tab: FlatPart) -> TabInSlit | None:
    """How a tab stands in one wall of a slit: of its flat faces, where it has several, at the place and by the face
    nearest to the slit; None of one that is rolled or not placed.

    Args:
        tube: the tube.
        hole: the wall's hole.
        slit: what makes it a slit.
        tab: the sheet part that stands in it.
    """
    from shapely import Polygon

    inward = (1.0 if slit.at == "start" else -1.0) * hole.skin.frame.x
    cut, out = hole.frame.origin - slit.centre * inward, hole.frame.x
    skin = hole.skin.at(np.array([hole.station]), np.array([hole.along]))[0]
    faces = [(frame, region(face.outline)) for frame, face in faces_in_space(tab)]
    if not faces:
        return None
    stands, face = min(faces, key=lambda each: _distance(each[0], each[1], skin, tab.thickness))
    flat = np.asarray(face.exterior.coords)
    points = stands.outside(np.column_stack((flat, np.zeros(len(flat)))))
    seen = Polygon(np.column_stack(((points - cut) @ inward, (points - cut) @ out)))
    return TabInSlit(seen, float((skin - cut) @ out), stands, cut, inward, out)


def _distance(stands: Frame, face: Polygon, point: Array, thickness: float) -> float:
    """How far a face is from a point, mm."""
    from shapely import Point

    x, y, z = (float(each) for each in stands.inside(point[np.newaxis])[0])
    return float(np.hypot(face.distance(Point(x, y)), max(-z, z - thickness, 0.0)))


def tab_welds(part: LengthPart, end: WorkedEnd, tabs: Mapping[str, FlatPart]) -> Iterator[JointWeld]:
    """The welds of a slit end: along both sides of its tab, in each wall that the tab stands in.

    Args:
        part: the tube.
        end: its end.
        tabs: the flat parts of the job, by mark.
    """
    lines: dict[str, list[tuple[Array, Array, Array]]] = {}
    for hole in part.drilled:
        slit = hole.slit
        tab = tabs.get(slit.tab) if slit is not None else None
        if slit is None or slit.at != end.at or tab is None or (stood := tab_in_slit(part, hole, slit, tab)) is None:
            continue
        reach = stood.within(stood.outside - 0.05, stood.outside)
        if reach is None or min(reach[1], slit.takes) <= max(reach[0], 0.0):
            continue
        ends = np.array([max(reach[0], 0.0), min(reach[1], slit.takes)])
        middle = stood.cut + stood.outside * stood.out
        for face, normal in ((0.0, -stood.stands.z), (tab.thickness, stood.stands.z)):
            line = middle + ends[:, None] * stood.inward
            line = line - ((line - stood.stands.origin) @ stood.stands.z - face)[:, None] * stood.stands.z
            lines.setdefault(slit.tab, []).append((line, stood.out, normal))
    for mark, own in lines.items():
        gap = np.full((1, 3), np.nan)
        points = np.vstack([np.vstack((line, gap)) for line, _, _ in own])
        skins, faces = (np.vstack([np.tile(each[k], (3, 1)) for each in own]) for k in (1, 2))
        yield JointWeld(end.at, mark, weld_run(points, skins, faces), in_slit=True)
