"""Sheet parts that have a place and touch nothing there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked
from fabgen.checks.closed_members import closed_undrilled
from fabgen.checks.contact.caps_that_fall_in import falls_in, falls_in_words
from fabgen.checks.contact.short_posts import short_posts, short_words
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.entering import is_in_hollow
from fabgen.contact.solids import Solid
from fabgen.parts.piece import FlatPart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


@rule("sheet-in-air", Level.WARN, Level.STOP, source=PRACTICE)
def sheet_in_air(job: Checked) -> Iterator[Found]:
    """A plate, bracket or cover that has a place touches something there, within the gap that a weld bridges; a tube
    that ends just short of it is told in its place.  Nothing can be put into a tube that is closed."""
    alone: list[tuple[Solid, float, Solid]] = []
    for solid in job.contacts.solids:
        if _stands(solid) and not job.contacts.is_seated(solid):
            nearest = job.contacts.nearest(solid)
            if nearest is not None and nearest[0] > job.contacts.weld_gap:
                alone.append((solid, *nearest))
    loose = [fallen for solid, _, other in alone if (fallen := falls_in(solid, other)) is not None]
    if loose:
        yield falls_in_words(loose)
    caps = {each.cap for each in loose}
    alone = [each for each in alone if each[0] not in caps]
    posts = {solid: list(short_posts(job, solid, gap)) for solid, gap, _ in alone}
    short = list(dict.fromkeys(post for each in posts.values() for post in each))
    if short:
        yield found(short_words(short, job), about=[post.mark for post in short])
    within = [each for each in alone if is_in_hollow(each[0], each[2])]
    if within:
        yield _within(job, within)
    alone = [each for each in alone if not posts[each[0]] and each not in within]
    if not alone:
        return
    marks = list(dict.fromkeys(solid.mark for solid, *_ in alone))
    if len(alone) == 1:
        ((_, gap, other),) = alone
        said = sentence("touches nothing, ", mm(gap), f" from the nearest, {other.mark}")
    else:
        each = [sentence(f"{solid.mark} ", mm(gap), f" from {other.mark}") for solid, gap, other in alone]
        said = sentence(f"{len(alone)} places touch nothing (", named(each, "; "), ")")
    yield found(said, ": nothing holds it there; is its place right?", about=marks)


def _within(job: Checked, cases: Sequence[tuple[Solid, float, Solid]]) -> Found:
    """Of sheet that lies in the hollow of tubes and touches nothing there."""
    marks = list(dict.fromkeys(solid.mark for solid, *_ in cases))
    closed = {piece.mark for piece in closed_undrilled(job)}
    shut = all(tube.mark in closed for *_, tube in cases)
    which = [sentence(f"{solid.mark} in {tube.mark}, ", mm(gap), " from its wall") for solid, gap, tube in cases]
    if len(cases) == 1:
        ((_, gap, tube),) = cases
        said = sentence(f"lies inside {tube.mark}, ", mm(gap), " from its wall, and touches nothing")
    else:
        said = sentence(f"{len(cases)} places lie inside tubes and touch nothing (", named(which, "; "), ")")
    why = ": it cannot be put into a closed tube" if shut else ": nothing holds it there"
    do = ", so move it out to the skin (`against` in its `place`)"
    return found(said, why, do, about=marks, level=Level.STOP if shut else Level.WARN)


def _stands(solid: Solid) -> bool:
    """Whether it is sheet to be fitted: made or bought, while what is there already may hang on what nobody drew."""
    part = solid.part
    return not solid.is_there and isinstance(part, FlatPart) and (part.band is None or not part.band.rubber)
