"""What a link rod bears of its load: buckling, the pull on its threads, and by how many times.

The strut is the rod at its longest, straight and true, its pins free to turn at both ends (rod ends
and bushes hold no bending): shanks by their core, bung heads, and the tube, each with its own
stiffness.  Nothing here speaks of fatigue, welds, bending or blows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.geometry.mechanics.buckling import StrutLength, euler_load, johnson_load, secant_load
from fabgen.parts.link.nut_metal import NutMetal
from fabgen.parts.piece import EyeSetup, LinkEnd, LoadedLink, Margin, RodEndSetup
from fabgen.shop.section import Section
from fabgen.shop.strength import BesideWeld, Strength
from fabgen.shop.threaded.engagement import class_strengths, nut_shear, screw_shear, stress_area
from fabgen.wording.sentence import Sentence, kilonewtons, megapascals, mm, number, sentence, square_mm

END_WELDS = "EN 1999-1-1, 6.3.3.3, clause from memory"
SHANK_CLASS = "4.6"
"""The property class taken for a shank of unknown class: the weakest (ISO 898-1)."""
STEEL = 210_000.0
_SHEAR = 1.0 / math.sqrt(3.0)
"""Shear over tensile yield, by von Mises."""


@dataclass(frozen=True, slots=True)
class Strut:
    """What of a link counts for its load; lengths mm.  `extends`: how much farther each rod end is out when the rod
    is at its longest; `head`: diameter of what stands out of the tube; `nut`: what the shanks screw into."""

    section: Section
    length: float
    pin_to_pin: float
    ends: tuple[LinkEnd, LinkEnd]
    extends: tuple[float, float]
    head: float
    tube: Strength
    nut: NutMetal
    tapped: bool = False
    """Whether the tube itself is tapped."""
    sight_hole: float = 0.0
    """Diameter of the sight holes, mm; 0 where there are none."""
    beside: BesideWeld | None = None
    """What welds at its ends leave of an aluminium tube; None where nothing is welded, or it is not known."""
    softens: bool = False
    """Whether it is welded aluminium."""


def loaded(strut: Strut, load: float) -> LoadedLink:
    """What the link bears, by every rule that its materials are known for.

    Args:
        strut: the rod as it is set up, with how much farther out each end is at its longest.
        load: along the rod, push or pull, N.
    Source: Euler's, Johnson's and the secant formula (`geometry/mechanics/buckling.py`); threads by
        `shop/threaded/engagement.py`, shear yield by von Mises.
    """
    longest = strut.pin_to_pin + sum(strut.extends)
    euler = euler_load(_stretches(strut))
    margins: list[Margin] = []
    unknown: list[str] = []
    rods = [end for end in strut.ends if isinstance(end, RodEndSetup)]
    if strut.tube.yields is None:
        margins.append(
            Margin("buckling", "buckles", euler, sentence("Euler, elastic: yield of the tube's material not known"))
        )
        unknown.append("when it yields: no strength of its material is known; give yield_strength in a [[material]]")
    else:
        margins += [_tube_pull(strut, strut.tube.yields, load), _buckling(strut, euler, longest, rods)]
        if strut.softens and strut.beside is None:
            unknown.append("what its welds leave of the aluminium beside them: no values are known of this alloy here")
        off = max((abs(end.offset) for end in strut.ends if isinstance(end, EyeSetup)), default=0.0)
        if off > 0.0:
            margins.append(_offset(strut, longest, off, strut.tube.yields))
    for rod in {(rod.thread.name, rod.property_class, rod.rating): rod for rod in rods}.values():
        margins += _turned(rod, strut.tube, load, unknown) if rod.female else _thread(rod, strut.nut, load, unknown)
    return LoadedLink(load, longest, euler, tuple(margins), tuple(dict.fromkeys(unknown)))


def _stretches(strut: Strut) -> list[StrutLength]:
    parts: list[list[StrutLength]] = []
    turned = 0.0
    for end, further in zip(strut.ends, strut.extends, strict=True):
        own: list[StrutLength] = []
        if isinstance(end, RodEndSetup):
            core = STEEL * _round(end.thread.core)
            turned += end.turned
            head = STEEL * (_round(strut.head) - _round(min(end.thread.diameter, 0.95 * strut.head)))
            own = [StrutLength(end.shank - end.depth + further, core), StrutLength(end.head, max(head, core))]
            own.append(StrutLength(end.turned, strut.tube.modulus * _round(end.thread.core)))
        else:
            own = [StrutLength(end.reach, strut.tube.modulus * second_moment(strut.section))]
        parts.append(own)
    middle = StrutLength(strut.length - turned, strut.tube.modulus * second_moment(strut.section))
    return [*parts[0], middle, *parts[1][::-1]]


def _round(diameter: float) -> float:
    return math.pi * diameter**4 / 64.0


def second_moment(section: Section) -> float:
    """Of a round section, mm4."""
    return _round(section.width) - _round(section.bore)


def _stress(load: float, area: float, at: str) -> Sentence:
    """'4 kN / 84.3 mm2 of stress area = 47 MPa': the load's stress as the sum it comes from."""
    return sentence(
        kilonewtons(load), " / ", square_mm(area).named(at), f" of {at} = ", megapascals(load / area).named("stress")
    )


