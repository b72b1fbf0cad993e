"""How many bolts are listed, held against the holes that there are for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from fabgen.checks.bolt.bolts import SLACK
from fabgen.checks.checked import Checked
from fabgen.checks.rule import Found, found, rule
from fabgen.job.document import entries
from fabgen.parts.piece import FlatPart, Hole, Piece
from fabgen.plan.plan import BoltStack
from fabgen.wording.levels import Level


@rule("bolt-count", Level.WARN)
def bolt_count(job: Checked) -> Iterator[Found]:
    """No more bolts are listed through a part of sheet than its holes take."""
    pieces = {piece.mark: piece for piece in job.pieces if isinstance(piece.shape, FlatPart)}
    wanted: Counter[tuple[str, str]] = Counter()
    stacks: dict[tuple[str, str], list[BoltStack]] = {}
    for stack in job.plan.bolts:
        for mark in dict.fromkeys(layer.mark for layer in stack.layers if layer.mark in pieces):
            times = [layer.mark for layer in stack.layers].count(mark)
            wanted[mark, stack.choice.thread.bolt] += times * stack.quantity
            stacks.setdefault((mark, stack.choice.thread.bolt), []).append(stack)
    cases: dict[tuple[int, str, int, int], tuple[list[str], list[BoltStack]]] = {}
    for (mark, thread), listed in stacks.items():
        holes = _holes(pieces[mark], listed[0].choice.thread.diameter)
        if holes is not None and wanted[mark, thread] > holes:
            case = sum(stack.quantity for stack in listed), thread, wanted[mark, thread], holes
            marks, through = cases.setdefault(case, ([], []))
            marks.append(mark)
            through += listed
    for (total, thread, needed, holes), (marks, through) in cases.items():
        where = f"{marks[0]}, which has" if len(marks) == 1 else f"each of {', '.join(marks)}, which have"
        need = f"{total} of {thread} need {needed} holes in {where} {holes} that let them through"
        doubled = " (a mirror doubles it by itself)" if job.job.mirror else ""
        several = any(_given(job, stack) > 1 for stack in through)
        cure = f"a smaller `quantity`{doubled}" if several else "more holes, or fewer bolts"
        yield found(need, f": {cure}", about=[stack.name for stack in through])


def _given(job: Checked, stack: BoltStack) -> int:
    """How many of a bolt the job file itself lists: mirrors and repeats make more of them."""
    number = stack.number if stack.image is None else stack.image.of
    tables = dict(entries(job.written.raw, "bolt"))
    quantity = tables[number].get("quantity", 1) if number in tables else stack.quantity
    return quantity if isinstance(quantity, int) else 1


def _holes(piece: Piece, diameter: float) -> int | None:
    """How many holes of all pieces of a mark let a bolt through; None where a slot, which may take several, does, or
    none does, which is said elsewhere."""
    assert isinstance(piece.shape, FlatPart)
    wide = [hole for hole in piece.shape.all_holes if not hole.purpose and min(_sizes(hole)) >= diameter - SLACK]
    if not wide or any(max(_sizes(hole)) > min(_sizes(hole)) + SLACK for hole in wide):
        return None
    return len(wide) * piece.quantity


def _sizes(hole: Hole) -> tuple[float, float]:
    x0, y0, x1, y1 = hole.shape.bounds
    return x1 - x0, y1 - y0


RULES = (bolt_count,)
