"""The page's section on movement: views of what moves, its figures over each travel, and what comes near what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fabgen.documents.page.part_figures import Drawing, PageTable
from fabgen.documents.points.movement_pdf import (
    clearance_table,
    mobility_text,
    motion_pictures,
    steady_clearances,
    steady_text,
    sweep_title,
    swept_plots,
    swept_tables,
)
from fabgen.documents.render.prose import prose
from fabgen.documents.render.svg import to_svg
from fabgen.job.tables.definitions import Header
from fabgen.motion.movement import Movement

VIEWS = 180.0
"""Total width of the three views, mm of drawing."""
PLOT = (90.0, 46.0)
"""Width and height of a plot, mm of drawing."""


@dataclass(frozen=True)
class Travel:
    """One travel: its title ('' where nothing travels), whether it could be begun, its figures and clearances, and in a
    sentence each what of these stays the same, '' where all changes."""

    title: str
    reached: bool
    grids: list[PageTable]
    plots: list[Drawing]
    near: PageTable
    steady: str = ""
    still: str = ""


@dataclass(frozen=True)
class MovingPart:
    """What the section says; movement.pdf says the same."""

    about: str
    views: list[Drawing]
    travels: list[Travel]
    limits: str


def moving_part(header: Header, movement: Movement) -> MovingPart:
    """The section's content."""
    views = [
        Drawing(
            f"{seen.words} {seen.legend}",
            to_svg(seen.panel.picture, seen.panel.width, seen.panel.height, seen.words),
            seen.panel.width,
        )
        for seen in motion_pictures(movement, VIEWS)
    ]
    still = Travel("", True, [], [], _grid("Least clearances", *clearance_table(movement, None, 0)))
    travels = list(_travels(movement)) or [still]
    return MovingPart(mobility_text(header, movement), views, travels, prose("movement", "limits"))


def _travels(movement: Movement) -> Iterator[Travel]:
    for number, result in enumerate(movement.sweeps):
        plots = (to_svg(picture, *PLOT, result.name) for picture in swept_plots(movement, result, PLOT))
        yield Travel(
            sweep_title(movement, result),
            bool(result.places),
            [_grid(f"Figures of {result.name}", heads, rows) for heads, rows in swept_tables(movement, result)],
            [Drawing(result.name, svg, PLOT[0]) for svg in plots],
            _grid("Least clearances", *clearance_table(movement, result, number)),
            steady_text(result, movement.linkage.job.job.units) if result.places else "",
            steady_clearances(movement, result, number),
        )


def _grid(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> PageTable:
    return PageTable(caption, tuple(heads), tuple(tuple(row) for row in rows))