def _tube_pull(strut: Strut, yields: float, load: float) -> Margin:
    """Of the tube's least section, where it is tapped or has its sight hole, or softened beside its welds."""
    section = strut.section
    threads = [end.thread.diameter for end in strut.ends if isinstance(end, RodEndSetup) and not end.female]
    taken = 0.0
    if strut.tapped and threads:
        taken = math.pi / 4.0 * (max(threads) ** 2 - section.bore**2)
    elif threads and not section.is_solid:
        taken = strut.sight_hole * section.wall
    pulled = _stress(load, section.area - taken, "least section")
    stress = megapascals(yields).named("yield")
    if strut.beside is None:
        basis = sentence(pulled, ", yield ", stress, "; the weld itself not counted")
        return Margin("tube-pull", "its tube yields", (section.area - taken) * yields, basis)
    soft = min(yields, strut.beside.bears)
    beside = megapascals(soft).named("beside the weld")
    basis = sentence(pulled, ", of ", beside, ": ", _softened(strut.beside))
    return Margin("tube-pull", "its tube gives way beside the weld", (section.area - taken) * soft, basis)


def _softened(beside: BesideWeld) -> Sentence:
    """'what a MIG weld leaves of 215 MPa within 20 mm; EN 1999-1-1 …'."""
    return sentence(
        f"what a {beside.process} weld leaves within ", mm(beside.zone), ", by tensile strength ",
        megapascals(beside.breaks), f" and partial factors; {beside.source}",
    )  # fmt: skip


def _buckling(strut: Strut, euler: float, longest: float, rods: Sequence[RodEndSetup]) -> Margin:
    assert strut.tube.yields is not None
    squash = strut.section.area * strut.tube.yields
    shanks = [(strut.tube.yields if rod.female else _yields(rod), rod) for rod in rods]
    weakest = min(shanks, key=lambda each: each[0] * stress_area(each[1].thread), default=None)
    shank = math.inf if weakest is None else weakest[0] * stress_area(weakest[1].thread)
    bears = johnson_load(euler, min(squash, shank))
    formula = "Euler" if bears == euler else "Johnson"
    ends = "shanks counted by their core" if rods else "its bushes hold no bending"
    first = sentence("the tube's yield ", megapascals(strut.tube.yields).named("yield"))
    if weakest is not None and shank < squash:
        area = square_mm(stress_area(weakest[1].thread)).named("stress area")
        yields = megapascals(weakest[0]).named("yield")
        first = sentence(f"the {weakest[1].thread.name} shank gives way first, ", area, " at ", yields)
    basis = sentence(f"{formula}, pins free to turn at both ends, {ends}, ", first)
    if strut.beside is not None:
        own = johnson_load(euler, squash)
        left = _weld_factor(strut, strut.beside, own / squash, longest)
        if left * own < bears:
            bears = left * own
            basis = sentence(basis, ", times ", number(left, 2), f" for the welds at its ends ({END_WELDS})")
    return Margin("buckling", "buckles", bears, basis)


