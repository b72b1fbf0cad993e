"""How much of each coped end's round sits on metal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.clashes import CLASH, foot_hangs
from fabgen.checks.tube.tube_bodies import Body, tube_bodies
from fabgen.geometry.space.frame import Array
from fabgen.geometry.tube.profile import Profile
from fabgen.geometry.tube.solids import distance
from fabgen.parts.piece import At, WorkedEnd
from fabgen.parts.shape.sections import end_profile
from fabgen.parts.shape.tubes import as_met
from fabgen.wording.levels import Level

LEAST = 0.95
"""Share of its round on which a coped end sits (common practice, no source)."""

FILLED = 0.9
"""Share of its round on which an end sits whose open corner weld fills (common practice, no source)."""


@rule("seat", Level.NOTE, Level.WARN, source=PRACTICE)
def seat(job: Checked) -> Iterator[Found]:
    """A coped end sits on metal on 95 % of its round or more: ends that no other rule speaks of, in one finding with
    their shares; a note where all of them sit on 90 %, as weld closes that."""
    bodies = tube_bodies(job)
    short = [
        (body.mark, end.at, share)
        for body in bodies.values()
        for end in body.part.ends
        if _is_held(body, end, bodies) and (share := seated_share(body, end, bodies)) < LEAST
    ]
    for level, those in (
        (Level.WARN, [each for each in short if each[2] < FILLED]),
        (Level.NOTE, [each for each in short if each[2] >= FILLED]),
    ):
        if those:
            yield found(*_words(those, level), level=level, about=list(dict.fromkeys(mark for mark, *_ in those)))


def _words(short: Sequence[tuple[str, At, float]], level: Level) -> tuple[str, str]:
    shares = ", ".join(f"{mark} {at} {_percent(share)} %" for mark, at, share in short)
    ends = "1 end sits" if len(short) == 1 else f"{len(short)} ends sit"
    its = "its" if len(short) == 1 else "their"
    what = f"{ends} on less than {_percent(LEAST)} % of {its} round ({shares}), the rest "
    if level is Level.NOTE:
        return what, "are wedges left open between the cuts of the tubes there: fill them with weld"
    return what, (
        "lies over gaps between the tubes there: let another tube run on (`[[node]]` with `runs`), lead them to a hub "
        '(`corners = "hub"`), or move their points apart'
    )


def _is_held(body: Body, end: WorkedEnd, bodies: Mapping[str, Body]) -> bool:
    """Whether this rule is the one to speak of an end: not of what is sawn straight, misses its mains, or hangs past
    them, of which others speak."""
    coped = end.cut == "cope" and not end.is_sawn_to_face and not end.line.misses
    return coped and not any(foot_hangs(body, end, bodies))


def seated_share(body: Body, end: WorkedEnd, bodies: Mapping[str, Body]) -> float:
    """The share of a coped end's round below which one of its mains has metal, in [0, 1].

    Args:
        body: the tube whose end it is.
        bodies: all tubes that the job places, by mark.
    """
    profile = end_profile(body.part.section, end)
    walls = profile.walls(end.frame)
    below = walls.skin + (end.line.x[:, None] - CLASH) * end.frame.x
    on = np.zeros(len(below), dtype=bool)
    for main in (bodies[joint.onto] for joint in end.joints if joint.onto in bodies):
        if (solid := as_met(main.part, body.part, end)) is None:
            continue
        for share in (0.0, 0.5, 1.0):  # through the thickness of the wall, which sits on its edge somewhere
            points = below + share * walls.depth[:, None] * walls.inward
            at, begins, ends = main.extent(points)
            on |= (distance(solid, points) <= 0.0) & (at > begins - CLASH) & (at < ends + CLASH)
    for plate in end.plates:
        at_plate = below + CLASH * end.frame.x
        on |= np.abs(at_plate @ plate.normal - plate.level) <= end.gap + CLASH
    weights = _spans(profile)
    return float(weights[on].sum() / weights.sum())


def _spans(profile: Profile) -> Array:
    """How much of the round each of its places stands for, (n,) mm."""
    steps = np.linalg.norm(np.roll(profile.skin, -1, axis=0) - profile.skin, axis=1)
    return np.asarray((steps + np.roll(steps, 1)) / 2.0)


def _percent(share: float) -> int:
    """Rounded down, so that none reads as the limit that misses it."""
    return int(share * 100.0)
