"""The table of what sits on a tube, to mark it out by."""

from __future__ import annotations

from fabgen.documents.drawing.sheet.views import TableText
from fabgen.documents.render.words import degrees
from fabgen.parts.piece import Landing, LengthPart
from fabgen.wording.figures import Figures

TITLE = "What lands here, from the start's saw cut; round: clockwise seen from the start"


def landing_table(main: LengthPart, figures: Figures) -> TableText | None:
    """A row for each end that sits on the tube; None where none does."""
    if not main.landings:
        return None
    rows = tuple(_row(each, figures) for each in main.landings)
    heads = ("mark (end)", "axes meet at", "centre on skin at", "round from TOP", "angle")
    bent = "; in a bend: along the centreline" if any(each.bend for each in main.landings) else ""
    return TableText(TITLE + bent, heads, rows)


def _row(landing: Landing, figures: Figures) -> tuple[str, ...]:
    name, angle = f"{landing.branch} ({landing.at})", degrees(landing.angle)
    skin = "beside the axis" if landing.skin is None else figures.tube(landing.skin)
    if landing.bend is not None:
        place = f"{degrees(landing.bend.into)} into bend {landing.bend.number}"
        skin = place if landing.skin is not None else f"{skin}, {place}"
    around = "-" if landing.round is None else degrees(landing.round)
    return (name, figures.tube(landing.axes), skin, around, angle)
