"""The table of what sits on a tube, to mark it out by."""

from __future__ import annotations

from collections.abc import Iterable

from fabgen.documents.drawing.views import TableText
from fabgen.documents.words import degrees
from fabgen.parts.landings import Landing, landings
from fabgen.parts.piece import Piece
from fabgen.shop.figures import Figures

TITLE = "What lands here, from the start's saw cut; round: clockwise seen from the start"


def landing_table(main: Piece, pieces: Iterable[Piece], figures: Figures) -> TableText | None:
    """A row for each end that sits on the tube; None where none does."""
    rows = tuple(_row(each, figures) for each in landings(main, pieces))
    if not rows:
        return None
    heads = ("mark (end)", "axes meet at", "centre on skin at", "round from TOP", "angle")
    return TableText(TITLE, heads, rows)


def _row(landing: Landing, figures: Figures) -> tuple[str, ...]:
    name, angle = f"{landing.branch} ({landing.at})", degrees(landing.angle)
    if landing.axes is None:
        return (name, "in a bend", "-", "-", angle)
    skin = "beside the axis" if landing.skin is None else figures.tube(landing.skin)
    around = "-" if landing.round is None else degrees(landing.round)
    return (name, figures.tube(landing.axes), skin, around, angle)
