"""A profile drawn in space, as it is cut."""

from __future__ import annotations

from functools import cache

from fabgen.documents.drawing.sheet.views import Content, DrawnView, TableText, View
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.words import end_text, profile_saw_text
from fabgen.geometry.plane.outline import Xy
from fabgen.parts.piece import ProfilePart
from fabgen.parts.shape.profiles import profile_body
from fabgen.wording.figures import Figures


def profile_content(part: ProfilePart, figures: Figures) -> Content:
    """The profile from above at an angle, its length, and how its ends are cut.

    Args:
        part: to draw.
        figures: of the job's units.
    """
    from fabgen.documents.scene.body_lines import bodies_picture
    from fabgen.documents.scene.hidden_lines import isometric, seen_size

    body, view = profile_body(part), isometric()
    width, height = seen_size([body.vertices], view)

    @cache
    def drawn(scale: float) -> Panel:
        picture = bodies_picture([body], view, scale).picture
        return Panel(picture, picture.bounds)

    def draw(scale: float, room: Xy) -> Panel:
        return drawn(scale)

    main = View("Isometric", lambda scale: (width * scale, height * scale), draw)
    rows = tuple((end.at, end_text(end), profile_saw_text(end)) for end in part.ends)
    tables = (
        TableText("Length", ("length to saw",), ((figures.tube(part.length),),)),
        TableText("Ends", ("end", "cut", "saw"), rows),
    )
    return Content(DrawnView(main), tables=tables)
