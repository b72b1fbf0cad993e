"""Tubes that end just short of the sheet that is to stand on them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import contains_xy

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.contact.solids import Solid
from fabgen.job.expansion.written_keys import Wanted
from fabgen.parts.piece import At, Piece
from fabgen.parts.shape.standing_faces import standing_faces
from fabgen.parts.shape.tubes import route_point
from fabgen.wording.sentence import Sentence, mm, outward_to_paste, sentence

SHORT = 25.0
"""An end no farther from a sheet's face was meant to reach it, mm (common practice, no source)."""
_SQUARE = 0.98
"""Cosine of what an end may lean from square to the face."""


@dataclass(frozen=True, slots=True)
class ShortPost:
    """A tube's plain end that stops `gap` mm short of the sheet `under`; `extend`: what it needs in all, mm."""

    mark: str
    at: At
    under: str
    gap: float
    extend: float


def short_posts(job: Checked, sheet: Solid, near: float) -> Iterator[ShortPost]:
    """The tubes made here whose plain ends look square at a sheet's face and stop short of it.

    Args:
        sheet: at one of its places.
        near: how far the nearest thing is from it, mm; what is farther off than a millimetre more is not meant.
    """
    source = sheet.source
    if not isinstance(source, Piece) or (part := source.flat_part) is None:
        return
    here = replace(source, shape=replace(part, places=(part.places[sheet.number],)))
    faces = list(standing_faces([here]))
    for mark, tube in job.tubes.items():
        for end in tube.ends if tube.frame is not None and mark not in job.as_it_is else ():
            tip = end.frame.origin + end.line.longest * end.frame.x
            for face in faces if end.cut == "plain" else ():
                x, y, z = face.frame.inside(tip)
                looks = float(end.frame.x @ face.frame.z) > _SQUARE
                if looks and 0.0 < z <= min(SHORT, near + 1.0) and contains_xy(face.metal, x, y):
                    already = float((route_point(tube, end.at) - tip) @ end.frame.x)
                    yield ShortPost(mark, end.at, sheet.mark, float(z), already + float(z))
                    break


def short_words(posts: Sequence[ShortPost], job: Checked) -> Sentence:
    """'ends 4 mm short of TP, which touches nothing: let it go on, …'."""
    keys = [Wanted(post.mark, post.at, {"extend": outward_to_paste(post.extend)}) for post in posts]
    lines = job.written.lines(keys)
    if len(posts) == 1:
        (post,) = posts
        short = sentence("its ", post.at, " stops ", mm(post.gap), f" short of {post.under}, which touches nothing")
        return sentence(short, ": let it go on, ", lines)
    each = [sentence(f"{post.mark} ", mm(post.gap), f" from {post.under}") for post in posts]
    return sentence("stop short of sheet that touches nothing (", named(each), "): let them go on, ", lines)
