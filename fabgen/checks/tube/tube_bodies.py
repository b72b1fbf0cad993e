"""Made tubes in space, straight or bent, between the cut lines of their ends."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.geometry.space.frame import Array, Frame, unit
from fabgen.geometry.tube.centreline import Centreline, Straight, Turn
from fabgen.geometry.tube.elbow import Elbow
from fabgen.geometry.tube.solids import HalfSpace, Solid, Trimmed, Walls
from fabgen.parts.piece import At, FlattenedEnd, LengthPart, WorkedEnd
from fabgen.parts.shape.bodies.length_body import flat_frame
from fabgen.parts.shape.sections import end_profile, half_size, section_profile, section_solid
from fabgen.parts.shape.tubes import elbow
from fabgen.shop.section import Section

_EVERY = 4
"""Every fourth degree round a tube is checked for clashes."""

_BLOCK = math.radians(30.0)
"""A bend counts as blocks no longer than this, which a line goes through in one."""

_CHORD = math.radians(5.0)
"""The outside of a bend is checked along straight lines over so much of it."""

_SPARE = 0.05
"""So far within the skin of a bend are those lines at their ends, mm, and farther between."""

_FLAT = 0.01
"""A cut is flat when it departs from a plane by less than this, mm."""

Box = tuple[Array, Array]


@dataclass(frozen=True, eq=False)
class Strip:
    """Outside skin lines of one straight or of a short part of a bend, and where on each metal
    begins and ends, (n,) mm from the walls' own points."""

    walls: Walls
    begin: Array
    end: Array
    box: Box


@dataclass(frozen=True, eq=False)
class Block:
    """One straight filled up, from longest point to longest point, or a short part of a bend."""

    solid: Solid
    box: Box
    curved: bool


