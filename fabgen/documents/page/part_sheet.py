"""One part on the page: what it is, its checks, its drawings, its tables."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from urllib.parse import quote

from fabgen.checks.finding import Finding
from fabgen.documents.drawing.assembly.weld_symbol import weld_words
from fabgen.documents.page.part_figures import Drawing, PageTable, PartFigures
from fabgen.documents.render import cautions
from fabgen.documents.render.words import degrees, end_text, figure, size_text, stock_text, with_unit
from fabgen.job.tables.definitions import FAMILIES
from fabgen.job.tables.part_tables import COATED
from fabgen.parts.piece import FlatPart, Piece
from fabgen.wording.figures import Figures
from fabgen.wording.sentence import kilograms

PER_MM = 3.7
"""CSS pixels a millimetre of drawing on the screen, so that its letters can be read."""


def anchor(mark: str) -> str:
    """The part's place in the page, for links from other documents too: page.html#part-T7."""
    return f"part-{quote(mark, safe='')}"


def part_sheet(piece: Piece, figures: PartFigures, findings: Sequence[Finding], units: str) -> str:
    """The part's article."""
    mark, place = escape(piece.mark), escape(anchor(piece.mark))
    blocks = [
        f'<article class="part" id="{place}" data-mark="{mark}" aria-labelledby="h-{place}">',
        f'<h3 id="h-{place}" tabindex="-1"><b>{mark}</b> {escape(piece.title or piece.kind)}</h3>',
        _facts(piece, units),
        _checks(findings),
        *(drawn(each) for each in figures.drawings),
        *(tabled(each) for each in figures.grids),
        *(f'<p class="small">{escape(note)}</p>' for note in figures.notes),
    ]
    if FAMILIES[piece.kind].cautioned:
        blocks.append(f'<p class="small caution">{escape(cautions.of_part(piece))}</p>')
    return "\n".join([*blocks, "</article>"])


def _facts(piece: Piece, units: str) -> str:
    shape = piece.shape
    rows: list[tuple[str, str]] = [("stock", stock_text(piece, units)), ("quantity", str(piece.quantity))]
    if isinstance(shape, FlatPart):
        rows.append(("flat, width x height", f"{size_text(piece, units)} mm"))
        if shape.holes:
            rows.append(("holes and openings", str(len(shape.holes))))
        rows += [(what, with_unit(size, units)) for what, size in shape.sizes]
    else:
        rows.append(("length to saw", with_unit(shape.length, units)))
        rows += [(end.at, end_text(end)) for end in shape.ends]
        rows += [
            (
                f"bend {i}",
                f"{degrees(bend.angle)}, centreline radius {figure(bend.radius)} mm, mark at {figure(bend.mark)} mm",
            )
            for i, bend in enumerate(shape.bends, 1)
        ]
    rows.append(("mass, each, as sawn" if piece.is_assembly else "mass, each", kilograms(piece.mass).words()))
    if finish := piece.finish or COATED.get(piece.coating):
        rows.append(("finish", finish))
    known = {label for label, _ in rows}
    rows += [(fact.label, fact.text.words(units)) for fact in piece.facts if fact.label not in known]
    rows += [
        ("to buy", f"{each.quantity} {each.item} {each.goods.words()} {each.note.words(units)}".rstrip())
        for each in piece.hardware
    ]
    figures = Figures(units == "in")
    rows += [(f"weld on {', '.join(weld.parts[1:])}", weld_words(weld, figures)) for weld in piece.welds]
    if piece.note:
        rows.append(("note", piece.note))
    body = "".join(f"<div><dt>{escape(label)}</dt><dd>{escape(text)}</dd></div>" for label, text in rows)
    return f"<dl>{body}</dl>"


def _checks(findings: Sequence[Finding]) -> str:
    if not findings:
        return '<p class="small">No check found anything on this part. What was checked is under Checks.</p>'
    return f'<ul class="checks" aria-label="Checks">{"".join(f"<li>{said(each)}</li>" for each in findings)}</ul>'


def said(finding: Finding) -> str:
    """A finding's level, text and source."""
    source = f' <span class="small">({escape(finding.source)})</span>' if finding.source else ""
    return f'<span class="flag {finding.level}">{finding.level.word.capitalize()}</span> {escape(finding.text)}{source}'


def drawn(drawing: Drawing) -> str:
    """A drawing at a size that can be read; what is wider than the screen can be pushed along, by keys too."""
    label = escape(f"Drawing: {drawing.caption}")
    width = round(drawing.width * PER_MM)
    return (
        f'<figure><div class="push" tabindex="0" role="group" aria-label="{label}">'
        f'<div class="drawing" style="width:{width}px">{drawing.svg}</div></div>'
        f"<figcaption>{escape(drawing.caption)}</figcaption></figure>"
    )


def tabled(grid: PageTable) -> str:
    """A table to push along where it is wide, folded away where it is long."""
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in grid.heads)
    rows = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in grid.rows)
    note = f'<p class="small">{escape(grid.note)}</p>' if grid.note else ""
    table = (
        f'<div class="push" tabindex="0" role="group" aria-label="{escape("Table: " + grid.caption)}">'
        f'<table class="figures"><caption>{escape(grid.caption)}</caption><thead><tr>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>{note}"
    )
    if len(grid.rows) <= 6:
        return table
    return f"<details><summary>{escape(grid.caption)}</summary>{table}</details>"