def _weld_factor(strut: Strut, beside: BesideWeld, slender: float, longest: float) -> float:
    """What welds across its ends leave of its buckling load: EN 1999-1-1, 6.3.3.3, omega x.

    Args:
        slender: chi, the buckling load over what yields the section.
        longest: pin to pin, mm.
    """
    assert strut.tube.yields is not None
    local = min(1.0, beside.bears / strut.tube.yields)
    off = max(
        (end.shank - end.depth + further + end.head if isinstance(end, RodEndSetup) else abs(end.reach))
        for end, further in zip(strut.ends, strut.extends, strict=True)
    )
    # The softening may reach along the strut by its least width at most; else it counts as lying at the middle.
    if beside.zone > strut.section.width:
        return local
    return min(1.0, local / (slender + (1.0 - slender) * math.sin(math.pi * min(off, longest / 2.0) / longest)))


def _offset(strut: Strut, longest: float, off: float, yields: float) -> Margin:
    section = strut.section
    radius = math.sqrt(second_moment(section) / section.area)
    far = section.width / 2.0
    bears = secant_load(section.area, radius, far, longest, strut.tube.modulus, yields, off)
    basis = sentence("secant formula, load ", mm(off).named("off its axis"), " off its axis")
    if strut.beside is not None:
        # At the weld the tube has not bowed yet, but it is softer there.
        at_weld = min(yields, strut.beside.bears) * section.area / (1.0 + off * far / radius**2)
        if at_weld < bears:
            bears = at_weld
            beside = megapascals(strut.beside.bears).named("beside the weld")
            basis = sentence("load ", mm(off).named("off its axis"), " off its axis, ", beside, " beside the weld")
    return Margin("offset", "yields by bending", bears, basis)


def _yields(rod: RodEndSetup) -> float:
    return class_strengths(rod.property_class or SHANK_CLASS)[1]


def _thread(rod: RodEndSetup, nut: NutMetal, load: float, unknown: list[str]) -> list[Margin]:
    name = rod.thread.name
    area, yields = stress_area(rod.thread), _yields(rod)
    known = f"class {rod.property_class}" if rod.property_class else f"class {SHANK_CLASS} taken, the weakest"
    pull = sentence(_stress(load, area, "stress area"), ", yield ", megapascals(yields).named("yield"), f" by {known}")
    found = [Margin("thread-pull", f"{name} shank yields", area * yields, pull)]
    engaged = min(rod.engaged(rod.least_depth), rod.engaged(rod.most_depth))
    sheared = screw_shear(rod.thread) * engaged * _SHEAR * yields
    length = mm(engaged).named("engaged")
    basis = sentence(length, f" engaged, {known}")
    yields_at = nut.strength.yields
    if yields_at is None:
        unknown.append(f"the thread in {nut.part}: no strength is known of its material")
    elif nut_shear(rod.thread) * engaged * _SHEAR * yields_at < sheared:
        sheared = nut_shear(rod.thread) * engaged * _SHEAR * yields_at
        nut_yield = megapascals(yields_at).named("yield")
        basis = sentence(length, " engaged, the nut's thread first at a yield of ", nut_yield, f", in {nut.part}")
    found.append(Margin("thread-strip", f"{name} thread yields in shear", sheared, basis))
    return [*found, *_rating(rod, unknown)]


def _turned(rod: RodEndSetup, bar: Strength, load: float, unknown: list[str]) -> list[Margin]:
    """The bar's own thread is the screw; the rod end's is taken for the stronger."""
    name = rod.thread.name
    if bar.yields is None:
        unknown.append("the bar's thread: no strength is known of its material")
        return _rating(rod, unknown)
    engaged = min(rod.least_depth, rod.most_depth)
    known = sentence("yield of the bar ", megapascals(bar.yields).named("yield"))
    area = stress_area(rod.thread)
    sheared = screw_shear(rod.thread) * engaged * _SHEAR * bar.yields
    pull = sentence(_stress(load, area, "stress area"), ", ", known)
    strip = sentence(mm(engaged).named("engaged"), " engaged, ", known)
    found = [
        Margin("thread-pull", f"{name} on the bar yields", area * bar.yields, pull),
        Margin("thread-strip", f"{name} thread yields in shear", sheared, strip),
    ]
    return [*found, *_rating(rod, unknown)]


def _rating(rod: RodEndSetup, unknown: list[str]) -> list[Margin]:
    name = rod.thread.name
    found: list[Margin] = []
    if rod.rating is not None:
        found.append(
            Margin("rod-end-rating", f"{name} rod end's static rating", rod.rating, sentence("as the job gives it"))
        )
    else:
        unknown.append(f"the {name} rod end itself: give its maker's static load as rating")
    return found
