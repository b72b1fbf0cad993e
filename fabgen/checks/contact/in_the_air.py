"""Sheet parts that have a place and touch nothing there."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.contact.short_posts import short_posts, short_words
from fabgen.checks.grouped import named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.contact.solids import Solid
from fabgen.parts.piece import FlatPart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence


@rule("sheet-in-air", Level.WARN, source=PRACTICE)
def sheet_in_air(job: Checked) -> Iterator[Found]:
    """A plate, bracket or cover that has a place touches something there, within the gap that a weld bridges; a tube
    that ends just short of it is told in its place."""
    alone: list[tuple[Solid, float, Solid]] = []
    for solid in job.contacts.solids:
        if _stands(solid) and not job.contacts.is_seated(solid):
            nearest = job.contacts.nearest(solid)
            if nearest is not None and nearest[0] > job.contacts.weld_gap:
                alone.append((solid, *nearest))
    posts = {solid: list(short_posts(job, solid, gap)) for solid, gap, _ in alone}
    short = list(dict.fromkeys(post for each in posts.values() for post in each))
    if short:
        yield found(short_words(short, job), about=[post.mark for post in short])
    alone = [each for each in alone if not posts[each[0]]]
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


def _stands(solid: Solid) -> bool:
    part = solid.part
    return not solid.as_it_is and isinstance(part, FlatPart) and (part.band is None or not part.band.rubber)
