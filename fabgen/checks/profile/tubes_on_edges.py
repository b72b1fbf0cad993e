"""Ends of tubes that meet a profile and are cut to none of its faces: on a leg's edge, or past a face with the most of
their round."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import named
from fabgen.checks.neighbours import TOUCH, Neighbour, neighbours
from fabgen.checks.profile.profile_bodies import ProfileBody
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.tube_bodies import Body
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, number, sentence

LEAST = 0.02
"""A smaller share of an end's round on metal is a touch in passing."""
ENOUGH = 0.5
"""An end with so much of its round on a face is cut to it, and another rule speaks of the rest."""
_AHEAD = 0.5 * TOUCH
_BEHIND = (3.0 * TOUCH, 10.0)
"""What touches a tube's side so far behind its end lies against it, mm."""
_DEEP = np.array([0.1, 0.5, 0.9])
"""Where the end is asked about, as shares of the wall's thickness."""


@rule("tube-on-edge", Level.WARN, source=PRACTICE)
def tube_on_edge(job: Checked) -> Iterator[Found]:
    """An end of a tube that meets a profile has half of its round on one of its faces, not on a leg's edge."""
    every = neighbours(job)
    profiles = [each for each in every if isinstance(each.body, ProfileBody)]
    told: list[tuple[str, Sentence]] = []
    for one in every if profiles else ():
        if not isinstance(one.body, Body) or one.mark in job.as_it_is or one.body.part.is_ring:
            continue
        for end in one.body.part.ends:
            given = job.tube_tables[one.mark].end(end.at)
            if end.cut == "plain" and given.crush is None and given.foot is None:
                near = [each for each in profiles if each.is_within(one.box, TOUCH)]
                if (words := _met(one.body, end, near)) is not None:
                    told.append((one.mark, words))
    if told:
        what = told[0][1] if len(told) == 1 else sentence(
            number(len(told)), " ends (", named([sentence(f"{mark}: ", words) for mark, words in told], "; "), ")"
        )  # fmt: skip
        yield found(
            what, ", and the rest of the end meets nothing: move the point onto a face, turn the leg, or set a plate "
            "between", about=list(dict.fromkeys(mark for mark, _ in told)),
        )  # fmt: skip


def _met(body: Body, end: WorkedEnd, near: Sequence[Neighbour]) -> Sentence | None:
    """How much of an end's round meets a profile's metal, and where; None where that is nothing or enough."""
    walls = end_profile(body.part.section, end).walls(end.frame)
    skin = walls.skin + end.line.x[:, None] * end.frame.x
    ring = (skin[:, None] + _DEEP[:, None] * walls.depth[:, None, None] * walls.inward[:, None]).reshape(-1, 3)
    for other in near:
        assert isinstance(other.body, ProfileBody)
        if other.body.joined_to(body.mark) or any(other.body.gap(skin + x * end.frame.x) <= TOUCH for x in _BEHIND):
            continue
        ahead = ring - _AHEAD * end.frame.x
        on = other.off_each(ahead) <= 0.0
        share = float(on.mean())
        if LEAST <= share < ENOUGH:
            percent = number(round(100.0 * share))
            return sentence(percent, f" % of its {end.at} meets {_side(other.body, ring[on])} of {other.mark}")
    return None


def _side(body: ProfileBody, points: Array) -> str:
    """The face of a profile that most of some points (n, 3) touch, or its edge."""
    places = body.part.frame.inside(points)[:, 1:]
    off = np.array([_off(places, np.array(face.start), np.array(face.end)) for face in body.part.cross.faces])
    nearest = np.where(off.min(axis=0) <= TOUCH, off.argmin(axis=0), -1)
    ((most, _),) = Counter(nearest.tolist()).most_common(1)
    return "an edge" if most < 0 else f"the {body.part.cross.faces[most].name}"


def _off(places: Array, start: Array, end: Array) -> Array:
    way = end - start
    share = np.clip((places - start) @ way / (way @ way), 0.0, 1.0)
    return np.asarray(np.linalg.norm(places - start - share[:, None] * way, axis=1))
