"""The page's lists: the cut list with boxes to tick, the bars in the order to saw, all checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from html import escape

from fabgen.checks.finding import Finding, graded, merged
from fabgen.documents.page.part_sheet import anchor, said
from fabgen.documents.render import cautions
from fabgen.documents.render.words import length_text, size_text, stock_text
from fabgen.job.tables.definitions import FAMILIES
from fabgen.parts.piece import Piece
from fabgen.plan.plan import Plan
from fabgen.wording.levels import Level

MOST_BOXES = 12
"""A mark made more often than this has one box for all of them."""


def cut_list(pieces: Sequence[Piece], findings: Sequence[Finding], prints: Mapping[str, str], units: str) -> str:
    """The table; `prints` by mark show which ticks were set for an older shape."""
    worst = _worst(findings)
    groups = []
    for kind, family in FAMILIES.items():
        rows = [_row(p, worst.get(p.mark), prints[p.mark], units) for p in pieces if p.kind == kind]
        if rows:
            heading = f'<tr class="kind"><th scope="rowgroup" colspan="6">{family.heading}</th></tr>'
            groups.append(f"<tbody>{heading}{''.join(rows)}</tbody>")
    heads = [
        ("mark", "Mark"),
        ("what", "Part"),
        ("stock", "Stock"),
        ("size", "Saw length or flat, mm"),
        ("quantity", "Quantity"),
    ]
    columns = "".join(f'<th scope="col" class="{key}">{name}</th>' for key, name in heads)
    return (
        '<table id="cuts"><caption class="unseen">Cut list: one row a mark, a box to tick a piece</caption>'
        f'<thead><tr>{columns}<th scope="col" class="done">Done</th></tr></thead>{"".join(groups)}</table>'
    )


def _worst(findings: Sequence[Finding]) -> dict[str, Level]:
    """The gravest level found for each mark."""
    found: dict[str, Level] = {}
    for finding in graded(findings):
        for mark in finding.marks:
            found.setdefault(mark, finding.level)
    return found


def _row(piece: Piece, level: Level | None, cut: str, units: str) -> str:
    mark = escape(piece.mark)
    words = escape(f"{piece.mark} {piece.title} {stock_text(piece, units)}".lower())
    flag = f' <span class="flag {level}">{level.word.capitalize()}</span>' if level in (Level.STOP, Level.WARN) else ""
    return (
        f'<tr data-mark="{mark}" data-print="{cut}" data-find="{words}">'
        f'<th scope="row" class="mark">{_link(piece.mark)}</th>'
        f'<td class="what">{escape(piece.title or piece.kind)}{flag}</td>'
        f'<td class="stock">{escape(stock_text(piece, units))}</td>'
        f'<td class="size">{"made already" if piece.made else escape(size_text(piece, units))}</td>'
        f'<td class="quantity">{piece.quantity}</td><td class="done">{"".join(_boxes(piece))}</td></tr>'
    )


def _boxes(piece: Piece) -> Iterator[str]:
    if piece.made:
        return
    count = piece.quantity if piece.quantity <= MOST_BOXES else 1
    mark = escape(piece.mark)
    for i in range(1, count + 1):
        if piece.quantity == 1:
            label = f"{mark} done"
        elif count == 1:
            label = f"all {piece.quantity} of {mark} done"
        else:
            label = f"{mark}, piece {i} of {count}, done"
        yield f'<label class="tick"><input type="checkbox" aria-label="{label}"></label>'


def bar_list(plan: Plan, units: str) -> str:
    """Bars with their cuts in order; empty where nothing is sawn."""
    if not plan.bars:
        return ""
    rows = []
    for bar in plan.bars:
        cuts = ", ".join(f"{_link(cut.mark)}&nbsp;{escape(length_text(cut.length, units))}" for cut in bar.cuts)
        rows.append(
            f'<tr><th scope="row">{bar.count} of {escape(bar.goods.words())}</th><td>{cuts}</td>'
            f'<td class="size">{escape(length_text(bar.offcut, units))}</td></tr>'
        )
    return (
        '<h3>Bars, in the order to saw</h3><div class="push" tabindex="0" role="group" aria-label="Table: bars">'
        '<table><caption class="unseen">Bars and what is sawn from each</caption><thead><tr><th scope="col">Bar</th>'
        '<th scope="col">Cuts, mm</th><th scope="col">Left over, mm</th></tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table></div>"
    )


def first_looks(findings: Sequence[Finding], known: Mapping[str, Piece]) -> str:
    """Findings that say stop or look, shown until a part is chosen; empty where there are none."""
    items = [
        f"<li>{_about(each, known)}: {said(each)}</li>"
        for level in (Level.STOP, Level.WARN)
        for each in merged(findings)
        if each.level == level
    ]
    return f'<h3>Look at these first</h3><ul class="checks">{"".join(items)}</ul>' if items else ""


def check_list(findings: Sequence[Finding], known: Mapping[str, Piece]) -> str:
    """All findings, the gravest first, those that say the same of several marks listed once."""
    blocks = []
    every = merged(findings)
    for level in Level:
        items = [f"<li>{_about(each, known)}: {said(each)}</li>" for each in every if each.level == level]
        if items:
            blocks.append(f'<h3>{level.heading}</h3><ul class="checks">{"".join(items)}</ul>')
    if not blocks:
        blocks.append("<p>The checks found nothing to report.</p>")
    return "".join(blocks) + f'<p class="small">{escape(cautions.CHECKED)}</p>'


def _about(finding: Finding, known: Mapping[str, Piece]) -> str:
    return ", ".join(_link(mark) if mark in known else f"<b>{escape(mark)}</b>" for mark in finding.marks)


def _link(mark: str) -> str:
    return f'<a href="#{escape(anchor(mark))}">{escape(mark)}</a>'
