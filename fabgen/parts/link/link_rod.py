"""Link rods: a tube or bar between two rod ends or fixed ends, pin to pin.

Pin to pin is the tube and what each end reaches beyond it (`parts/piece/link.py`).  Where a sleeve's axis
stands off the tube's, the tube runs beside the line of the pins by so much.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from fabgen.geometry.space.frame import Array, Frame, upright
from fabgen.geometry.tube.solids import RoundBar
from fabgen.job.errors import InputError, Problems
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.link_tables import Link
from fabgen.job.values.point import Point
from fabgen.parts.link.link_ends import link_end
from fabgen.parts.link.link_facts import facts, hardware
from fabgen.parts.link.link_load import Strut, loaded
from fabgen.parts.link.nut_metal import nut_metal, section_strength
from fabgen.parts.piece import (
    ENDS,
    At,
    CutLine,
    EyeSetup,
    Joint,
    LengthPart,
    LinkEnd,
    LinkPart,
    LoadedLink,
    Piece,
    RodEndSetup,
    WorkedEnd,
)
from fabgen.parts.shape.bored.pin_ways import given_way
from fabgen.parts.shape.cuts import drawn_line, plain_line
from fabgen.parts.shape.directions import array
from fabgen.parts.shape.sections import angle_about, section_profile
from fabgen.shop.materials import Material
from fabgen.shop.section import Section
from fabgen.shop.strength import beside_weld
from fabgen.wording.sentence import mm, sentence


def pieces(job: Definitions) -> list[Piece]:
    """The link rods of a job and the sleeves of their fixed ends.

    Returns: of each [[link]] its tube or bar, whose shape is a `LinkPart`, then the sleeves as tubes of their own.
    Raises:
        JobError: the faults of all links.
    """
    problems = Problems()
    made: list[Piece] = []
    for i, link in enumerate(job.link):
        sides: list[LinkEnd] = []
        for place in range(2):
            with problems.at("link", i):
                sides.append(link_end(job, link, place))
        with problems.at("link", i):
            _check_section(link, sides)
            pins = _pins(link)
            if len(sides) == 2:
                made += _made(job, link, (sides[0], sides[1]), pins, i)
    problems.report()
    return made


def _check_section(link: Link, sides: Sequence[LinkEnd]) -> None:
    if not link.section.is_round:
        raise InputError("a link rod is made of round tube", 'e.g. section = "25.4 x 4"', key=("section",))
    threaded = any(isinstance(side, RodEndSetup) and not side.female for side in sides)
    if link.section.is_solid and link.bung != "none" and threaded:
        raise InputError("solid bar takes no bung", 'bung = "none": the bar itself is tapped', key=("section",))


def _pins(link: Link) -> Array:
    """The two pins, (2, 3) mm; along x from the origin where the job does not place them."""
    if link.between is None:
        assert link.length is not None
        return np.array([[0.0, 0.0, 0.0], [link.length, 0.0, 0.0]])
    pins = np.array([[p.x, p.y, p.z] for p in link.between])
    if np.linalg.norm(pins[1] - pins[0]) < 0.01:
        raise InputError("the two points of the link are the same", "two points apart", key=("between",))
    return pins


# -- the tube between its ends -----------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Axis:
    """The tube's axis: a frame at the place nearest the first pin, its x along the tube and z its top, and how far
    it is to the place nearest the other pin."""

    frame: Frame
    long: float


def _axis(pins: Array, offsets: tuple[float, float]) -> _Axis:
    """Each pin stands off the axis by its offset, toward the tube's top."""
    apart = pins[1] - pins[0]
    far = float(np.linalg.norm(apart))
    first = upright(pins[0], apart)
    rise = offsets[1] - offsets[0]
    if abs(rise) >= far:
        raise InputError(
            "the offsets of its ends are more than the pins are apart", "smaller offsets", key=("rod_ends",)
        )
    tilt = math.asin(rise / far)
    x = math.cos(tilt) * first.x - math.sin(tilt) * first.z
    z = math.sin(tilt) * first.x + math.cos(tilt) * first.z
    return _Axis(Frame(pins[0] - offsets[0] * z, x, first.y, z), far * math.cos(tilt))


