"""Spacers to put into a bolt's stack, in words."""

from __future__ import annotations

from collections.abc import Container

from fabgen.plan.plan import BoltStack
from fabgen.wording.sentence import Part, Sentence, joined, sentence, spacer_to_paste, to_paste


def with_spacers(stack: BoltStack, spacer: Part, before: Container[int]) -> Sentence:
    """What a bolt passes, with spacers in it, as the job file takes it.

    Args:
        stack: as listed.
        spacer: how thick each is.
        before: the layers before which one goes.
    """
    listed: list[Part] = []
    for i, layer in enumerate(each for each in stack.layers if not each.open):
        listed += [spacer] if i in before else []
        length = spacer_to_paste if layer.spacer else to_paste
        listed.append(f'"{layer.mark}"' if layer.mark else length(layer.thickness))
    return sentence("through = [", joined(", ", listed), "]")
