"""Rods that hang on a bolt which is held on one side of them alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.parts.piece import LinkPart
from fabgen.plan.plan import BoltStack, Layer
from fabgen.wording.levels import Level
from fabgen.wording.sentence import sentence

_WASHER = 4.0
"""What is thinner beyond a rod end is a washer that keeps it, not an ear without a mark, mm."""


@rule("single-shear", Level.WARN, source=PRACTICE)
def single_shear(job: Checked) -> Iterator[Found]:
    """The bolt of a rod is held on both sides of it."""
    links = {piece.mark for piece in job.pieces if isinstance(piece.shape, LinkPart)}
    cases = {stack.name: mark for stack in job.plan.bolts if (mark := _hung(stack, links)) is not None}
    if cases:
        rods = named(list(dict.fromkeys(cases.values())), ", ", FEW)
        bends = "it bends" if len(cases) == 1 else "they bend"
        cure = ": an ear on either side of the rod end, or a bolt one size up"
        yield found(sentence("held on one side of ", rods, f" alone, so {bends}"), cure, about=list(cases))


def _hung(stack: BoltStack, links: set[str]) -> str | None:
    """The rod that a bolt holds on one side alone; None where it holds none, or nobody can tell what holds it."""
    layers = [layer for layer in stack.layers if not layer.open]
    eyes = [i for i, layer in enumerate(layers) if layer.mark in links]
    if not eyes:
        return None
    before = _holds(layers[: eyes[0]], links)
    behind = _holds(layers[eyes[-1] + 1 :], links) or (stack.tapped is not None and bool(stack.tapped.mark))
    return layers[eyes[0]].mark if before != behind else None


def _holds(layers: Sequence[Layer], links: set[str]) -> bool:
    """Whether what lies on one side of the rods has an ear among it, by its mark or by its thickness."""
    return any(layer.thickness >= _WASHER or (layer.mark and layer.mark not in links) for layer in layers)


RULES = (single_shear,)