def _offset(side: LinkEnd) -> float:
    return side.offset if isinstance(side, EyeSetup) else 0.0


def _made(job: Definitions, link: Link, sides: tuple[LinkEnd, LinkEnd], pins: Array, index: int) -> list[Piece]:
    axis = _axis(pins, (_offset(sides[0]), _offset(sides[1])))
    ends = [_end(job, link, side, at, axis) for side, at in zip(sides, ENDS, strict=True)]
    sides = (ends[0].side, ends[1].side)
    one, other = (side.reach for side in sides)
    length = axis.long - one - other
    pin_to_pin = float(np.linalg.norm(pins[1] - pins[0]))
    if length <= 0.0:
        what = sentence(
            "pin to pin is ",
            mm(pin_to_pin, 1, fixed=True),
            ", but the rod ends alone take ",
            mm(one + other, 1, fixed=True),
        )
        raise InputError(what, "more length, or smaller rod ends", key=("between",) if link.between else ("length",))
    frame = replace(axis.frame, origin=axis.frame.origin + one * axis.frame.x)
    part = LinkPart(
        section=link.section,
        length=length,
        axis=length,
        ends=(ends[0].worked(), ends[1].worked()),
        frame=frame if link.between else None,
        pin_to_pin=pin_to_pin,
        sides=sides,
        adjust=link.adjust,
        bungs=link.bung != "none" and any(isinstance(side, RodEndSetup) and not side.female for side in sides),
        head_diameter=link.bung_diameter or link.section.width,
        sight_hole=link.sight_hole,
    )
    material = job.find_material(link.material or job.job.material)
    sleeves = [piece for end in ends if (piece := _sleeve(job, link, end, material, index)) is not None]
    part = replace(part, made_mass=_mass(part, material), load=_loaded(job, link, part, material))
    return [_piece(link, part, material, index), *sleeves]


@dataclass(frozen=True, eq=False)
class _End:
    """One end in the making: `frame` at the place nearest its pin, `bolt` the direction of that."""

    at: At
    side: LinkEnd
    frame: Frame
    line: CutLine
    top: float
    bolt: Array
    pin: Array
    joint: Joint | None

    def worked(self) -> WorkedEnd:
        if self.joint is None:
            origin = self.frame.origin + self.side.reach * self.frame.x
            return WorkedEnd(self.at, "plain", self.line, replace(self.frame, origin=origin), self.top)
        return WorkedEnd(self.at, "cope", self.line, self.frame, self.top, (self.joint,))


def _end(job: Definitions, link: Link, side: LinkEnd, at: At, axis: _Axis) -> _End:
    start = at == "start"
    along = axis.frame.x if start else -axis.frame.x
    origin = axis.frame.origin if start else axis.frame.origin + axis.long * axis.frame.x
    pin = origin + _offset(side) * axis.frame.z
    if isinstance(side, RodEndSetup):
        frame = Frame.along(origin, along, axis.frame.z)
        line = plain_line(section_profile(link.section))
        return _End(at, side, frame, line, 0.0, axis.frame.y, pin, None)
    past = abs(side.offset) + link.section.width / 2.0 - side.sleeve.width / 2.0
    if past > 0.005:
        what = sentence(
            f"the tube is not held by the sleeve all round at its {at}: it runs past by ", mm(past, 1, fixed=True)
        )
        raise InputError(
            what, "a larger sleeve, a smaller tube or a smaller offset", key=("rod_ends", 0 if start else 1)
        )
    point: Point | None = link.between[0 if start else 1] if link.between else None
    bolt = _pin_axis(job, point, axis.frame)
    angle = math.acos(min(1.0, abs(float(bolt @ along))))
    if angle < math.radians(30.0):
        lies = f"the bolt of its {at} runs along the link ({math.degrees(angle):.0f} degrees to it)"
        raise InputError(lies, "a [[pin]] across the link", key=("rod_ends", 0 if start else 1))
    heel = bolt if float(bolt @ along) >= 0.0 else -bolt
    frame = Frame.along(origin, along, heel)
    if abs(float(bolt @ along)) < 1e-7 and float(frame.z @ axis.frame.z) < 0.0:
        frame = Frame.along(origin, along, -heel)  # both sides are alike: the offset counts toward the top
    top = angle_about(frame, axis.frame.z)
    sleeve = RoundBar(pin, bolt, side.sleeve.width / 2.0 + job.job.root_gap)
    line = drawn_line(link.section, top, frame, [sleeve], job.job.fit)
    joint = Joint(_sleeve_mark(link, at), angle, float((pin - origin) @ frame.z))
    return _End(at, replace(side, reach=float(line.x.min())), frame, line, top, bolt, pin, joint)


