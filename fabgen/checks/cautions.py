"""Cautions that hold where a job has certain metals, bolts or rod ends: each a note, once a job."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.contact.welded_parts import welded_of
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.job.tables.link_tables import RodEndGiven
from fabgen.parts.piece import LinkPart
from fabgen.shop.materials import Group
from fabgen.shop.threaded.engagement import class_strengths
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm

FUME = "SAIF and HSE on welding fume, February 2019"
HARD = 1000.0
"""Tensile strength from which hydrogen is a danger to bolts, MPa: classes 10.9 and 12.9, grade 8."""
THICK = 3.0
"""Chromium-molybdenum steel over this thickness is warmed before welding, mm: from memory."""


@rule("stainless-fume", Level.NOTE, source=FUME)
def stainless_fume(job: Checked) -> Iterator[Found]:
    """Fume of welded stainless holds chromium VI."""
    if marks := _welded(job, "stainless"):
        yield found("its fume when welded holds chromium VI, which causes cancer: extract it at the arc, and wear a "
                    "mask for it outdoors too", about=marks)  # fmt: skip


@rule("chromium-molybdenum", Level.NOTE, source="from memory, check against a written procedure")
def chromium_molybdenum(job: Checked) -> Iterator[Found]:
    """Chromium-molybdenum steel hardens beside a weld and is welded by a procedure."""
    if marks := _welded(job, "alloy steel"):
        yield found(
            "it hardens beside a weld: weld it by a written procedure; usual are TIG, filler ER70S-2 or ER80S-D2, "
            "bright metal, over ", mm(THICK), " warmed to 150 °C, and slow cooling in still air", about=marks,
        )  # fmt: skip


@rule("hard-bolts", Level.NOTE, source=PRACTICE)
def hard_bolts(job: Checked) -> Iterator[Found]:
    """Bolts of class 10.9 and 12.9 and of grade 8 are not plated or pickled in the shop, nor welded."""
    given = [stack.name for stack in job.plan.bolts if _is_hard(stack.property_class)]
    ends = [
        link.mark
        for link in job.job.link
        if any(isinstance(end, RodEndGiven) and _is_hard(end.property_class) for end in link.rod_ends)
    ]
    if given or ends:
        yield found(
            "class 10.9 or 12.9, or grade 8: no plating, no acid, no welding on it: hydrogen or heat makes it break "
            "days later, without a sign", about=[*given, *ends],
        )  # fmt: skip


@rule("rod-end-use", Level.NOTE, source=PRACTICE)
def rod_end_use(job: Checked) -> Iterator[Found]:
    """A rod end is loaded along its shank, held on both sides, and kept where its ball comes out."""
    marks = [piece.mark for piece in job.pieces if isinstance(piece.shape, LinkPart) and piece.shape.rods]
    if marks:
        yield found(
            "rod ends: no bending on the shank, no weld on it, the bolt between two ears; on one ear a washer larger "
            "than the ball's seat, which keeps the rod when the ball comes out", about=marks,
        )  # fmt: skip


RULES = (stainless_fume, chromium_molybdenum, hard_bolts, rod_end_use)


def _welded(job: Checked, group: Group) -> list[str]:
    metals = {piece.mark: job.job.find_material(piece.material).group for piece in job.pieces}
    return welded_of(job, [mark for mark, metal in metals.items() if metal == group])


def _is_hard(property_class: str | None) -> bool:
    return property_class is not None and class_strengths(property_class)[0] >= HARD
