"""The welds of the tube joints as a table of the cut list: how long each runs, and how the surfaces meet."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reportlab.platypus import Flowable

from fabgen.documents.render.flow import SMALL, cell, section, shared, table
from fabgen.documents.render.words import degrees, figure, length_text
from fabgen.geometry.tube.weld_run import WeldRun
from fabgen.parts.piece import Piece
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.weld_families import FILLET_GREATEST, FILLET_LEAST, WeldFamily, total_weld_length, weld_families

MOST = 16
"""Ends that are named in one row."""


def weld_table(pieces: Sequence[Piece], units: str, width: float) -> list[Flowable]:
    """One row for all joints alike; nothing where no tube meets another."""
    rows = [_row(family, units) for family in weld_families(pieces)]
    if not rows:
        return []
    note = cell(
        f"{figure(total_weld_length(pieces) / 1000.0, 2)} m in all. Run: once round the joint where the outer surfaces "
        "meet, of each end named. Heel: where the two tubes meet at the sharper angle; toe: opposite. "
        "Angle: between the two surfaces, square to the run. Under 60° a fillet does not "
        "reach the root: the weld is a butt weld there, its edge bevelled. Over 120° a fillet has little throat. "
        "Sizes and preparation are the welder's procedure's.",
        SMALL,
    )
    heads = ["ends", "joint", "run of each", "angle", "under 60°", "over 120°"]
    widths = shared(width, 50, 44, 22, 20, 26, 26)
    return section("Welds at the tube joints", table(heads, rows, widths, (2,)), note)


def _row(family: WeldFamily, units: str) -> list[str]:
    run = family.weld.run
    under = run.length_under(FILLET_LEAST) if family.share_under() else 0.0
    over = run.length_over(FILLET_GREATEST) if family.share_over() else 0.0
    return [
        names([member.name for member in family.members], MOST),
        family.joint,
        length_text(round(run.length), units),
        _angles(run),
        f"{length_text(round(under), units)} {_inside(family)}" if under else "-",
        f"{length_text(round(over), units)} {family.open_side}" if over else "-",
    ]


def _inside(family: WeldFamily) -> str:
    if family.weld.shared:
        return "inside the corner"
    return "on the sharper side" if len(family.first.end.seats) > 1 else "round the heel"


def _angles(run: WeldRun) -> str:
    if math.isnan(run.least):
        return "-"
    least, greatest = degrees(round(run.least, 3)), degrees(round(run.greatest, 3))
    return least if least == greatest else f"{least} to {greatest}"
