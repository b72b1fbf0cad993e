"""Profiles: from the job's points to pieces with worked ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.geometry.profile.bevel import Bevel
from fabgen.geometry.space.frame import Array, unit
from fabgen.job.errors import InputError, Problems
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.profile_tables import Profile
from fabgen.job.tables.tube_hole_tables import JOB_SIDES
from fabgen.parts.holes.leg_holes import leg_hole_fact, leg_holes
from fabgen.parts.piece import ENDS, At, Concern, Fact, LegHole, Piece, ProfileEnd, ProfilePart, fact
from fabgen.parts.placed_sheet import placed_sheet
from fabgen.parts.profile.end_work import FITS, Around, Work, mitre_gap, work_of
from fabgen.parts.profile.worked_ends import worked_end
from fabgen.parts.routed_profile import RoutedProfile
from fabgen.parts.shape.profiles import profile_volume
from fabgen.parts.shape.standing_faces import standing_faces
from fabgen.parts.tube.routed_tube import RoutedTube
from fabgen.shop.materials import Material
from fabgen.wording.figures import figure
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

_GROUND = 0.5
"""A root that fouls by no more than this needs no word: an edge that is broken clears it, mm."""


def pieces(job: Definitions) -> list[Piece]:
    """The profiles of a job, in fit order, every end worked.

    Raises:
        JobError: with the faults of all profiles.
    """
    if not job.profile:
        return []
    problems = Problems()
    routed: list[tuple[RoutedProfile, Profile]] = []
    for i, given in enumerate(job.profile):
        with problems.at("profile", i):
            routed.append((RoutedProfile.of(i, given), given))
    kept = {part.mark for part in job.parts() if part.as_it_is}
    around = Around([each for each, _ in routed], _tubes(job), list(standing_faces(placed_sheet(job))), kept)
    made: list[Piece] = []
    for profile, given in routed:
        ends, works = [], []
        for at in ENDS:
            with problems.at("profile", profile.index, at):
                work = work_of(profile, at, around.under(profile))
                ends.append(worked_end(profile, at, work, around, job.job.root_gap))
                works.append(work)
        if len(ends) == 2:
            with problems.at("profile", profile.index):
                made.append(_piece(job, profile, given, (ends[0], ends[1]), works))
    problems.report()
    return made


def _tubes(job: Definitions) -> list[RoutedTube]:
    """The tubes on their routes; one with faults, which its family reports, is left out."""
    found = []
    for i, tube in enumerate(job.tube):
        try:
            found.append(RoutedTube.of(i, tube))
        except ValueError:
            continue
    return [tube for tube in found if not tube.is_sleeve]


def _piece(
    job: Definitions, routed: RoutedProfile, given: Profile, ends: tuple[ProfileEnd, ProfileEnd], works: list[Work]
) -> Piece:
    material = job.find_material(given.material or job.job.material)
    length = routed.axis - sum(end.longest for end in ends)
    part = ProfilePart(routed.section, routed.cross, length, routed.axis, ends, routed.frame, routed.flipped)
    if length <= 0.0 or _mass(part, material) <= 0.0:
        sits = sorted({mark for end in ends for mark in end.onto})
        on = f"; it sits on {' and '.join(sits)}" if sits else ""
        what = sentence("the cuts at its ends leave nothing of it (", mm(routed.axis), " between its points)", on)
        raise InputError(what, "points farther apart")
    part, drilled = _drilled(job, part, given, routed.index)
    return Piece(
        mark=given.mark,
        kind="profile",
        quantity=given.quantity,
        material=material.name,
        mass=_mass(part, material),
        shape=part,
        title=given.title,
        note=given.note,
        facts=(*_facts(routed, part), *drilled),
        path=("profile", routed.index),
        concerns=tuple(_misfits(routed, works)),
    )


def _drilled(job: Definitions, part: ProfilePart, given: Profile, index: int) -> tuple[ProfilePart, list[Fact]]:
    """The profile with its holes, and what to print of them."""
    problems = Problems()
    holes: list[LegHole] = []
    facts: list[Fact] = []
    for i, each in enumerate(given.holes):
        with problems.at("profile", index, "holes", i):
            made = leg_holes(given.mark, part, each, job.job.hole_fit, len(holes))
            holes += made
            facts.append(leg_hole_fact(made))
    problems.report()
    return replace(part, holes=tuple(holes)), facts


def _mass(part: ProfilePart, material: Material) -> float:
    return material.density * profile_volume(part) * 1e-9


# -- facts --------------------------------------------------------------------------------
def _facts(routed: RoutedProfile, part: ProfilePart) -> Iterator[Fact]:
    yield fact("axis", "axis", mm(routed.axis))
    yield fact("lies", "lies", _lies(routed))
    for end in part.ends:
        of = f"of {' and '.join(end.onto)}"
        if end.weld:
            where = f"with {end.onto[0]}, its half of it" if end.kind == "mitre" else f"on {' and '.join(end.onto)}"
            inside = ", where bevelled along the other side" if end.bevels else ""
            yield fact("weld", f"weld, {end.at}", mm(end.weld, 0), f" along its outer faces{inside}, {where}")
        if end.root:
            yield fact("root", f"cut, {end.at}", "slanted so that it clears the root radius ", mm(end.root), f" {of}")
        for alike in _alike(end.bevels):
            one, faces = alike[0], " and ".join(sorted(face for bevel in alike for face in bevel.faces))
            still = (", through the metal and still ", mm(one.through), " back there") if one.through >= 0.05 else ()
            size = (mm(one.back), " back, ", mm(one.into), f" deep on {faces}", *still)
            clears = (": ground so that it clears the root radius ", mm(one.root), f" {of}")
            yield fact("bevel", f"bevel, {end.at}", *size, *clears)
        ground = [x for x in end.ground if x == x]
        if ground and max(ground) - end.longest > _GROUND:
            yield fact("ground", f"root, {end.at}", "ground flush for ", mm(max(ground) - end.longest), " from the end")


def _alike(bevels: Sequence[Bevel]) -> Iterator[list[Bevel]]:
    """Bevels of one size together."""
    groups: dict[tuple[str, ...], list[Bevel]] = {}
    for bevel in bevels:
        groups.setdefault(tuple(figure(size) for size in (bevel.back, bevel.into, bevel.root)), []).append(bevel)
    yield from groups.values()


def _lies(routed: RoutedProfile) -> str:
    """Which way it lies, as it is said over the bench: 'leg a up, leg b to the left', 'width upright'."""
    frame, side = routed.frame, -1.0 if routed.flipped else 1.0
    match routed.section.kind:
        case "angle":
            return f"leg a {_pointing(frame.z)}, leg b {_pointing(side * frame.y)}"
        case "channel":
            return f"back of the web {_pointing(-side * frame.y)}"
        case "T":
            return f"flange {_pointing(frame.z)}"
    if routed.section.kind == "hexagon bar":
        return f"a flat {_pointing(frame.z)}"
    way = _way(frame.z)
    return f"width {_RUNS.get(way, f'along {way}')}"


_POINTS = {"top": "up", "bottom": "down"} | {side: f"to the {side}" for side in ("left", "right", "front", "back")}
_RUNS = {"top": "upright", "bottom": "upright", "left": "across", "right": "across"}
_RUNS |= {"front": "from front to back", "back": "from front to back"}


def _pointing(direction: Array) -> str:
    """Which way a leg points: 'up', 'to the left', 'toward [0.71, 0, 0.71]'."""
    way = _way(direction)
    return _POINTS.get(way, f"toward {way}")


def _way(direction: Array) -> str:
    """A side of the job, or figures where it is none: 'top', '[0.71, 0, 0.71]'."""
    for name, way in JOB_SIDES.items():
        if float(direction @ np.array(way)) > 1.0 - 1e-6:
            return name
    return f"[{', '.join(figure(float(v) + 0.0, 2) for v in direction)}]"


# -- mitres that do not fit --------------------------------------------------------------------
def _misfits(routed: RoutedProfile, works: list[Work]) -> Iterator[Concern]:
    """Mitres whose two faces are not one another's image: of two hands, or laid otherwise."""
    for at, work in zip(ENDS, works, strict=True):
        if work.partner is None or work.partner[0].index < routed.index:
            continue  # said once, at the earlier of the two
        other, end = work.partner
        if (off := mitre_gap((routed, at), (other, end))) > FITS:
            yield Concern(Level.STOP, "profile-mitre", _misfit(routed, at, other, end, off))


def _misfit(routed: RoutedProfile, at: At, other: RoutedProfile, end: At, off: float) -> Sentence:
    normal = unit(routed.inward(at) - other.inward(end))

    def mirrored(way: Array) -> Array:
        return way - 2.0 * float(way @ normal) * normal

    frame, side = routed.frame, -1.0 if routed.flipped else 1.0
    match routed.section.kind:
        case "angle":
            ways = f'legs = ["{_way(mirrored(frame.z))}", "{_way(mirrored(side * frame.y))}"]'
        case "channel":
            ways = f'back = "{_way(mirrored(-side * frame.y))}"'
        case "T":
            ways = f'flange = "{_way(mirrored(frame.z))}"'
        case _:
            ways = f'width = "{_way(mirrored(frame.z))}"'
    ways = ways.replace('"[', "[").replace(']"', "]")
    what = f" of its mitre with {other.mark} meets no metal, as the two lie differently: give {other.mark} {ways}"
    return sentence(mm(off), what)
