"""Checks of tubes' ends that are squeezed flat: the metal round their hole, what the wall takes, what is in the way."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked, Checking
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.parts.piece import FlattenedEnd, LengthPart, WorkedEnd
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm

Tube = Checking[LengthPart]

END = 1.2
"""Least distance of a hole's middle from the flat's end and sides, in hole widths (EN 1993-1-8, table 3.3)."""
THICKEST = 0.1
"""A wall thicker than this share of the diameter cracks along the flat's edges, crushed cold (common practice)."""


@rule("crush-hole-edge", Level.WARN, source="EN 1993-1-8, table 3.3 (from memory, check against your part)")
def crush_hole_edge(of: Tube) -> Iterator[Found]:
    """The hole in a crushed end is 1.2 of its width from the flat's end, from its sides and from where it ends."""
    for end, flat in _crushed(of.part):
        least = END * flat.hole
        free, what = min(
            (flat.at, "end"), (flat.width / 2.0, "side"), (flat.length - flat.at, "transition to the round tube")
        )
        if flat.hole and free < least - 0.05:
            yield found(mm(free), f" from the middle of the hole to the flat's {what} at the {end.at}; ", mm(least),
                        " needed: lengthen the flat and move the hole, or make it smaller")  # fmt: skip


@rule("crush-wall", Level.WARN)
def crush_wall(of: Tube) -> Iterator[Found]:
    """A tube that is crushed flat cold has a wall of a tenth of its diameter at most, and is of mild steel."""
    section = of.part.section
    if not any(_crushed(of.part)):
        return
    limit = THICKEST * section.width
    if section.wall > limit + 0.005:
        yield found(mm(section.wall, 2), " of wall is more than a tenth of the tube, ", mm(limit, 2), ": cold it "
                    "cracks at the edges; crush it red hot, or take a thinner wall")  # fmt: skip
    material = of.job.job.find_material(of.piece.material)
    if material.group != "mild steel":
        yield found(f"{material.name} may crack as it is crushed flat: anneal the end first, or try an offcut")


@rule("crush-in-way", Level.STOP, source=FROM_JOB)
def crush_in_way(of: Tube) -> Iterator[Found]:
    """No bend, hole or joint lies where an end is crushed or becomes round again."""
    for end, flat in _crushed(of.part):
        taken, start = flat.length + flat.transition, end.at == "start"
        whole = of.part.length

        def free(along: float, start: bool = start, whole: float = whole) -> float:
            return along if start else whole - along

        places = [(f"bend {i}", min(free(bend.at), free(bend.at + bend.length)))
                  for i, bend in enumerate(of.part.bends, 1)]  # fmt: skip
        places += [
            (hole.name, min(free(float(hole.edge.along.min())), free(float(hole.edge.along.max()))))
            for hole in of.part.drilled
        ]
        places += [(landing.branch, free(landing.skin or landing.axes)) for landing in of.part.landings
                   if (landing.skin or landing.axes) is not None]  # fmt: skip
        for name, place in places:
            if place < taken - 0.05:
                yield found(mm(place), f" from the {end.at}, {name} lies where the tube is crushed; it is round after ",
                            mm(taken), ": move it")  # fmt: skip


@rule("crushed-stay", Level.NOTE)
def crushed_stay(job: Checked) -> Iterator[Found]:
    """Whether a stay with crushed ends buckles is not judged."""
    marks = [
        piece.mark
        for piece in job.pieces
        if (part := piece.length_part) is not None and piece.kind == "tube" and any(_crushed(part))
    ]
    if marks:
        yield found("a crushed end bends easily about its flat: whether the stay buckles is not judged", about=marks)


RULES = (crush_hole_edge, crush_wall, crush_in_way)


# -- helpers ----------------------------------------------------------------------
def _crushed(part: LengthPart) -> Iterator[tuple[WorkedEnd, FlattenedEnd]]:
    return ((end, end.form) for end in part.ends if isinstance(end.form, FlattenedEnd))
