"""All checks on all pieces and the plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fabgen.checks.bolts_and_prices import check_shopping
from fabgen.checks.finding import Finding, graded
from fabgen.checks.links import check_links
from fabgen.checks.sheet.flat_parts import check_flat
from fabgen.checks.sheet.workshop import Workshop
from fabgen.checks.sizes import check_sizes
from fabgen.checks.told import check_told
from fabgen.checks.tube.open_bores import check_openings
from fabgen.checks.tube.tube_ends import check_tubes
from fabgen.checks.welds import check_welds
from fabgen.parts.piece import Piece
from fabgen.plan.plan import Plan
from fabgen.wording.levels import Level

if TYPE_CHECKING:
    from fabgen.motion.movement import Study


def run_checks(
    pieces: Sequence[Piece],
    plan: Plan,
    movement: Study | None = None,
    shop: Workshop | None = None,
    bending: Sequence[Finding] = (),
) -> list[Finding]:
    """Every finding, the gravest first, then in the order of the job; `movement`: how the job moves, if it
    does; `shop`: how it cuts and folds sheet, the usual where not given; `bending`: what `check_bending` found,
    which asks for the job's own materials and bend tests."""
    found = [*check_sizes(pieces), *check_tubes(pieces), *check_openings(pieces)]
    found += [*check_links(pieces), *check_welds(pieces)]
    for piece in pieces:
        found += check_told(piece)
        if piece.flat_part is not None:
            found += check_flat(piece, shop)
    found += bending
    if movement is not None:
        from fabgen.checks.motion.motion_checks import check_movement  # the jobs that move are few

        found += check_movement(movement)
    told = {mark for finding in found if finding.rule == "sheet-size" for mark in finding.marks}  # with its sizes
    found += [finding for finding in check_stock(plan) if not told.intersection(finding.marks)]
    found += check_shopping(pieces, plan)
    return graded(found)


def check_stock(plan: Plan) -> list[Finding]:
    """Pieces that no stock is long or large enough for."""
    return [Finding(Level.STOP, (mark,), "stock-size", reason) for mark, reason in plan.unplaced]
