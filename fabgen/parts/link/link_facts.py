"""What is bought for a link rod, and how it is set up, in words."""

from __future__ import annotations

import math
from collections import Counter

from fabgen.parts.link.link_part import EyeSetup, LinkPart, LoadedLink, RodEndSetup
from fabgen.parts.piece import Hardware
from fabgen.parts.tube.route import ENDS
from fabgen.shop.threads import Thread, parse_thread
from fabgen.wording.figures import figure, kilograms, kilonewtons, mm


def hardware(part: LinkPart) -> tuple[Hardware, ...]:
    wanted: Counter[tuple[str, str, str]] = Counter()
    for rod in part.rods:
        bore = f"bore {rod.bore:.4g} mm, " if rod.bore else ""
        sizes = f"{bore}shank {rod.shank:.4g} mm, thread {rod.thread_length:.4g} mm"
        if rod.female:
            sizes = (
                f"threaded inside, {bore}ball centre to face {rod.shank:.4g} mm, {rod.thread_length:.4g} mm of thread"
            )
        wanted["rod end", str(rod.thread), sizes] += 1
    for rod in part.rods:
        wanted["jam nut", str(rod.thread), f"thin nut, {_nut_standard(rod.thread)}"] += 1
    for rod in part.rods if part.bungs else ():
        stepped = f", {figure(part.head_diameter)} mm outside the tube" if part.is_stepped else ""
        fit = f"to fit the bore of {part.section}, {rod.tapped:.4g} mm of thread, head {rod.head:.4g} mm{stepped}"
        wanted["weld-in threaded bung", str(rod.thread), fit] += 1
    return tuple(Hardware(item, spec, count, note) for (item, spec, note), count in wanted.items())


def _nut_standard(thread: Thread) -> str:
    if thread.series != "M":
        return "ASME B18.2.2"
    coarse = parse_thread(thread.size).pitch
    return "ISO 4035" if math.isclose(thread.pitch, coarse) else "ISO 8675"


def facts(part: LinkPart, sawn: float) -> tuple[tuple[str, str], ...]:
    """What is told of a link; `sawn` kg: of its tube or bar alone, before it is worked."""
    middle, way = part.pin_to_pin, part.each_way
    told = [("pin to pin", mm(middle))]
    if part.rods:
        told.append(("adjusts", f"{mm(middle - way)} to {mm(middle + way)}, {mm(way)} each way"))
    else:
        told.append(("adjusts", "not at all: both ends are fixed"))
    if part.in_place:
        told.append(("one turn of the tube", mm(part.per_turn, 2)))
    elif part.rods:
        steps = " or ".join(sorted({mm(rod.thread.pitch / 2.0, 2) for rod in part.rods}))
        told.append(("to adjust", f"take one end off its pin; half a turn of the rod end is {steps}"))
    for name, side in zip(ENDS, part.sides, strict=True):
        told += _eye_facts(name, side) if isinstance(side, EyeSetup) else _rod_facts(name, side, part)
    told.append(("mass", _mass(part, sawn)))
    return (*told, *(_load_facts(part.load) if part.load else ()))


def _rod_facts(name: str, rod: RodEndSetup, part: LinkPart) -> list[tuple[str, str]]:
    found = [
        (
            f"{name}, {rod.thread}",
            f"{mm(rod.showing)} of thread showing, jam nut of {mm(rod.thread.jam_nut)} on it; "
            f"{mm(rod.engaged(rod.depth))} engaged, {mm(rod.least_depth)} at least",
        )
    ]
    if rod.female:
        turned = f"and thread it over {mm(rod.turned)}: part of the saw length"
        found.append((f"turn the {name}", f"to {mm(rod.thread.diameter)} {turned}"))
    elif not part.bungs:
        found.append((f"tap the {name}", f"{mm(rod.tapped)} deep"))
    if part.sight_hole and (place := rod.sight_hole()) is not None:
        text = f"{mm(part.sight_hole)} through to the thread, {mm(place)} from the tube's end: "
        found.append((f"sight hole, {name}", f"{text}the shank has to cover it, else it is not in far enough"))
    return found


def _eye_facts(name: str, eye: EyeSetup) -> list[tuple[str, str]]:
    off = f", its axis {mm(abs(eye.offset))} {'above' if eye.offset > 0 else 'below'} the tube's" if eye.offset else ""
    return [(f"{name}, fixed", f"coped to a sleeve of {eye.sleeve}, {mm(eye.width)} long{off}")]


def _mass(part: LinkPart, sawn: float) -> str:
    """Of the tube as sawn, which other sheets give, and of the link as it is fitted, as far as that is known."""
    masses = [rod.mass for rod in part.rods]
    known = [mass for mass in masses if mass is not None]
    with_rods = bool(masses) and len(known) == len(masses)
    counted: list[str] = []
    if part.bungs and part.rods:
        counted.append("bungs")
    if any(isinstance(side, EyeSetup) for side in part.sides):
        counted.append("sleeves")
    if with_rods:
        counted.append("rod ends")
    words = f"{', '.join(counted[:-1])} and {counted[-1]}" if len(counted) > 1 else "".join(counted)
    left = "" if not part.rods else "; jam nuts not counted" if with_rods else "; rod ends and jam nuts not counted"
    fitted = part.made_mass + (sum(known) if with_rods else 0.0)
    turned = "turned and threaded, " if any(rod.female for rod in part.rods) else ""
    whole = f"; {turned}{f'with {words} ' if words else ''}{kilograms(fitted)}" if words or turned else ""
    return f"{'bar' if part.section.is_solid else 'tube'} as sawn {kilograms(sawn)}{whole}{left}"


def _load_facts(link: LoadedLink) -> list[tuple[str, str]]:
    """What is printed with the link."""
    facts = [
        ("load along it", f"{kilonewtons(link.load)}, as the job gives it; at its longest {figure(link.longest)} mm")
    ]
    for margin in link.margins:
        times = f"{figure(link.times(margin))} times the load"
        facts.append((margin.what, f"at {kilonewtons(margin.bears)}, {times} ({margin.basis})"))
    return facts
