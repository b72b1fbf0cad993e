"""Pivots along a tube: how much room they have in its bore."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.job.tables.lengths.bar_tables import Bush
from fabgen.parts.piece import LengthPart, Piece
from fabgen.plan.plan import BoltStack
from fabgen.shop.threaded.clearance_holes import clearance_diameter
from fabgen.shop.threads import Thread
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm

SLACK = 0.02
"""Sizes this little over a limit are let pass, mm."""
LOOSE = 1.0
"""A bush that is thinner than the bore by more is for another tube, mm (common practice, no source)."""


@rule(
    "pivot-bore",
    Level.WARN,
    source=f"coarse fit of ISO 273 and ASME B18.2.8, from memory; that a pivot needs it at least: {PRACTICE}",
)
def pivot_bore(job: Checked) -> Iterator[Found]:
    """A bolt that parts turn on, along a tube, has no more room in its bore than in a hole of the coarse fit, or a bush
    for it."""
    shapes = {piece.mark: piece.shape for piece in job.pieces}
    loose: dict[tuple[Thread, float], list[tuple[str, BoltStack]]] = {}
    for stack in job.plan.bolts:
        most = clearance_diameter(stack.choice.thread.bolt, "coarse") if stack.pivot else None
        for layer in stack.layers if most is not None else ():
            tube = shapes.get(layer.mark) if layer.along else None
            if not isinstance(tube, LengthPart) or most is None or (bore := tube.section.narrow_bore) <= most + SLACK:
                continue
            if not any(fills(bush, tube) and bush.section.bore <= most + SLACK for bush in job.job.bush):
                loose.setdefault((stack.choice.thread, round(bore, 3)), []).append((layer.mark, stack))
    for (thread, bore), cases in loose.items():
        marks = ", ".join(dict.fromkeys(mark for mark, _ in cases))
        yield found(
            f"{thread.name} as pivot has ", mm(bore - thread.diameter, 2), " of play in the bore of ", mm(bore, 2),
            f" ({marks}): give a [[bush]] as wide as the bore, or take a tube of smaller bore",
            about=list(dict.fromkeys(stack.name for _, stack in cases)),
        )  # fmt: skip


def is_in_a_bore(bush: Bush, pieces: Iterable[Piece]) -> bool:
    """Whether a bush goes into the bore of some tube of the job and fills it."""
    return any(piece.kind == "tube" and isinstance(piece.shape, LengthPart) and fills(bush, piece.shape)
               for piece in pieces)  # fmt: skip


def fills(bush: Bush, tube: LengthPart) -> bool:
    """Whether a bush goes into the bore of a round tube and fills it."""
    bore = tube.section.narrow_bore
    return tube.section.is_round and bore - LOOSE <= bush.section.width <= bore + SLACK


RULES = (pivot_bore,)
