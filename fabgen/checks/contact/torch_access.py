"""Whether a torch gets to where sheet parts meet tubes; between the feet of tubes that is `checks/tube/access.py`."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.access import TORCH
from fabgen.contact.solids import Solid
from fabgen.contact.torch_ways import Reached, too_little_reached
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

LEAST = 0.25
"""A torch reaches at least so much of where a sheet part meets a tube, of both its sides (common practice, no source).
"""


@rule("torch-access", Level.WARN, source=PRACTICE)
def torch_access(job: Checked) -> Iterator[Found]:
    """A torch, which goes into 20 mm, reaches a quarter at least of where a sheet part meets a tube, both its sides
    counted, past everything that stands near."""
    cases: list[tuple[str, str, Reached]] = []
    for sheet, tube in _welded(job):
        if (way := too_little_reached(sheet, tube, job.contacts.fitted, TORCH, LEAST)) is not None:
            cases.append((sheet.mark, tube.mark, way))
    if cases:
        words = [_case(*case) for case in cases]
        cure = sentence(": leave ", mm(TORCH), " or more beside it, or weld it before the rest goes in")
        yield found("a torch reaches only ", named(words, "; ", FEW), cure, about=[mark for mark, _, _ in cases])


def _case(sheet: str, tube: str, way: Reached) -> Sentence:
    """'12 mm of 132 mm where P2 meets T1, past P1 and P3'."""
    by = " and ".join([mark for mark in way.by if mark not in (sheet, tube)][:2]) or f"{sheet} itself"
    return sentence(mm(way.reached, 0), " of ", mm(way.whole, 0), f" where {sheet} meets {tube}, past {by}")


def _welded(job: Checked) -> Iterator[tuple[Solid, Solid]]:
    """The sheet parts that lie against tubes and are not bolted to them, with each such tube."""
    held = [{layer.mark for layer in stack.layers} for stack in job.plan.bolts]
    for sheet in job.contacts.solids:
        if not isinstance(sheet.part, FlatPart) or sheet.part.band is not None:
            continue
        for tube in job.contacts.seated_by(sheet):
            part = tube.part
            is_tube = isinstance(part, LengthPart) and not isinstance(part, LinkPart) and not part.is_bent_bar
            made = not (sheet.as_it_is and tube.as_it_is)
            if is_tube and made and tube.kind == "tube" and not any({sheet.mark, tube.mark} <= each for each in held):
                yield sheet, tube
