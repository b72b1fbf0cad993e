"""The welds where tubes, bushes and sleeves meet other parts, as a table of the cut list: how long each runs, and how
the surfaces meet."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from fabgen.contact.weld_lines import WeldLine
from fabgen.documents.render.flow import Column, Noted, listed, section
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import degrees, length_text, run_text
from fabgen.geometry.tube.weld_run import WeldRun
from fabgen.parts.piece import Piece, made_here, profile_parts
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.welds.weld_families import (
    FILLET_GREATEST,
    FILLET_LEAST,
    WeldFamily,
    total_weld_length,
    weld_families,
)

MOST = 16
"""Ends that are named in one row."""


def weld_table(pieces: Sequence[Piece], units: str, width: float) -> Noted:
    """One row for all joints alike; nothing where nothing meets another."""
    families = weld_families(pieces)
    if not families:
        return Noted()
    columns = [
        Column("ends", lambda family: names([member.name for member in family.members], MOST)),
        Column("joint", lambda family: family.joint(units)),
        Column("run of each", lambda family: length_text(round(family.weld.run.length), units), right=True),
        Column("angle", lambda family: _angles(family.weld.run)),
        Column("under 60°", lambda family: _under(family, units)),
        Column("over 120°", lambda family: _over(family, units)),
    ]
    title = "Welds at the joints"
    last = ["", "in all", run_text(total_weld_length(pieces), units), "", "", ""]
    return Noted(section(title, listed(families, columns, width, last)), title, prose("cut_list", "welds"))


def profile_weld_table(pieces: Sequence[Piece], units: str, width: float) -> Noted:
    """One row for all ends of profiles that are welded alike; nothing where none is."""
    groups: dict[tuple[str, int], list[str]] = {}
    total = 0.0
    for piece, part in profile_parts(made_here(pieces)):
        for end in part.ends:
            if end.weld:
                total += end.weld * piece.quantity
                how = "mitred, each its half" if end.kind == "mitre" else f"on {' and '.join(end.onto)}"
                key = f"{part.section.words(units)} {how}", round(end.weld)
                groups.setdefault(key, []).append(f"{piece.mark} {end.at}")
    if not groups:
        return Noted()
    columns = [
        Column("ends", lambda row: names(row[1], MOST)),
        Column("joint", lambda row: row[0][0]),
        Column("run of each", lambda row: length_text(row[0][1], units), right=True),
    ]
    title, last = "Welds of profiles", ["", "in all", run_text(total, units)]
    story = section(title, listed(list(groups.items()), columns, width, last))
    return Noted(story, title, prose("cut_list", "profile_welds"))


def sheet_weld_table(lines: Sequence[WeldLine], units: str, width: float) -> Noted:
    """One row for all places where sheet is welded alike; nothing where none is.

    Args:
        lines: of the whole job.
        units: the job's.
        width: of the table, mm.
    """
    groups: dict[tuple[str, tuple[int, ...]], list[WeldLine]] = {}
    for line in lines:
        groups.setdefault((line.kind, tuple(sorted(round(run) for run in line.runs))), []).append(line)
    if not groups:
        return Noted()
    rows = list(groups.items())
    columns = [
        Column("where", lambda row: names(_where(row[1]), MOST)),
        Column("weld", lambda row: row[0][0]),
        Column("runs of each", lambda row: _runs(row[0][1], units)),
        Column("in all", lambda row: length_text(round(sum(line.length for line in row[1])), units), right=True),
    ]
    title, last = "Welds of sheet parts", ["", "", "in all", run_text(sum(line.length for line in lines), units)]
    return Noted(section(title, listed(rows, columns, width, last)), title, prose("cut_list", "sheet_welds"))


def _where(lines: Sequence[WeldLine]) -> list[str]:
    """'P1 on T3', '2 × P3 on T1', 'P1 with P2' where they butt."""
    count = Counter(f"{line.one.mark} {'with' if line.kind == 'butt' else 'on'} {line.other.mark}" for line in lines)
    return [name if many == 1 else f"{many} × {name}" for name, many in count.items()]


def _runs(runs: Sequence[int], units: str) -> str:
    """'2 × 100 mm, 80 mm'."""
    each = [(many, length_text(run, units)) for run, many in Counter(runs).items()]
    return ", ".join(text if many == 1 else f"{many} × {text}" for many, text in each)


def _under(family: WeldFamily, units: str) -> str:
    under = family.weld.run.length_under(FILLET_LEAST) if family.share_under() else 0.0
    return f"{length_text(round(under), units)} {_inside(family)}" if under else "-"


def _over(family: WeldFamily, units: str) -> str:
    over = family.weld.run.length_over(FILLET_GREATEST) if family.share_over() else 0.0
    return f"{length_text(round(over), units)} {family.open_side}" if over else "-"


def _inside(family: WeldFamily) -> str:
    if family.weld.shared:
        return "inside the corner"
    return "on the sharper side" if len(family.first.end.seats) > 1 else "round the heel"


def _angles(run: WeldRun) -> str:
    if math.isnan(run.least):
        return "-"
    least, greatest = degrees(round(run.least, 3)), degrees(round(run.greatest, 3))
    return least if least == greatest else f"{least} to {greatest}"
