"""Views of a folded part: its profile with outside sizes, and an isometric picture."""

from __future__ import annotations

import math
from collections.abc import Sequence

from fabgen.documents.drawing.flat.fold_holes import ProfileHole
from fabgen.documents.drawing.flat.fold_profile import FoldedProfile, ProfileBend, ProfileFace
from fabgen.documents.drawing.sheet.dimensions import (
    DimensionLine,
    Length,
    Target,
    dot,
    draw_angle,
    draw_leader,
    draw_length,
)
from fabgen.documents.drawing.sheet.lanes import FIRST, Side, SideName, draw_sides
from fabgen.documents.render.picture import Arc, line
from fabgen.documents.render.sketch import Sketch
from fabgen.documents.render.words import degrees
from fabgen.geometry.plane.outline import Box, Xy, box_of
from fabgen.wording.figures import Figures

BEYOND_HOLE = 2.0
"""A hole's centre line runs on past the sheet by this, mm of paper."""


def draw_profile(profile: FoldedProfile, scale: float, figures: Figures, holes: Sequence[ProfileHole] = ()) -> Sketch:
    """The folded profile at `scale` with every face's size as the part is measured, its holes' heights, the radii, the
    thickness and angles other than right ones."""
    view = _ProfileView(profile, scale, figures, holes)
    view.draw_metal()
    view.draw_sizes()
    view.draw_angles()
    view.draw_notes()
    return view.sketch


def profile_size(profile: FoldedProfile) -> Xy:
    """Width and height of the bare profile, mm of the part."""
    x0, y0, x1, y1 = box_of(profile.points)
    return (x1 - x0, y1 - y0)