class Filled(Protocol):
    """A made length of tube or profile, filled up: what it is held against others by."""

    @property
    def strips(self) -> tuple[Strip, ...]:
        """Lines along its metal."""
        ...

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Its metal, as convex parts."""
        ...

    def extent(self, points: Array) -> tuple[Array, Array, Array]:
        """For points (n, 3): how far along it they lie, and where metal begins and ends there; (n,) mm each."""
        ...


@dataclass(frozen=True, eq=False)
class Body:
    """A made tube in space, between the cut lines of its ends."""

    mark: str
    part: LengthPart

    @property
    def start(self) -> WorkedEnd:
        return self.part.ends[0]

    @property
    def finish(self) -> WorkedEnd:
        return self.part.ends[1]

    @property
    def frame(self) -> Frame:
        assert self.part.frame is not None
        return self.part.frame

    @cached_property
    def path(self) -> Centreline:
        """The route; of a straight tube one straight."""
        return self.part.path or Centreline((Straight(self.frame, self.part.axis, 0.0),))

    @cached_property
    def _work_points(self) -> tuple[float, float]:
        """Where the work points of start and finish lie along the path, mm."""
        one, other = self.start.frame, self.finish.frame
        first = float((one.origin - self.path.start.origin) @ one.x)
        return first, self.path.length - float((other.origin - self.path.finish.origin) @ other.x)

    @cached_property
    def _saw_cuts(self) -> tuple[float, float]:
        """Where the tube's longest points lie along the path, mm."""
        first, last = self._work_points
        return first + self.start.line.longest, last - self.finish.line.longest

    @cached_property
    def box(self) -> Box:
        boxes = [block.box for block in self.blocks]
        return np.min([box[0] for box in boxes], axis=0), np.max([box[1] for box in boxes], axis=0)

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        return tuple(self._blocks())

    def _blocks(self) -> Iterator[Block]:
        section = self.part.section
        for end, form in self._flats:
            yield from _flat_blocks(section, end, form)
        for stretch, first, last in self._of_full_section():
            if isinstance(stretch, Turn):
                bend = elbow(section, stretch)
                for angle, step in _shares(stretch.angle, _BLOCK):
                    part = Elbow(bend.centre, bend.axis, bend.turned(angle), step, bend.across, bend.up, bend.corner)
                    places = [stretch.frame_at((angle + t * step) * stretch.radius).origin for t in (0.0, 0.5, 1.0)]
                    yield Block(part, _box_of(places, section.reach + stretch.radius * (1.0 - math.cos(_BLOCK))), True)
                continue
            ends = [stretch.frame_at(s - stretch.at) for s in (first, last)]
            planes = [HalfSpace.at(ends[0].origin, -ends[0].x), HalfSpace.at(ends[1].origin, ends[1].x)]
            if stretch is self.path.stretches[0]:
                planes += self._flat_cuts(self.start)
            if stretch is self.path.stretches[-1]:
                planes += self._flat_cuts(self.finish)
            solid = Trimmed(section_solid(section, stretch.frame), tuple(planes))
            reach = section.reach * np.sqrt(np.maximum(0.0, 1.0 - stretch.frame.x**2))
            yield Block(solid, _box_of([end.origin for end in ends], reach), False)

    def _flat_cuts(self, end: WorkedEnd) -> Iterator[HalfSpace]:
        """What the flat cuts of an end leave, all of which the metal lies in; none of an end that is not flat."""
        points = end_profile(self.part.section, end).walls(end.frame).skin + end.line.x[:, None] * end.frame.x
        for inward in self._inward[end.at]:
            yield HalfSpace(-inward, -float(np.nanmin(points @ inward)))

    @cached_property
    def _inward(self) -> dict[At, list[Array]]:
        """Unit normals of the planes that the ends are cut along, into the tube; none of an end cut otherwise."""
        return {end.at: _normals(end_profile(self.part.section, end).skin, end) for end in self.part.ends}

    @cached_property
    def strips(self) -> tuple[Strip, ...]:
        return tuple(self._strips())

    def _strips(self) -> Iterator[Strip]:
        section = self.part.section
        yield from (_flat_strip(end, form) for end, form in self._flats)
        for stretch, first, last in self._of_full_section():
            if isinstance(stretch, Turn):
                for angle, step in _shares(stretch.angle, _CHORD):
                    frame = stretch.frame_at((angle + step / 2.0) * stretch.radius)
                    outer = stretch.radius + section.reach
                    half = outer * math.tan(step / 2.0)
                    walls = _inset(_skin(section, frame), outer * (1.0 - math.cos(step / 2.0)) + _SPARE)
                    ends = np.full(len(walls.depth), half)
                    yield Strip(walls, -ends, ends, _box_of([frame.origin], section.reach + half))
                continue
            frame = stretch.frame_at(0.0)
            walls = _skin(section, frame)
            begin, end = self.metal(*_across(frame, walls.skin))
            begin = np.maximum(begin, first) if first > self._saw_cuts[0] else begin
            end = np.minimum(end, last) if last < self._saw_cuts[1] else end
            origins = [stretch.frame_at(s - stretch.at).origin for s in (first, last)]
            yield Strip(walls, begin - stretch.at, end - stretch.at, _box_of(origins, section.reach))

    def _extents(self) -> Iterator[tuple[Straight | Turn, float, float]]:
        """Straights and turns that have metal, each with where that begins and ends along the path."""
        first, last = self._saw_cuts
        for i, stretch in enumerate(self.path.stretches):
            begin = first if i == 0 else stretch.at
            end = last if i == len(self.path.stretches) - 1 else stretch.at + stretch.length
            if end > begin:
                yield stretch, begin, end

    @property
    def _flats(self) -> list[tuple[WorkedEnd, FlattenedEnd]]:
        """Its ends that are crushed or beaten flat."""
        return [(end, end.form) for end in self.part.ends if isinstance(end.form, FlattenedEnd)]

    @property
    def has_drilled_flat(self) -> bool:
        """Whether an end of it is crushed or beaten flat and drilled."""
        return any(form.hole for _, form in self._flats)

    def _of_full_section(self) -> Iterator[tuple[Straight | Turn, float, float]]:
        """The same without flattened ends and what lies between a flat and the round."""
        first, last = self._saw_cuts
        for end, form in self._flats:
            if end.at == "start":
                first += form.taken
            else:
                last -= form.taken
        for stretch, begin, end_at in self._extents():
            if min(end_at, last) > max(begin, first):
                yield stretch, max(begin, first), min(end_at, last)

    def extent(self, points: Array) -> tuple[Array, Array, Array]:
        """For points (n, 3): how far along the path they lie, and where metal begins and ends there
        across the tube, which is filled up; (n,) mm each."""
        if self.part.path is None:
            local = self.frame.inside(points)
            at, y, z = local[:, 0], local[:, 1], local[:, 2]
        else:
            at, across = self.path.locate(points)
            y, z = across[:, 0], across[:, 1]
        begin, end = self.metal(y, z)
        return at, begin, end

    def metal(self, y: Array, z: Array) -> tuple[Array, Array]:
        """Where along the path metal begins and ends at places (y, z) across the tube, (n,) mm each.

        A flat end of the tube filled up runs straight from each place of its cut line to the one opposite.  Of
        another what is nearer to its axis than the outside begins no earlier than either that or the outside does.
        """
        first, last = self._work_points
        phi = np.arctan2(z, y)
        from_top = phi - math.pi / 2.0
        skin = section_profile(self.part.section, math.pi / 2.0)
        out = np.hypot(y, z) / np.interp(phi, skin.phi, np.hypot(*skin.skin.T), period=2.0 * math.pi)
        begin = self._cut_at(self.start, self.start.top + from_top, out)
        end = self._cut_at(self.finish, self.finish.top - from_top, out)
        return first + begin, last - end

    def _cut_at(self, end: WorkedEnd, phi: Array, out: Array) -> Array:
        """x of an end, mm, at a share `out` of the way from the tube's axis to its outside.

        Where the end misses its mains nothing cuts it, and it counts as sawn square at its longest point.
        """
        near, far = (np.nan_to_num(end.line.at(way), nan=end.line.longest) for way in (phi, phi + math.pi))
        between = near + (far - near) * (1.0 - np.minimum(out, 1.0)) / 2.0
        return np.asarray(between if len(self._inward[end.at]) == 1 else np.fmax(near, between))

    @property
    def straights(self) -> Iterator[tuple[Array, Array]]:
        """Its straight stretches, each by where the axis of its metal begins and ends, (3,) mm."""
        for stretch, first, last in self._extents():
            if isinstance(stretch, Straight):
                yield stretch.frame_at(first - stretch.at).origin, stretch.frame_at(last - stretch.at).origin

    def half(self, toward: Array) -> float:
        """Half of what a straight tube measures in a unit direction square to it, mm."""
        return half_size(self.part.section, self.frame.x, self.frame.z, toward)

    def route_end(self, at: At) -> Array:
        """Where a straight tube's route ends, (3,) mm."""
        return self.frame.origin if at == "start" else np.asarray(self.frame.origin + self.part.axis * self.frame.x)

    def joined_to(self, mark: str) -> bool:
        return any(joint.onto == mark for end in self.part.ends for joint in end.joints)


