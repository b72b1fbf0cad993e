"""Sentences with values in them: facts, findings and notes keep their figures until a document words them.

    sentence("adjusts ", mm(12.5), " each way where ", mm(15), " is needed")

keeps two lengths.  `Sentence.words("mm")` is 'adjusts 12.5 mm each way where 15 mm is needed';
`words("in")` has inches first, with mm beside them: 'adjusts 0.492" [12.5 mm] each way ...'.  A size
that belongs to a name, as in 'M12 x 1.75' or '48.3 x 3.2', is plain text and stays as it is.
A sentence cannot go into an f-string by accident: there is no other way to its text than `words`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Protocol, runtime_checkable

from fabgen.wording.figures import angle_figure, figure
from fabgen.wording.inches import INCH, inch_size, is_metric

POUND = 4.4482216152605
"""A pound-force in newtons: 0.453 592 37 kg (the agreement of 1959) by the standard gravity of 9.806 65 m/s2."""


class Unit(Enum):
    """What a value is kept in; the text is the unit's name in data files."""

    MM = "mm"
    MM2 = "mm2"
    RAD = "rad"
    N = "N"
    MPA = "MPa"
    KG = "kg"
    NUMBER = "1"
    """A ratio, a factor or a count."""


@dataclass(frozen=True, slots=True)
class Value:
    """One figure of a sentence, or several that share one unit word ('38.5 to 45.2 mm').

    Made by `mm`, `degrees`, `kilonewtons` and the others below.

    Args:
        values: in `unit`, as exact as they are known.
        unit: what they are kept in.
        decimals: places that are written.
        suffix: what follows the figures, e.g. ' mm', '°', ' kN'.
        scale: written figure over kept value, e.g. 0.001 for newtons written as kN.
        joint: what stands between several figures.
        fixed: zeros at the end are written too ('5.0').
        signed: a figure above zero has its plus.
        to_paste: written in the job's own unit and between quotes, as the job file takes it ('"5 mm"', '"3/16 in"');
            without a suffix as a bare figure of that unit ('5', '0.197').
        before: a word that stands before what is pasted, within its quotes.
        outward: what is pasted is rounded away from 0.
        is_size: a length without its 'mm', as the size in a name, that is in inches in inch jobs all the same.
        as_made: in an inch job in the one unit that it is made in: what is metric in mm, all else in inches.
        name: which of a fact's values it is, for data files; not written.
    """

    values: tuple[float, ...]
    unit: Unit
    decimals: int = 1
    suffix: str = ""
    scale: float = 1.0
    joint: str = ""
    fixed: bool = False
    signed: bool = False
    to_paste: bool = False
    before: str = ""
    outward: bool = False
    is_size: bool = False
    as_made: bool = False
    name: str = ""

    def named(self, name: str) -> Value:
        """The same value with a name, for a fact that has several."""
        return replace(self, name=name)

    @property
    def written(self) -> tuple[str, ...]:
        """Each figure as it is written, without its unit."""
        return tuple(self._plus(value) + self._figure(value * self.scale) for value in self.values)

    def _plus(self, value: float) -> str:
        return "+" if self.signed and value > 0.0 else ""

    def _figure(self, value: float) -> str:
        if self.fixed:
            return f"{value:.{self.decimals}f}"
        if self.unit is Unit.RAD:
            return angle_figure(value, self.decimals)
        text = figure(value, self.decimals)
        # A length too small for its places has one more: 0.3 mm is not 0.
        return figure(value, 1) if self.unit is Unit.MM and text == "0" and self.decimals == 0 else text

    def words(self, units: str = "mm") -> str:
        """The figures with their unit; for "in" a length is in inches, of the size as exact as it is known, with its mm
        beside, and a force in pounds with its kN beside."""
        if self.to_paste and not self.suffix:
            return figure(self.values[0] / INCH, 3) if units == "in" else self.written[0]
        if self.to_paste:
            size = (
                f"{inch_size(self.values[0], outward=self.outward)} in"
                if units == "in"
                else self.written[0] + self.suffix
            )
            return f'"{self.before}{size}"'
        text = self.joint.join(self.written) + self.suffix
        if units == "in" and self.unit is Unit.N:
            return f"{self.joint.join(f'{value / POUND:.0f}' for value in self.values)} lbf [{text}]"
        if units != "in" or self.unit is not Unit.MM or not (self.suffix or self.is_size):
            return text
        metric = text if self.suffix else f"{text} mm"
        if self.as_made and is_metric(*self.values):
            return metric
        sizes_in = (self._plus(value) + inch_size(value * self.scale) for value in self.values)
        inches = f'{self.joint.join(sizes_in)}"'
        return inches if self.as_made else f"{inches} [{metric}]"


@runtime_checkable
class Worded(Protocol):
    """What has words of its own for a job's units, as a section does."""

    def words(self, units: str = "mm") -> str: ...


@dataclass(frozen=True, slots=True)
class Sentence:
    """Plain text, values and what else is worded by a job's units, in the order they are read.  Equal parts make equal
    sentences.  Made by `sentence`."""

    parts: tuple[str | Worded, ...] = ()

    def words(self, units: str = "mm") -> str:
        """The one place where a sentence becomes text.

        Args:
            units: the job's, "mm" or "in"; in inch jobs every length is in inches, with its mm beside.
        """
        return "".join(part if isinstance(part, str) else part.words(units) for part in self.parts)

    @property
    def values(self) -> tuple[Value, ...]:
        """Its values in the order they are read."""
        return tuple(part for part in self.parts if isinstance(part, Value))

    def __bool__(self) -> bool:
        return bool(self.parts)

    def __format__(self, spec: str) -> str:
        raise TypeError("a sentence goes into a sentence, or into text by `words`")


