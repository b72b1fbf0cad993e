"""The page's section on movement: views of what moves, its figures over each travel, and what comes near what."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from fabgen.documents.page.part_figures import Drawing, PageTable
from fabgen.documents.page.part_sheet import drawn, tabled
from fabgen.documents.points.movement_pdf import (
    LIMITS,
    clearance_table,
    mobility_text,
    motion_pictures,
    sweep_title,
    swept_plots,
    swept_tables,
)
from fabgen.documents.render.svg import to_svg
from fabgen.job.tables.definitions import Header
from fabgen.motion.movement import Movement

VIEWS = 180.0
"""Total width of the three views, mm of drawing."""
PLOT = (90.0, 46.0)
"""Width and height of a plot, mm of drawing."""


def movement_section(header: Header, movement: Movement) -> str:
    """The section as HTML; movement.pdf says the same."""
    blocks = [
        '<section id="movement" aria-labelledby="h-movement">',
        '<h2 id="h-movement">Movement</h2>',
        f"<p>{escape(mobility_text(header, movement))}</p>",
    ]
    for seen in motion_pictures(movement, VIEWS):
        svg = to_svg(seen.panel.picture, seen.panel.width, seen.panel.height, seen.words)
        blocks.append(drawn(Drawing(f"{seen.words} {seen.legend}", svg, seen.panel.width)))
    for number, result in enumerate(movement.sweeps):
        blocks.append(f"<h3>{escape(sweep_title(result))}</h3>")
        if not result.places:
            blocks.append("<p>No position of this travel could be reached.</p>")
        for heads, rows in swept_tables(result):
            blocks.append(tabled(_grid(f"Figures of {result.name}", heads, rows)))
        plots = (to_svg(picture, *PLOT, result.name) for picture in swept_plots(movement, result, PLOT))
        blocks.append(f'<div class="plots">{"".join(drawn(Drawing(result.name, svg, PLOT[0])) for svg in plots)}</div>')
        blocks += _near(movement, number)
    if not movement.sweeps:
        blocks += _near(movement, 0)
    return "\n".join([*blocks, f'<p class="small caution">{escape(LIMITS)}</p>', "</section>"])


def _near(movement: Movement, number: int) -> Iterator[str]:
    result = movement.sweeps[number] if movement.sweeps else None
    heads, rows = clearance_table(movement, result, number)
    if rows:
        yield tabled(_grid("Least clearances", heads, rows))


def _grid(caption: str, heads: list[str], rows: list[list[str]]) -> PageTable:
    return PageTable(caption, tuple(heads), tuple(tuple(row) for row in rows))
