"""Checks of the holes in tubes into which a branch's bore opens, or through which another tube passes."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import Opening
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

_AXIAL = 0.5
"""A hole that lies less off the middle is not spoken of as off it, mm."""


@rule("no-hole", Level.STOP, source=FROM_JOB)
def no_hole(job: Checked) -> Iterator[Found]:
    """The hole for a bore that opens into its main, or for a tube that passes through another, can be marked."""
    bores: list[tuple[str, str, str]] = []
    passing: dict[tuple[str, str], None] = {}
    for mark, part in job.own_tubes.items():
        for end in part.ends:
            for why in end.no_hole:
                if end.opens:
                    bores.append((mark, end.at, why))
                else:
                    passing[mark, why] = None
    if bores:
        closed = " leaves the bore closed there" if len(bores) == 1 else " leaves these bores closed"
        lines = job.written.lines((Wanted(mark, at, {"opens": None}) for mark, at, _ in bores), closed)
        ((mark, at, why), *more) = bores
        what = f"no template for the hole at its {at}: {why}"
        if more:
            cases = [f"{mark} {at}: {why}" for mark, at, why in bores]
            what_all = sentence(f"no templates for {len(bores)} holes (", named(cases), ")")
        yield found(what_all if more else what, "; ", lines, about=[mark for mark, *_ in bores])
    for mark, why in passing:
        cut = Wanted(mark, "", {"through": sentence("[]"), "crossings": "cut"})
        lines = job.written.lines([cut], " cuts it in pieces there")
        yield found(f"no template for the hole to pass through: {why}; ", lines, about=mark)


@rule("hole-in-wall", Level.WARN)
def hole_in_wall(job: Checked) -> Iterator[Found]:
    """The hole for a bore comes out in the main's own bore, not in its wall."""
    holes = [hole for part in job.tubes.values() for hole in part.holes if not hole.through]
    if not holes:
        return
    keys = [Wanted(hole.branch, hole.at, {"opens": None}) for hole in holes]
    if len(holes) == 1:
        (hole,) = holes
        what = sentence(
            f"at its sides the hole for {hole.name}, ", *_sizes(hole),
            f", runs down in the wall of {hole.main} and never comes out in its bore",
        )  # fmt: skip
    else:
        cases = [sentence(f"{hole.branch} {hole.at} ", *_sizes(hole), f" of {hole.main}") for hole in holes]
        how = "run down in the wall of their mains at the sides and never come out in the bores"
        what = sentence(f"{len(holes)} holes {how} (", named(cases), ")")
    closed = " leaves the bore closed" if len(holes) == 1 else " leaves these bores closed"
    within = ": keep the hole within that bore, or " if len(holes) == 1 else ": keep the holes within those bores, or "
    yield found(what, within, job.written.lines(keys, closed), about=[hole.branch for hole in holes])


def _sizes(hole: Opening) -> tuple[Sentence, ...]:
    """How wide a hole is, and the bore that it is to come out in."""
    bore = hole.onto.narrow_bore
    off = sentence(", ", mm(abs(hole.offset)), " off the middle") if abs(hole.offset) > _AXIAL else sentence("")
    return (sentence(hole.bore_size, off, " in a bore of ", mm(bore)),)


RULES = (no_hole, hole_in_wall)
