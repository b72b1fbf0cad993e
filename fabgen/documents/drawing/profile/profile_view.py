"""Views of a profile: each outer face unfolded below the one before it, its section as it lies, and it in space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.documents.drawing.profile.face_view import MOST_STATIONS, face_shapes, face_sketch, leg_hole_rows
from fabgen.documents.drawing.profile.section_sketch import section_sketch
from fabgen.documents.drawing.sheet.blocks import titled
from fabgen.documents.drawing.sheet.long_axis import MOST, LongAxis, Span, about, shortest
from fabgen.documents.drawing.sheet.space_view import space_view
from fabgen.documents.drawing.sheet.views import Content, DrawnView, TableText, View, least, steady
from fabgen.documents.drawing.tables_of_a_part import face_landing_table
from fabgen.documents.render.sketch import Panel, joined
from fabgen.documents.render.words import end_text, profile_saw_text
from fabgen.documents.scene.body_lines import bodies_picture
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import ProfilePart
from fabgen.parts.shape.profiles import drilled_body
from fabgen.parts.shape.standing import Seen
from fabgen.wording.figures import Figures

LARGEST, SMALLEST = 45.0, 18.0
"""A section is drawn at most and at least this large, mm of paper."""
STILL_SEEN = 4.0
"""A face may be so narrow on paper, mm, where the section and the tables then stand on the same sheet."""
_LONG = 40.0
"""Of what is longer than this on paper only its edges are sure to be shown, mm."""
_APART = 8.0
_BESIDE = 48.0
"""What sizes and the names of the ends take beside the faces, mm of paper."""


def profile_content(part: ProfilePart, figures: Figures, standing: Sequence[Seen] = ()) -> Content:
    """The faces with their sizes, the section, the profile in space, and how its ends are cut.

    Args:
        part: to draw.
        figures: of the job's units.
        standing: the placed parts that stand on it.
    """
    views = _FaceViews(part, figures, standing)
    wide = len(views.faces) < 3 and not views.is_crowded
    slim = STILL_SEEN * len(views.faces)
    largest = min(2.0, LARGEST / max(_size(part)))
    main = View("", views.least, views.draw, largest=largest, wide=wide, slim=slim, broken=True)
    rows = tuple((end.at, end_text(end, figures.units), profile_saw_text(end)) for end in part.ends)
    tables = [TableText("Ends", ("end", "cut", "saw"), rows)]
    if any(len(face.holes) > MOST_STATIONS for face in views.faces):
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

    def __init__(self, part: ProfilePart, figures: Figures, standing: Sequence[Seen]) -> None:
        self.part, self.figures = part, figures
        self.faces = face_shapes(part, standing)
        self.whole = (0.0, part.length)
        self.is_crowded = any(face.lying for face in self.faces)
        self.most_breaks = MOST + self.is_crowded

    def least(self, scale: float) -> Xy:
        width = shortest(self.whole, scale, self._kept(scale), self.most_breaks) + _BESIDE
        return width, sum(face.width * scale + 16.0 for face in self.faces)

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
        """Broken where there is neither a notch nor a hole nor an edge of what lies on a face."""
        return LongAxis.fitted(self.whole, scale, room, self._kept(scale), self.most_breaks)

    def _kept(self, scale: float) -> list[Span]:
        """The ends, all holes and what lies on the faces: of what is long on paper its edges."""
        kept = self._with_holes(scale)
        for each in (each for face in self.faces for each in face.lying):
            half = (each.last - each.first) / 2.0
            if 2.0 * half * scale > _LONG:
                kept += [about(edge, 0.0, scale) for edge in (each.first, each.last)]
            else:
                kept.append(about(each.first + half, half, scale))
        return kept

    def _with_holes(self, scale: float) -> list[Span]:
        """The ends and all holes."""
        holes = (hole for face in self.faces for hole in face.holes)
        return [*self._ends(), *(about(hole.along, hole.ahead + hole.width / 2.0, scale) for hole in holes)]

    def _ends(self) -> tuple[Span, Span]:
        """What of the profile is shown whole at either end."""
        length, more = self.part.length, 0.6 * max(face.width for face in self.faces)
        start = max(float(face.start[:, 0].max()) for face in self.faces)
        finish = min(float(face.finish[:, 0].min()) for face in self.faces)
        return (0.0, start + more), (finish - more, length)


def _section(part: ProfilePart, figures: Figures) -> View:
    width, height = _size(part)
    largest, readable = (size / max(width, height) for size in (LARGEST, SMALLEST))
    draw = steady(lambda scale: section_sketch(part, scale, figures).panel())
    taken = least(width, height, (20.0, 20.0))
    return View("Section, from the start", taken, draw, largest=min(2.0, largest), readable=readable)


def _in_space(part: ProfilePart) -> View:
    body = drilled_body(part)
    view = space_view([body.vertices], lambda view, scale: bodies_picture([body], view, scale).picture)
    return replace(view, spare=True)
