"""Views of a profile: each outer face unfolded below the one before it, its section as it lies, and it in space."""

from __future__ import annotations

from fabgen.documents.drawing.profile.face_view import face_shapes, face_sketch, leg_hole_rows
from fabgen.documents.drawing.profile.section_sketch import section_sketch
from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.long_axis import GAP, LongAxis
from fabgen.documents.drawing.sheet.space_view import space_view
from fabgen.documents.drawing.sheet.views import Content, DrawnView, TableText, View, least, steady
from fabgen.documents.drawing.tables_of_a_part import face_landing_table
from fabgen.documents.render.sketch import Panel, joined
from fabgen.documents.render.words import end_text, profile_saw_text
from fabgen.documents.scene.body_lines import bodies_picture
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import ProfilePart
from fabgen.parts.shape.profiles import drilled_body
from fabgen.wording.figures import Figures

LARGEST, SMALLEST = 45.0, 18.0
"""A section is drawn at most and at least this large, mm of paper."""
_HOLES_SHOWN = 0.3
"""At scales above this all holes are to be seen; below it of a long row those nearest to the ends."""
_LANDINGS_SHOWN = 700.0
"""What lands on it is to be seen if that takes no more of its length than this, mm: at 1 : 5 it fits a small sheet."""
_CLEAR = 10.0
"""So much of the profile is shown beyond what lands on it, mm."""
_APART = 8.0
_BESIDE = 48.0
"""What sizes and the names of the ends take beside the faces, mm of paper."""


def profile_content(part: ProfilePart, figures: Figures) -> Content:
    """The faces with their sizes, the section, the profile in space, and how its ends are cut.

    Args:
        part: to draw.
        figures: of the job's units.
    """
    views = _FaceViews(part, figures)
    main = View("", views.least, views.draw, largest=min(2.0, LARGEST / max(_size(part))), wide=len(views.faces) < 3)
    rows = tuple((end.at, end_text(end, figures.units), profile_saw_text(end)) for end in part.ends)
    tables = [TableText("Ends", ("end", "cut", "saw"), rows)]
    if part.holes:
        heads = ("hole", "size", "in", "gauge", "along")
        holes = tuple(leg_hole_rows(part.holes, figures))
        tables.append(TableText("Holes, along from the start's saw cut", heads, holes))
    if (landed := face_landing_table(part.landings, figures)) is not None:
        tables.append(landed)
    notes = ["Each face is seen from outside, the start at the left; below one another they are the profile unfolded."]
    if any(end.is_notched for end in part.ends):
        notes.append("Notches: by their templates; sizes from the saw cut, and across from the fold or the upper side.")
    if not all(end.is_square for end in part.ends):
        notes.append("Angles of cuts are from square, as the saw stands.")
    sides = (_section(part, figures), _in_space(part))
    return Content(DrawnView(main), sides, tuple(tables), shown=("axis", "drilled"), notes=tuple(notes))


def _size(part: ProfilePart) -> Xy:
    """Width and height of the section, mm."""
    x0, y0, x1, y1 = part.cross.outline.bounds
    return x1 - x0, y1 - y0


class _FaceViews:
    """The faces below one another."""

    def __init__(self, part: ProfilePart, figures: Figures) -> None:
        self.part, self.figures = part, figures
        self.faces = face_shapes(part)

    def least(self, scale: float) -> Xy:
        shown = self._with_holes(scale > _HOLES_SHOWN)
        if sum(self._with_landings()) <= _LANDINGS_SHOWN:
            shown = self._with_landings()
        width = min(sum(shown) * scale + GAP, self.part.length * scale) + _BESIDE
        return width, sum(face.width * scale + 30.0 for face in self.faces)

    def draw(self, scale: float, room: Xy) -> Panel:
        panel = self._views(scale, room[0] - _BESIDE)
        if panel.width > room[0]:
            panel = self._views(scale, room[0] - _BESIDE - (panel.width - room[0]) - 1.0)
        return panel

    def _views(self, scale: float, room: float) -> Panel:
        axis = self._axis(scale, max(20.0, room))
        panels: list[Panel] = []
        y = 0.0
        for number, face in enumerate(self.faces):
            drawn = face_sketch(face, axis, self.figures, number == 0).panel()
            panel = titled(drawn, f"{face.word.capitalize()}, from outside")
            panels.append(panel.moved(0.0, y - panel.box[3]))
            y = panels[-1].box[1] - _APART
        return joined(panels)

    def _axis(self, scale: float, room: float) -> LongAxis:
        """Broken where there is neither a notch nor, if that can be, a hole."""
        # At a scale at which all holes are to be seen, too wide a view is drawn smaller.
        wanted = [self._with_landings(), self._with_holes(True)]
        if scale <= _HOLES_SHOWN:
            wanted += [self._with_holes(False), self._depths()]
        start, finish = next((each for each in wanted if sum(each) * scale + GAP <= room), wanted[-1])
        return LongAxis.fitted(0.0, self.part.length, scale, room, start, finish)

    def _with_landings(self) -> tuple[float, float]:
        """The same with all holes and all that lands on the faces."""
        (start, finish), length = self._with_holes(True), self.part.length
        for face in self.faces:
            for each in face.landings:
                if each.first + each.last < length:
                    start = max(start, each.last + _CLEAR)
                else:
                    finish = max(finish, length - each.first + _CLEAR)
        return start, finish

    def _with_holes(self, every: bool) -> tuple[float, float]:
        """The same with all holes, or with those of each face that are nearest to the ends."""
        length, (start, finish) = self.part.length, self._depths()
        for face in self.faces:
            near = [hole.along + hole.length for hole in face.holes if hole.along < length / 2.0]
            far = [length - hole.along + hole.length for hole in face.holes if hole.along >= length / 2.0]
            way = max if every else min
            start, finish = max(start, way(near, default=0.0)), max(finish, way(far, default=0.0))
        return start, finish

    def _depths(self) -> tuple[float, float]:
        """What of the profile is shown whole at either end, mm."""
        widest = max(face.width for face in self.faces)
        start = max(float(face.start[:, 0].max()) for face in self.faces)
        finish = max(self.part.length - float(face.finish[:, 0].min()) for face in self.faces)
        return start + 0.6 * widest, finish + 0.6 * widest


def _section(part: ProfilePart, figures: Figures) -> View:
    width, height = _size(part)
    largest, readable = (size / max(width, height) for size in (LARGEST, SMALLEST))
    draw = steady(lambda scale: section_sketch(part, scale, figures).panel())
    taken = least(width, height, (20.0, 20.0))
    return View("Section, from the start", taken, draw, largest=min(2.0, largest), readable=readable)


def _in_space(part: ProfilePart) -> View:
    body = drilled_body(part)
    return space_view([body.vertices], lambda view, scale: bodies_picture([body], view, scale).picture)
