"""A profile as the job places it, before its ends are worked: route, section, and which way it lies.

Tubes that sit on profiles and profiles that sit on tubes both ask here, so this stands below both families.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fabgen.geometry.plane.outline import Xy
from fabgen.geometry.profile.corners import with_sharp_roots, with_sharp_toes
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.limbs import Limb, marked_limbs
from fabgen.geometry.profile.prism import ProfilePrism
from fabgen.geometry.space.frame import Array, Frame, cross, unit, upright
from fabgen.geometry.tube.solids import HalfSpace, Solid, Trimmed
from fabgen.job.errors import InputError, listed, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.profile_tables import WAYS, Profile, ProfileEndGiven
from fabgen.job.tables.movement_tables import AxisDirection
from fabgen.parts.piece import ENDS, At
from fabgen.parts.shape.profiles import cross_section
from fabgen.parts.shape.standing_faces import StandingFace, faces_along
from fabgen.shop.profiles.profile_section import ProfileSection
from fabgen.wording.figures import figure
from fabgen.wording.sentence import sentence

SAME_POINT = 1.0
"""Ends this near meet at one point, mm."""
_LEAST = math.sin(math.radians(10.0))
"""A direction this near to the profile's own, or to that of the other leg, as the sine, is none."""
_BAR_KEYS = dict.fromkeys(("flat", "square bar", "hexagon bar"), ("width",))
_KEYS = {"angle": ("legs",), "channel": ("back",), "T": ("flange",), **_BAR_KEYS}
_EVERY = ("legs", "back", "flange", "width")
_DATUM = {"angle": "heel", "channel": "back", "T": "flange", **dict.fromkeys(_BAR_KEYS, "middle")}
"""The line of the section that lies on the points where the job does not say."""
_LINES = {"back": "middle of the web's back", "flange": "middle of the flange's outside"}
"""Such lines in words, where the name alone does not say it."""


@dataclass(frozen=True, eq=False)
class RoutedProfile:
    """One profile on its route.

    `frame`: origin at the route's start, x along it; `cross`: the section in its (y, z), its origin on the route;
    `flipped`: as its mirror image; `axis`: of the route, mm; `line`: the one of the section that its points lie on, in
    words.
    """

    index: int
    mark: str
    section: ProfileSection
    cross: CrossSection
    frame: Frame
    axis: float
    flipped: bool
    line: str
    start: ProfileEndGiven
    finish: ProfileEndGiven
    as_it_is: bool = False
    """Whether it is bought or there already: others are fitted to it, and it to none of those made here."""

    @property
    def order(self) -> tuple[bool, int]:
        """Its place in the order of fitting: what is there stands first, then as the job lists them."""
        return not self.as_it_is, self.index

    @staticmethod
    def of(index: int, given: Profile) -> RoutedProfile:
        """Raises InputError where it cannot lie as it is said to."""
        kind = given.section.kind
        if kind not in _KEYS:
            what = sentence(given.section, " has no leg or web to be laid by")
            round_bar = f'[[tube]] with section = "bar {figure(given.section.sizes[0], 2)}" and this route'
            raise InputError(what, f"{round_bar}; its ends are coped there", key=("section",))
        one, other = (np.array(point.xyz) for point in given.route)
        axis = math.dist(one, other)
        if axis < 0.01:
            raise InputError("the route has no length: its points are the same", "points apart", key=("route",))
        frame, flipped = _lying(given, one, (other - one) / axis)
        if given.turn:
            c, s = math.cos(given.turn), math.sin(given.turn)
            frame = Frame(one, frame.x, c * frame.y + s * frame.z, c * frame.z - s * frame.y)
        own = cross_section(given.section)
        own = own.flipped() if flipped else own
        y, z = _datum(given, own)
        section = own.moved(-y, -z)
        line = _line_name(given)
        line = _LINES.get(line, line)
        ends = given.start, given.finish
        return RoutedProfile(
            index, given.mark, given.section, section, frame, axis, flipped, line, *ends, given.as_it_is
        )

    def given(self, at: At) -> ProfileEndGiven:
        """What the job says of that end."""
        return self.start if at == "start" else self.finish

    def point(self, at: At) -> Array:
        """The route's point at that end."""
        return self.frame.origin if at == "start" else self.frame.origin + self.axis * self.frame.x

    def inward(self, at: At) -> Array:
        """Unit direction from that end along the profile."""
        return self.frame.x if at == "start" else -self.frame.x

    def end_frame(self, at: At) -> Frame:
        """Origin at that end's point, x into the profile, y and z those of the section as it is seen from there."""
        if at == "start":
            return self.frame
        return Frame(self.point(at), -self.frame.x, -self.frame.y, self.frame.z)

    def end_section(self, at: At) -> CrossSection:
        """The section in (y, z) of that end's frame."""
        return self.cross if at == "start" else self.cross.flipped()

    def limbs(self, at: At) -> tuple[Limb, ...]:
        """Its limbs in that end's frame."""
        return marked_limbs(self.end_section(at))

    @cached_property
    def solid(self) -> Solid:
        """The profile without ends, its toes sharp."""
        return ProfilePrism(self.frame, with_sharp_toes(self.cross))

    @cached_property
    def bare(self) -> Solid:
        """The same with its roots empty."""
        return ProfilePrism(self.frame, with_sharp_roots(with_sharp_toes(self.cross)))

    @cached_property
    def body(self) -> Solid:
        """The profile from end to end of its route with its plain ends' extensions."""
        ends = (HalfSpace.at(self.point(at) - self.inward(at) * self.given(at).extend, -self.inward(at)) for at in ENDS)
        return Trimmed(self.solid, tuple(ends))

    @cached_property
    def reach(self) -> float:
        """Greatest distance of its metal from the route, mm."""
        return float(np.linalg.norm(self.cross.outline.points(0.05), axis=1).max())

    @property
    def standing_faces(self) -> Iterator[StandingFace]:
        """The flat faces of its legs, web and flanges, from end to end of its route: what a tube's end can stand on."""
        return faces_along(self.mark, self.frame, self.cross, 0.0, self.axis)

    def face(self, at: At, inset: float) -> Array:
        """Points (n, 3) spread over the metal of the end, set square across the route's end.

        Args:
            at: which end.
            inset: how far within the metal they lie, mm.
        """
        frame = self.end_frame(at)
        across = np.vstack((frame.y, frame.z))
        found = []
        for limb in self.limbs(at):
            station = np.linspace(inset, max(inset, limb.width - inset), _ALONG)
            skin, inward = limb.skin(station)
            for share in np.linspace(0.0, 1.0, _THROUGH):
                depth = inset + share * np.maximum(limb.depth(station) - 2.0 * inset, 0.0)
                found.append(frame.origin + (skin + depth[:, None] * inward) @ across)
        return np.vstack(found)