def _pin_axis(job: Definitions, at: Point | None, tube: Frame) -> Array:
    """Unit direction (3,) of the [[pin]] at that point; without one level and square to the tube."""
    given = given_way(array(at), job.pin) if at is not None else None
    return tube.y if given is None else given


def _sleeve_mark(link: Link, at: At) -> str:
    """'L1-E1' and 'L1-E2'."""
    return f"{link.mark}-E{1 + ENDS.index(at)}"


def _sleeve(job: Definitions, link: Link, end: _End, material: Material, index: int) -> Piece | None:
    side = end.side
    if not isinstance(side, EyeSetup):
        return None
    mark = _sleeve_mark(link, end.at)
    if any(part.mark == mark for part in job.parts()):
        what = f'the sleeve of its {end.at} gets the mark "{mark}", which is taken already'
        raise InputError(what, "another mark for that part", key=("mark",))
    part = _sleeve_part(side.sleeve, side.width, end, placed=link.between is not None)
    return Piece(
        mark=mark,
        kind="tube",
        quantity=link.quantity,
        material=material.name,
        mass=material.density * side.sleeve.area * side.width * 1e-9,
        shape=part,
        title=f"sleeve, {end.at} of {link.mark}",
        part_of=link.mark,
        path=("link", index),
    )


def _sleeve_part(section: Section, width: float, end: _End, placed: bool) -> LengthPart:
    axis = upright(end.pin - end.bolt * width / 2.0, end.bolt)
    line = plain_line(section_profile(section))
    far = Frame.along(axis.origin + width * axis.x, -axis.x, axis.z)
    ends = (
        WorkedEnd("start", "plain", line, Frame.along(axis.origin, axis.x, axis.z), 0.0),
        WorkedEnd("finish", "plain", line, far, 0.0),
    )
    return LengthPart(section, width, width, ends, axis if placed else None)


def _piece(link: Link, part: LinkPart, material: Material, index: int) -> Piece:
    sawn = material.density * link.section.area * part.length * 1e-9
    return Piece(
        mark=link.mark,
        kind="link",
        quantity=link.quantity,
        material=material.name,
        mass=sawn,
        shape=part,
        title=link.title,
        note=link.note,
        finish=link.finish,
        hardware=hardware(part),
        facts=facts(part, sawn),
        path=("link", index),
        is_assembly=True,
    )


def _mass(part: LinkPart, material: Material) -> float:
    """Of tube, bungs and sleeves, kg."""
    volume = part.section.area * part.length
    for side in part.sides:
        if isinstance(side, EyeSetup):
            volume += side.sleeve.area * side.width
        elif side.female:
            volume -= math.pi / 4.0 * (part.section.width**2 - side.thread.diameter**2) * side.turned
        elif part.bungs:
            hole = side.thread.diameter**2
            volume += math.pi / 4.0 * (part.head_diameter**2 - hole) * side.head
            volume += math.pi / 4.0 * max(0.0, part.section.bore**2 - hole) * max(0.0, side.tapped - side.head)
    return material.density * volume * 1e-9


def _loaded(job: Definitions, link: Link, part: LinkPart, material: Material) -> LoadedLink | None:
    if link.load is None:
        return None
    section, tig = part.section, job.consumables.process == "tig"
    wall = section.wall or section.width
    welded = part.bungs or any(isinstance(side, EyeSetup) for side in part.sides)
    strut = Strut(
        part.section,
        part.length,
        part.pin_to_pin,
        part.sides,
        part.extends,
        part.head_diameter,
        section_strength(material, section),
        nut_metal(job, link),
        tapped=not part.bungs,
        sight_hole=part.sight_hole if part.bungs else 0.0,
        beside=beside_weld(material, wall, tig) if welded else None,
        softens=welded and material.group == "aluminium",
    )
    return loaded(strut, link.load)