EMPTY = Sentence()

Part = str | int | Worded
"""What a sentence is made of; a bare int is a name or number that is no measure: 'hole 3'."""


def sentence(*parts: Part) -> Sentence:
    """The parts as one sentence, read one after the other with nothing between them."""
    merged: list[str | Worded] = []
    for part in _flat(parts):
        if isinstance(part, str) and merged and isinstance(merged[-1], str):
            merged[-1] += part
        elif part != "":
            merged.append(part)
    return Sentence(tuple(merged))


def joined(joint: str, parts: Iterable[Part]) -> Sentence:
    """The parts as one sentence with `joint` between them, as `str.join`."""
    between: list[Part] = []
    for part in parts:
        between += [joint, part] if between else [part]
    return sentence(*between)


def _flat(parts: Sequence[Part]) -> Iterable[str | Worded]:
    for part in parts:
        if isinstance(part, Sentence):
            yield from part.parts
        else:
            yield str(part) if isinstance(part, int) else part


# -- values -----------------------------------------------------------------------------
def mm(length: float, decimals: int = 1, fixed: bool = False) -> Value:
    """A length, mm: '12.5 mm'; `fixed` with zeros at the end, '5.0 mm'."""
    return Value((float(length),), Unit.MM, decimals, " mm", fixed=fixed)


def lengths(sizes: Sequence[float], joint: str = " x ", decimals: int = 1) -> Value:
    """Lengths, mm, that share one 'mm': '80 x 40 mm', '38.5 to 45.2 mm'."""
    return Value(tuple(float(size) for size in sizes), Unit.MM, decimals, " mm", joint=joint)


def changes(*of: float, joint: str = " to ") -> Value:
    """Changes of a length, mm, with their signs, to a tenth: '+12.5 mm', '-2.2 to +1.1 mm'; never '-0.0'."""
    kept = tuple(0.0 if abs(change) < 0.05 else float(change) for change in of)
    return Value(kept, Unit.MM, 1, " mm", joint=joint, fixed=True, signed=True)


def sizes(*lengths_of: float, decimals: int = 2) -> Value:
    """Lengths, mm, without their unit, as in 'Ø8.5' or 'slot 30 x 8.5'; in an inch job 'Ø0.335" [8.5 mm]'."""
    return replace(lengths(lengths_of, decimals=decimals), suffix="", is_size=True)


def to_paste(length: float, decimals: int = 2) -> Value:
    """A length, mm, as the job file takes it: '"12.5 mm"', in an inch job '"1/2 in"'."""
    return replace(mm(length, decimals), to_paste=True)


def spacer_to_paste(length: float) -> Value:
    """A spacer in a bolt's stack, mm, as the job file takes it: '"spacer 12.5 mm"'."""
    return replace(to_paste(length), before="spacer ")


def coordinate(length: float) -> Value:
    """A coordinate, mm, as a point of the job file has it: '412.5', in an inch job '16.24'."""
    return replace(mm(length), to_paste=True, suffix="")


def outward_to_paste(length: float) -> Value:
    """A length that is to be no less, mm, as the job file takes it: away from 0 to 0.1 mm, in an inch job to 1/1000
    of an inch."""
    whole = math.copysign(math.ceil(round(abs(length) * 10.0, 4)) / 10.0, length) + 0.0
    return replace(to_paste(whole), outward=True)


def as_made(*lengths_of: float, decimals: int = 4) -> Value:
    """Lengths, mm, of what is bought: '3 mm', '2500 x 1250 mm'; in an inch job '1/8"', but '3 mm' of what is metric."""
    return replace(lengths(lengths_of, decimals=decimals), as_made=True)


def square_mm(area: float, decimals: int = 1) -> Value:
    """An area, mm2: '84.3 mm2'."""
    return Value((float(area),), Unit.MM2, decimals, " mm2")


def square_cm(area: float, decimals: int = 0) -> Value:
    """An area, mm2, written in cm2: '120 cm2'."""
    return Value((float(area),), Unit.MM2, decimals, " cm2", scale=0.01)


def degrees(angle: float, decimals: int = 1, suffix: str = "°", fixed: bool = False) -> Value:
    """An angle, rad, written in degrees: '63.4°', with `suffix` ' degrees' in words."""
    return Value((float(angle),), Unit.RAD, decimals, suffix, scale=180.0 / math.pi, fixed=fixed)


def angles(sizes: Sequence[float], joint: str, decimals: int = 1) -> Value:
    """Angles, rad, that share one degree sign: '45 and 90°'."""
    return replace(degrees(0.0, decimals), values=tuple(float(size) for size in sizes), joint=joint)


def kilonewtons(force: float, decimals: int | None = None) -> Value:
    """A force, N, written in kN: '8.25 kN', of 10 kN and more '12.3 kN' unless `decimals` says otherwise."""
    usual = 2 if force < 10_000.0 else 1
    return Value((float(force),), Unit.N, usual if decimals is None else decimals, " kN", scale=1e-3)


def megapascals(stress: float) -> Value:
    """A stress, MPa: '355 MPa'."""
    return Value((float(stress),), Unit.MPA, 0, " MPa")


def kilograms(mass: float) -> Value:
    """A mass, kg: '0.677 kg' of a light part, '12.34 kg' of a heavier one."""
    return Value((float(mass),), Unit.KG, 3 if mass < 1.0 else 2, " kg")


def number(value: float, decimals: int = 1) -> Value:
    """A ratio, a factor or a count: '1.5', as in 'K 0.42' or '3 times'."""
    return Value((float(value),), Unit.NUMBER, decimals)
