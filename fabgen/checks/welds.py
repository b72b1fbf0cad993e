"""Checks of welds: can a fillet serve all the way round a coped or mitred tube end, and is one that the job
gives no heavier than what it joins?

Checked are the angle at which the two outside surfaces meet along the run, the walls of branch and main, and a given
fillet's throat and length.  Strength, access of the torch and the welder's qualification are not.
The words on tube joints are the same for all tubes, so that they are listed once; the table of the cut list has the
figures of each kind of joint.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.rule import Found, found, rule
from fabgen.job.tables.weld_tables import Weld
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.welds.weld_families import FILLET_LEAST, WeldFamily, weld_families
from fabgen.shop.welding import least_metal, least_run, least_throat
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

SOURCE = "EN 1993-1-8:2005, 4.3.2.1(1) to (3), clauses from memory"
LEAST_SOURCE = "EN 1993-1-8:2005, 4.1(1), 4.5.1(2), 4.5.2(2), clauses from memory"
WALLS = 1.1
"""Walls of tubes count as alike up to this ratio: EN 10219-2 lets a wall of up to 5 mm differ by a tenth (from
memory)."""
TIGHT = math.radians(30.0)
TIGHT_SOURCE = "AWS D1.1, tubular T-, Y- and K-connections (from memory, check your edition)"
WHERE = "which joints, and how far: Welds at the joints, in cut-list.pdf"


@rule("tight-heel", Level.NOTE, source=SOURCE)
def tight_heel(job: Checked) -> Iterator[Found]:
    """A fillet weld joins surfaces that meet at 60 to 120 degrees; at less it does not reach the root."""
    text = (
        f"a joint of it closes to under {math.degrees(FILLET_LEAST):.0f}°, round its heel (the sharper side) or inside "
        "a mitre: a fillet does not reach the root there, so bevel the edge and count the weld as a partial "
        f"penetration butt weld ({WHERE})"
    )
    return _concerned(job, lambda family: family.share_under(FILLET_LEAST) > 0.0, text)


@rule("tight-root", Level.NOTE, source=TIGHT_SOURCE)
def tight_root(job: Checked) -> Iterator[Found]:
    """Where the surfaces meet at under 30 degrees the root is not counted on without a trial piece."""
    text = f"a joint of it closes to under 30°: do not count on fusion at its root without a trial piece ({WHERE})"
    return _concerned(job, lambda family: family.share_under(TIGHT) > 0.0, text)


@rule("open-side", Level.NOTE, source=SOURCE)
def open_side(job: Checked) -> Iterator[Found]:
    """Where the surfaces open to over 120 degrees a fillet has little throat."""
    text = (
        "a joint of it opens to over 120°, at its sides or its toe: a fillet has little throat there and its strength "
        f"is a matter of tests, so weld that part as a butt weld ({WHERE})"
    )
    # The outside of a mitre is no place for a fillet at all.
    return _concerned(job, lambda family: not family.weld.shared and family.share_over() > 0.0, text)


@rule("heavy-fillet", Level.WARN)
def heavy_fillet(job: Checked) -> Iterator[Found]:
    """A fillet is no thicker in the throat than the thinner of the parts it joins; a leg is sqrt 2 of the throat."""
    thick = {piece.mark: piece.thickness for piece in job.pieces}
    for piece in job.pieces:
        for weld in piece.welds:
            throat = _throat(weld)
            if throat is None:
                continue
            mark = min((part for part in weld.parts if part in thick), key=lambda part: thick[part])
            if throat <= thick[mark] + 0.005:
                continue
            size = sentence("a throat of ", mm(throat))
            if weld.leg is not None:
                size = sentence("a leg of ", mm(weld.leg), ", so ", mm(throat), " throat")
            yield found(
                sentence(f"its fillet on {' and '.join(weld.parts[1:])} has ", size, f", and {mark} is only "),
                sentence(mm(thick[mark], 2), " thick: no stronger for it, with more heat and pull, and the thin part "),
                sentence("burns through; about 0.7 of the thinner part is usual, ", mm(0.7 * thick[mark])),
                about=piece.mark,
            )


@rule("small-fillet", Level.WARN, source=LEAST_SOURCE)
def small_fillet(job: Checked) -> Iterator[Found]:
    """A fillet has at least 3 mm of throat, in metal of 4 mm and more, and each run of it at least 30 mm and six
    throats of length."""
    parts = {piece.mark: piece for piece in job.pieces}
    for weld in job.job.weld:
        throat = _throat(weld)
        joins = [parts[mark] for mark in weld.parts if mark in parts]
        thin = min(joins, key=lambda piece: piece.thickness, default=None)
        if throat is None or thin is None:
            continue
        name = f"the fillet of {weld.parts[0]} on {' and '.join(weld.parts[1:])} has "
        thickness, is_tube = thin.thickness, isinstance(thin.shape, LengthPart)
        if throat < least_throat() - 0.005 and thickness >= least_metal(is_tube=False) - 0.005:
            yield found(name, mm(throat), " of throat, ", mm(least_throat()), " is the least that counts: make it ",
                        mm(least_throat()), " or more", about=weld.parts[0])  # fmt: skip
        least = least_run(throat)
        if weld.length is not None and weld.length < least - 0.05 and thickness >= least_metal(is_tube) - 0.005:
            yield found(name, "runs of ", mm(weld.length), ", under ", mm(least), ": such a run carries no load by the "
                        "standard; make the runs longer and fewer", about=weld.parts[0])  # fmt: skip


@rule("thick-branch", Level.WARN)
def thick_branch(job: Checked) -> Iterator[Found]:
    """A branch's wall is no thicker than that of the tube it is coped to, but for what tubes differ in themselves."""
    for mark, tube in job.tubes.items():
        wall = tube.section.wall
        over = {
            joint.onto: main.section.wall
            for end in tube.ends
            for joint in (end.joints if end.cut == "cope" else ())
            if (main := job.tubes.get(joint.onto)) is not None and 0.0 < main.section.wall * WALLS < wall - 1e-6
        }
        if over:
            thinnest = min(over.values())
            yield found("its wall of ", mm(wall, 2), f" is thicker than that of {' and '.join(over)}, ",
                        mm(thinnest, 2), ": the thinner wall burns through first and tears first; swap the walls, or "
                        "put a plate on the main under the joint", about=mark)  # fmt: skip


RULES = (tight_heel, tight_root, open_side, heavy_fillet, small_fillet, thick_branch)


def _throat(weld: Weld) -> float | None:
    """Of a fillet, mm; None of a butt weld."""
    if weld.type != "fillet":
        return None
    return weld.throat if weld.leg is None else weld.leg / math.sqrt(2.0)


def _concerned(job: Checked, concerns: Callable[[WeldFamily], bool], text: str) -> Iterator[Found]:
    """The finding for each tube with a joint that it concerns, once a tube."""
    families = weld_families(job.pieces)
    marks = dict.fromkeys(member.mark for family in families if concerns(family) for member in family.members)
    return (found(text, about=mark) for mark in marks)