_ALONG, _THROUGH = 13, 3
"""Places over a limb of an end's face: along it, and through it."""


# -- which way it lies ----------------------------------------------------------------
def _lying(given: Profile, origin: Array, along: Array) -> tuple[Frame, bool]:
    """The frame, and whether the section lies in it as its mirror image."""
    kind = given.section.kind
    keys = _KEYS[kind]
    for key in _EVERY:
        if key not in keys and getattr(given, key) is not None:
            what = f"{key} has no meaning for {_named(kind)}"
            raise InputError(what, f"{keys[0]}: {_MEANS[keys[0]]}", key=(key,))
    match kind:
        case "angle":
            if given.legs is None:
                accepted = f'legs = [leg a, leg b], e.g. legs = ["top", "left"]: {WAYS}'
                raise InputError("it does not say which way its legs point", accepted)
            a, b = (_square(way, origin, along, ("legs", i)) for i, way in enumerate(given.legs))
            y = cross(a, along)
            side = float(b @ y)
            if abs(side) < _LEAST:
                what = "the two legs point the same way, seen along the profile"
                raise InputError(what, "two ways square to one another", key=("legs",))
            return Frame(origin, along, y, a), side < 0.0
        case "channel":
            if given.back is None:
                raise InputError("it does not say which way the back of its web looks", f'back = e.g. "bottom": {WAYS}')
            y = -_square(given.back, origin, along, ("back",))
            return Frame(origin, along, y, cross(along, y)), False
        case "T":
            if given.flange is None:
                raise InputError("it does not say which way its flange looks", f'flange = e.g. "top": {WAYS}')
            z = _square(given.flange, origin, along, ("flange",))
            return Frame(origin, along, cross(z, along), z), False
    if given.width is None:
        return upright(origin, along), False
    z = _square(given.width, origin, along, ("width",))
    return Frame(origin, along, cross(z, along), z), False


_MEANS = {
    "legs": "which way leg a and leg b point from the heel",
    "back": "which way the back of its web looks",
    "flange": "which way the outside of its flange looks",
    "width": "which way its width runs",
}


def _named(kind: str) -> str:
    """'an angle', 'a channel', 'flat bar'."""
    return {"angle": "an angle", "flat": "flat bar"}.get(kind, kind if kind.endswith("bar") else f"a {kind}")


def _square(way: AxisDirection, origin: Array, along: Array, key: tuple[str | int, ...]) -> Array:
    """A direction square to the profile, unit (3,)."""
    asked = np.array(way.direction, dtype=float) if way.toward is None else np.array(way.toward.xyz) - origin
    across = asked - float(asked @ along) * along
    if float(np.linalg.norm(across)) < _LEAST * float(np.linalg.norm(asked)) or not asked.any():
        raise InputError("this is the way in which the profile runs itself", "a way across it", key=key)
    return unit(across)


def _line_name(given: Profile) -> str:
    """The line of the section on which the points lie, by its key in the job."""
    return _DATUM[given.section.kind] if given.lies is None else given.lies.strip().lower()


def _datum(given: Profile, section: CrossSection) -> Xy:
    """The place of the section that lies on the route, (y, z) mm."""
    kind, name = given.section.kind, _line_name(given)
    if name == _DATUM[kind] and name != "middle":
        return 0.0, 0.0
    if name == "middle":
        y0, z0, y1, z1 = section.outline.bounds
        return (y0 + y1) / 2.0, (z0 + z1) / 2.0
    for face in section.faces:
        if face.name.lower() == name:
            return (face.start[0] + face.end[0]) / 2.0, (face.start[1] + face.end[1]) / 2.0
    known = [_DATUM[kind], *(["middle"] if kind in ("angle", "channel", "T") else []), *(f.name for f in section.faces)]
    raise InputError(f'{_named(kind)} has no "{given.lies}"', listed(known, 12), nearest(name, known), key=("lies",))


def routed_profiles(job: Definitions) -> list[RoutedProfile]:
    """The profiles of a job as it places them; one with faults, which its family reports, is left out.

    Args:
        job: the definitions.
    """
    found = []
    for i, given in enumerate(job.profile):
        with suppress(InputError):
            found.append(RoutedProfile.of(i, given))
    return found