class _ProfileView:
    def __init__(self, profile: FoldedProfile, scale: float, figures: Figures, holes: Sequence[ProfileHole]) -> None:
        self.holes = holes
        self.profile, self.scale, self.figures = profile, scale, figures
        self.sketch = Sketch()
        x0, y0, x1, y1 = box_of(profile.points)
        self.box: Box = (x0 * scale, y0 * scale, x1 * scale, y1 * scale)
        self.middle = ((self.box[0] + self.box[2]) / 2.0, (self.box[1] + self.box[3]) / 2.0)

    def at(self, point: Xy) -> Xy:
        return (point[0] * self.scale, point[1] * self.scale)

    def draw_metal(self) -> None:
        faces, bends = self.profile.faces, self.profile.bends
        for face in faces:
            self.sketch.draw(line(self.at(face.start), self.at(face.end)))
            start, end = self.profile.top(face, face.start), self.profile.top(face, face.end)
            self.sketch.draw(line(self.at(start), self.at(end)))
        for face, point in ((faces[0], faces[0].start), (faces[-1], faces[-1].end)):
            self.sketch.draw(line(self.at(point), self.at(self.profile.top(face, point))))
        for each in bends:
            c = self.at(each.centre)
            low, high = sorted((math.degrees(each.start), math.degrees(each.start + each.sweep)))
            for radius in (each.bend.radius, each.bend.radius + self.profile.thickness):
                if radius > 0.0:
                    self.sketch.draw(Arc(c[0], c[1], radius * self.scale, low, high))

        for hole in self.holes:
            self._draw_hole(hole)

    def _draw_hole(self, hole: ProfileHole) -> None:
        """The hole's two edges, hidden in the sheet, and its centre line."""
        face = self.profile.faces[hole.face]
        (ux, uy), paper = (math.cos(face.heading), math.sin(face.heading)), BEYOND_HOLE / self.scale
        for off in (hole.half, -hole.half):
            p = (hole.at[0] + off * ux, hole.at[1] + off * uy)
            self.sketch.draw(line(self.at(p), self.at(self.profile.top(face, p)), "hidden"))
        top = self.profile.top(face, hole.at)
        a = (hole.at[0] + paper * uy, hole.at[1] - paper * ux)
        b = (top[0] - paper * uy, top[1] + paper * ux)
        self.sketch.draw(line(self.at(a), self.at(b), "centre"))

    # -- sizes --------------------------------------------------------------
    def draw_sizes(self) -> None:
        sides: dict[SideName, Side] = {name: Side(name) for name in ("below", "left", "above", "right")}
        askew: list[tuple[ProfileFace, Length, Xy]] = []
        for index, face in enumerate(self.profile.faces):
            a, b, size = self.profile.size(index)
            dim = Length(self.at(a), self.at(b), self.figures.length(size))
            out = self._outward(index, face)
            side = _side_of(face.heading, out)
            heights = [self._height(hole, face, out) for hole in self.holes if hole.face == index]
            if side is None:
                askew += [(face, each, out) for each in (*heights, dim)]
            else:
                sides[side].lengths += [*heights, dim]
        self._overall(sides)
        draw_sides(self.sketch, self.box, *sides.values())
        for face, dim, out in askew:
            self._draw_askew(face.heading, dim, out)

    def _height(self, hole: ProfileHole, face: ProfileFace, out: Xy) -> Length:
        """From the outside corner to the end of the hole's centre line."""
        top = self.profile.top(face, hole.at)
        skin = top if dot(out, (top[0] - hole.at[0], top[1] - hole.at[1])) > 0.0 else hole.at
        x, y = self.at(skin)
        tip = (x + BEYOND_HOLE * out[0], y + BEYOND_HOLE * out[1])
        return Length(self.at(hole.corner), tip, self.figures.length(hole.height), 1.0, 0.0)

    def _draw_askew(self, heading: float, dim: Length, out: Xy) -> None:
        """A size that lies at an angle: beside its face on the outer side, else on the inner one, else farther out."""
        u = (math.cos(heading), math.sin(heading))
        for step in range(10):
            for way in (out, (-out[0], -out[1])):
                level = max(dot(dim.a, way), dot(dim.b, way)) + FIRST + 3.0 * step
                if draw_length(self.sketch, dim, DimensionLine(u, way, level)):
                    return
        level = max(dot(dim.a, out), dot(dim.b, out)) + FIRST
        lines = [DimensionLine(u, out, level + 3.0 * step) for step in range(16)]
        any(draw_length(self.sketch, dim, on, force=on is lines[-1]) for on in lines)

    def _outward(self, index: int, face: ProfileFace) -> Xy:
        """The side of a face to dimension it on: where its bends' outsides are, else away from the middle."""
        n = (-math.sin(face.heading), math.cos(face.heading))
        beside = [self.profile.bends[i] for i in (index - 1, index) if 0 <= i < len(self.profile.bends)]
        ups = {each.up for each in beside}
        if len(ups) == 1:
            return (-n[0], -n[1]) if ups == {True} else n
        m = self.at(((face.start[0] + face.end[0]) / 2.0, (face.start[1] + face.end[1]) / 2.0))
        away = (m[0] - self.middle[0]) * n[0] + (m[1] - self.middle[1]) * n[1]
        return n if away >= 0.0 else (-n[0], -n[1])

    def _overall(self, sides: dict[SideName, Side]) -> None:
        """Overall width and height where no face's size says them already."""
        sizes = [self.profile.size(i)[2] for i in range(len(self.profile.faces))]
        points = self.profile.points
        ways: tuple[tuple[SideName, SideName], ...] = (("below", "above"), ("left", "right"))
        for axis, (name, far) in enumerate(ways):
            low, high = min(points, key=lambda p: p[axis]), max(points, key=lambda p: p[axis])
            size = high[axis] - low[axis]
            if any(abs(size - known) < 0.06 for known in sizes):
                continue
            use = name if len(sides[name].lengths) <= len(sides[far].lengths) else far
            sides[use].outermost.append(Length(self.at(low), self.at(high), self.figures.length(size)))

    # -- angles and notes ---------------------------------------------------
    def draw_angles(self) -> None:
        for i, each in enumerate(self.profile.bends):
            if abs(each.bend.angle - math.pi / 2.0) < 1e-4 or each.bend.angle > math.pi - 0.2:
                continue
            before, after = self.profile.faces[i], self.profile.faces[i + 1]
            back, ahead = before.heading + math.pi, after.heading
            start, end = (ahead, back) if each.up else (back, ahead)
            reach = min(before.length, after.length) * self.scale
            text = degrees(math.pi - each.bend.angle)
            radii = (min(max(9.0, reach * share), 18.0) for share in (0.6, 0.8, 1.0, 1.4))
            any(draw_angle(self.sketch, self.at(each.inner_corner), radius, start, end, text) for radius in radii)

    def draw_notes(self) -> None:
        x0, y0, x1, y1 = self.sketch.box
        limit = (x0 - 12.0, y0 - 6.0, x1 + 12.0, y1 + 6.0)
        radii: dict[str, list[ProfileBend]] = {}
        for each in self.profile.bends:
            radii.setdefault(f"R{self.figures.size(each.bend.radius, 2)}", []).append(each)
        for text, bends in radii.items():
            targets = []
            for each in bends:
                middle = each.start + each.sweep / 2.0
                c = self.at(each.centre)
                r = each.bend.radius * self.scale
                tip = (c[0] + r * math.cos(middle), c[1] + r * math.sin(middle))
                targets.append(Target(tip, 0.0, middle + math.pi, 0.7))
            label = f"{len(bends)} x {text}" if len(bends) > 1 else text
            draw_leader(self.sketch, targets, label, limit)
        targets = []
        for face in self.profile.faces:
            for share in (0.5, 0.3, 0.7):
                p = (
                    face.start[0] + (face.end[0] - face.start[0]) * share,
                    face.start[1] + (face.end[1] - face.start[1]) * share,
                )
                targets.append(Target(self.at(p), 0.0, face.heading - math.pi / 2.0, 1.0))
                targets.append(Target(self.at(self.profile.top(face, p)), 0.0, face.heading + math.pi / 2.0, 1.0))
        draw_leader(self.sketch, targets, f"t = {self.figures.size(self.profile.thickness, 2)}", limit)


def _side_of(heading: float, out: Xy) -> SideName | None:
    """The side of the view that a face of that heading is dimensioned on; None when it lies askew."""
    if abs(math.sin(heading)) < 1e-4:
        return "above" if out[1] > 0.0 else "below"
    if abs(math.cos(heading)) < 1e-4:
        return "right" if out[0] > 0.0 else "left"
    return None