@once
def tube_bodies(job: Checked) -> Mapping[str, Body]:
    """The tubes of a job that have a place, by mark."""
    return bodies_of(job.tubes)


def bodies_of(parts: Mapping[str, LengthPart]) -> dict[str, Body]:
    """The tubes that the job places, by mark."""
    return {mark: Body(mark, part) for mark, part in parts.items() if part.frame is not None}


def apart(one: Box, other: Box, by: float = 0.0) -> bool:
    """Whether two boxes are farther from one another than so many mm along one of their axes."""
    return bool((one[0] - by > other[1]).any() or (other[0] > one[1] + by).any())


def _normals(skin: Array, end: WorkedEnd) -> list[Array]:
    """Unit normals into the tube of the planes that an end is cut along; none of one cut otherwise.

    Args:
        skin: (y, z) of the places of its line, (n, 2) mm.
    """
    if end.flats or end.line.misses:
        return [flat.inward(end.frame) for flat in end.flats]
    through = np.column_stack((skin, np.ones(len(skin))))
    slopes, *_ = np.linalg.lstsq(through, end.line.x, rcond=None)
    if float(np.ptp(end.line.x - through @ slopes)) >= _FLAT:
        return []
    return [unit(np.array([1.0, -slopes[0], -slopes[1]]) @ end.frame.axes)]


def _skin(section: Section, frame: Frame) -> Walls:
    """Outside skin lines along frame.x, the section's top at frame.z."""
    walls = section_profile(section, math.pi / 2.0).walls(frame).outer()
    pick = slice(None, None, _EVERY)
    return Walls(walls.skin[pick], walls.inward[pick], walls.depth[pick], walls.along)


def _flat_bar(end: WorkedEnd, form: FlattenedEnd) -> tuple[Section, Frame]:
    """The flat of an end as a section, and where it begins: x into the length, its first figure along z."""
    frame = flat_frame(end, form)
    upright = Frame(frame.origin, frame.x, -frame.z, frame.y)
    return Section("rectangular", form.width, form.thickness, 0.0), upright


def _flat_blocks(section: Section, end: WorkedEnd, form: FlattenedEnd) -> Iterator[Block]:
    """The flat, and of a crushed tube what lies between that and the round, as wide as the tube."""
    bar, frame = _flat_bar(end, form)
    begins, flat, round_ = (frame.origin + x * frame.x for x in (0.0, form.length, form.taken))
    caps = HalfSpace.at(begins, -frame.x), HalfSpace.at(flat, frame.x)
    yield Block(Trimmed(section_solid(bar, frame), caps), _box_of([begins, flat], bar.reach), False)
    if form.transition:
        rise = (section.width - form.thickness) / 2.0
        sides = [
            HalfSpace.at(flat + form.thickness / 2.0 * out, form.transition * out - rise * frame.x)
            for out in (frame.y, -frame.y)
        ]
        planes = (HalfSpace.at(flat, -frame.x), HalfSpace.at(round_, frame.x), *sides)
        yield Block(Trimmed(section_solid(section, frame), planes), _box_of([flat, round_], section.reach), False)


def _flat_strip(end: WorkedEnd, form: FlattenedEnd) -> Strip:
    bar, frame = _flat_bar(end, form)
    walls = _skin(bar, frame)
    ends = np.full(len(walls.depth), form.length)
    box = _box_of([frame.origin, frame.origin + form.length * frame.x], bar.reach)
    return Strip(walls, np.zeros(len(walls.depth)), ends, box)


def _across(frame: Frame, points: Array) -> tuple[Array, Array]:
    local = frame.inside(points)
    return local[:, 1], local[:, 2]


def _shares(angle: float, most: float) -> Iterator[tuple[float, float]]:
    """An angle in equal parts of at most so much: where each begins, and how much it is."""
    count = math.ceil(angle / most)
    return ((angle * i / count, angle / count) for i in range(count))


def _inset(walls: Walls, by: float) -> Walls:
    return Walls(walls.skin + by * walls.inward, walls.inward, walls.depth, walls.along)


def _box_of(points: list[Array], reach: Array | float) -> Box:
    return np.min(points, axis=0) - reach, np.max(points, axis=0) + reach
