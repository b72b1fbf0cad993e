"""Checks of left and right hand: parts that have one, made to one drawing for both sides."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fabgen.changes.as_issued import as_issued
from fabgen.changes.same_metal import mirrored_tube, same_metal
from fabgen.checks.checked import Checked
from fabgen.checks.rule import Found, found, rule
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.hands.own_image import is_handed
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.shop.sheet_cutting import COMMON
from fabgen.wording.levels import Level

_ACROSS = np.array([1.0, -1.0, 1.0])
COARSE = 1.0
"""Chords of the bodies that are compared, mm."""


@rule("one-hand", Level.WARN, source=COMMON)
def one_hand(job: Checked) -> Iterator[Found]:
    """What differs from its mirror image does not serve left and right of the middle plane, y = 0, turned round: sheet
    parts with a place on either side, and tubes made twice that stand on one."""
    sheet = [piece.mark for piece in job.pieces if piece.is_to_make and _stands_on_both(piece)]
    tubes = [piece.mark for piece in job.pieces if piece.is_to_make and _is_half_of_a_pair(job, piece)]
    for marks, what, do in (
        (sheet, " on the left and on the right", "keep the places of one side and mirror"),
        (tubes, " twice, drawn on one side", "set quantity = 1 and mirror"),
    ):
        if not marks:
            continue
        listed = ", ".join(f'"{mark}"' for mark in marks)
        used, whose, them = ("is", "its", "it") if len(marks) == 1 else ("are", "their", "them")
        said = f"{names(marks)} {used} used{what}, but {whose} mirror image is another part"
        yield found(f"{said}: {do} {them}, [[mirror]] parts = [{listed}]", about=marks)


def _stands_on_both(piece: Piece) -> bool:
    """Whether a handed part stands left and right, opposite itself; of more in a row none are taken for a pair."""
    part = piece.flat_part
    if part is None or len(part.places) < 2:
        return False
    given, size = _middles(part)
    middles = np.array(given)
    for i, one in enumerate(middles):
        before = middles[:i]
        opposite = (one[1] * before[:, 1] < 0.0) & (np.linalg.norm(one * _ACROSS - before, axis=1) < size / 2.0)
        far = np.minimum(abs(one[1]), np.abs(before[:, 1])) > size / 2.0
        # Of more in a row none are taken for a pair.
        if (opposite & far).any() and (np.hypot(*(middles - one)[:, [0, 2]].T) < size).sum() == 2:
            return is_handed(part)
    return False


def _middles(part: FlatPart) -> tuple[list[Array], float]:
    """The middle of the part at each of its places, and its greatest size, mm."""
    corners = sheet_body(part, COARSE).vertices
    low, high = corners.min(axis=0), corners.max(axis=0)
    middle = (low + high) / 2.0
    return [place.frame.outside(middle) for place in part.places], float((high - low).max())


def _is_half_of_a_pair(job: Checked, piece: Piece) -> bool:
    """Whether a tube made twice stands on one side alone, and differs from its mirror image."""
    part, table = piece.length_part, job.tube_tables.get(piece.mark)
    if part is None or table is None or piece.quantity != 2:
        return False
    sides = [point.y for point in table.route]
    if min(sides) * max(sides) <= 0.0 or min(map(abs, sides)) < part.section.width:
        return False
    (one,) = as_issued((piece,))
    return not same_metal(one, mirrored_tube(one))


@rule("hand-unplaced", Level.WARN, source=COMMON)
def hand_unplaced(job: Checked) -> Iterator[Found]:
    """Two alike of what differs from its mirror image, without a place, are not one for each side of a job that
    mirrors other parts."""
    if not job.job.mirror:
        return
    marks = [piece.mark for piece in job.pieces if piece.is_to_make and _is_loose_pair(piece)]
    if marks:
        several = len(marks) > 1
        are, it = (f"{names(marks)} are", "them") if several else ("is", "it")
        said = f"{are} made twice of one hand, and {'their' if several else 'its'} mirror image is another part"
        listed = ", ".join(f'"{mark}"' for mark in marks)
        do = f"if one is for either side, set quantity = 1, give `place` and mirror {it}"
        yield found(f"{said}: {do}, [[mirror]] parts = [{listed}]", about=marks)


def _is_loose_pair(piece: Piece) -> bool:
    part = piece.flat_part
    return part is not None and piece.quantity == 2 and not part.places and is_handed(part)


RULES = (one_hand, hand_unplaced)
