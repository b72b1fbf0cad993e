"""The welds of the tube joints as a table of the cut list: how long each runs, and how the surfaces meet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from reportlab.platypus import Flowable

from fabgen.documents.flow import SMALL, cell, section, shared, table
from fabgen.documents.words import degrees, figure, length_text
from fabgen.geometry.weld_run import WeldRun
from fabgen.parts.piece import LengthPart, Piece
from fabgen.parts.welds import JointWeld, joint_welds, total_weld_length, tube_parts


def weld_table(pieces: Sequence[Piece], units: str, width: float) -> list[Flowable]:
    """One row a joint; nothing where no tube meets another."""
    parts = tube_parts(pieces)
    rows = [_row(piece.mark, at, list(welds), units) for piece in pieces for at, welds in _by_end(piece, parts)]
    if not rows:
        return []
    note = cell(
        f"{figure(total_weld_length(pieces) / 1000.0, 2)} m in all. Run: once round the joint where the outer surfaces "
        "meet. Angle: between the two surfaces, square to the run; where it is small the weld is a butt weld with "
        "a root to reach, not a fillet. Sizes and preparation are the welder's procedure's.",
        SMALL,
    )
    heads = ["mark", "end", "run", "on which tube, how far, angle between the surfaces"]
    return section("Welds at the tube joints", table(heads, rows, shared(width, 16, 16, 28, 120), (2,)), note)


def _by_end(piece: Piece, parts: Mapping[str, LengthPart]) -> Iterator[tuple[str, Iterator[JointWeld]]]:
    return groupby(joint_welds(piece, parts), lambda weld: weld.at)


def _row(mark: str, at: str, welds: list[JointWeld], units: str) -> list[str]:
    total = round(sum(weld.length for weld in welds))
    joints = [f"{weld.onto} {figure(weld.length, 0)} mm, {_angles(weld.run)}" for weld in welds]
    return [mark, at, length_text(total, units), ";  ".join(joints)]


def _angles(run: WeldRun) -> str:
    if math.isnan(run.least):
        return "-"
    least, greatest = degrees(round(run.least, 3)), degrees(round(run.greatest, 3))
    return least if least == greatest else f"{least} to {greatest}"
