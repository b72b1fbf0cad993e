"""Materials by the names a shop buys them under, with the density that masses are calculated from.

Clauses and tables named here are quoted from memory; check against your copy.

Densities
    steel       7850 kg/m3: EN 10219-2:2006 calculates the masses of its tables with 7.85 kg/dm3;
                EN 1991-1-1:2002, table A.4, gives steel as 77.0 to 78.5 kN/m3.
    stainless   7900 (1.4301, 1.4307) and 8000 kg/m3 (1.4401, 1.4404): EN 10088-1, physical properties.
    aluminium   2700 kg/m3: EN 1999-1-1:2007, 3.2.5.
    Anything else, also where a grade is merely put down to one of these: from memory, check
    against your part.
Yield strengths
    S235, S275, S355: EN 10025-2, thickness up to 16 mm.  The rest have none here: theirs
    depends on the condition they are delivered in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from fabgen.wording.input_error import InputError
from fabgen.wording.nearest import nearest

Group = Literal["mild steel", "alloy steel", "stainless", "aluminium"]
Form = Literal["sheet", "tube"]

STEEL, STAINLESS, STAINLESS_MO, ALUMINIUM = 7850.0, 7900.0, 8000.0, 2700.0


@dataclass(frozen=True, slots=True)
class Material:
    """A material: the `group` whose bend data serve it, density (kg/m3), what it is in words,
    and the least yield strength (MPa) where a standard gives one for every condition; `given_yield` and
    `tensile_strength` only where a job says them (`strength.py` has the rest).  `form`: what alone
    its grade is sold as, by the standard that defines it; None where that is not sure.  `like`: of a job's
    own material the known one whose tables serve it, '' of a known one; `has_zinc`: whether it comes with a
    coat of zinc."""

    name: str
    group: Group
    density: float
    title: str
    standard_yield: float | None = None
    tensile_strength: float | None = None
    form: Form | None = None
    like: str = ""
    has_zinc: bool = False
    given_yield: float | None = None

    @property
    def yield_strength(self) -> float | None:
        """Least yield strength, MPa: as the job gives it, else of the standard's thinnest range."""
        return self.standard_yield if self.given_yield is None else self.given_yield

    @property
    def grade(self) -> str:
        """The name that tables know it by."""
        return self.like or self.name


class UnknownMaterialError(InputError):
    """There is no such material."""


_QUALITIES = {
    "S235": ("JR", "JRH", "J2"),
    "S275": ("JR", "J0H", "J2", "J2H"),
    "S355": ("JR", "J0H", "J2", "J2H", "K2"),
}
"""Structural steels and their quality grades, which differ in toughness alone."""
_BY_WORDS = {
    **dict.fromkeys(("steel", "mildsteel", "structuralsteel", "carbonsteel", "lowcarbonsteel", "blacksteel"), "S235"),
    **dict.fromkeys(("stainless", "stainlesssteel", "inox"), "304"),
    **dict.fromkeys(("galvanized", "galvanised", "galvanizedsteel", "galvanisedsteel", "zincplated"), "DX51D"),
    **dict.fromkeys(("chromoly", "chromemoly", "crmo"), "25CrMo4"),
    **dict.fromkeys(("aluminium", "aluminum", "alu", "alloy"), "5754 for sheet, 6060-T66 for tube"),
}
"""What is meant by words that are no grade, by compared name: the usual one of a shop (common practice, no source)."""


def _structural(name: str, strength: float) -> list[Material]:
    """A structural steel and its quality grades."""
    plain = Material(name, "mild steel", STEEL, "structural steel, EN 10025-2", strength)
    tube = replace(plain, title="structural steel, hollow sections, EN 10219-1 or EN 10210-1", form="tube")
    return [plain, *(replace(tube if g.endswith("H") else plain, name=name + g) for g in _QUALITIES[name])]


_MATERIALS = (
    *_structural("S235", 235.0),
    *_structural("S275", 275.0),
    *_structural("S355", 355.0),
    Material("S355MC", "mild steel", STEEL, "steel for cold forming, EN 10149-2", form="sheet"),
    Material("S420MC", "mild steel", STEEL, "steel for cold forming, EN 10149-2", form="sheet"),
    Material("DC01", "mild steel", STEEL, "cold rolled sheet, EN 10130", form="sheet"),
    Material("DC04", "mild steel", STEEL, "cold rolled sheet, EN 10130", form="sheet"),
    Material("DD11", "mild steel", STEEL, "hot rolled sheet, EN 10111", form="sheet"),
    Material("DX51D", "mild steel", STEEL, "zinc coated sheet, EN 10346", form="sheet", has_zinc=True),
    Material("E235", "mild steel", STEEL, "precision tube, EN 10305"),
    Material("E355", "mild steel", STEEL, "precision tube, EN 10305"),
    Material("A36", "mild steel", STEEL, "structural steel, ASTM A36"),
    Material("A500", "mild steel", STEEL, "structural tube, ASTM A500", form="tube"),
    Material("A513", "mild steel", STEEL, "mechanical tube, ASTM A513", form="tube"),
    Material("1018", "mild steel", STEEL, "carbon steel bar"),
    Material("1020 DOM", "mild steel", STEEL, "tube drawn over a mandrel, ASTM A513 type 5", form="tube"),
    Material("25CrMo4", "alloy steel", STEEL, "chromium-molybdenum steel"),
    Material("4130", "alloy steel", STEEL, "chromium-molybdenum steel"),
    Material("304", "stainless", STAINLESS, "stainless steel"),
    Material("304L", "stainless", STAINLESS, "stainless steel"),
    Material("316", "stainless", STAINLESS_MO, "stainless steel"),
    Material("316L", "stainless", STAINLESS_MO, "stainless steel"),
    Material("1.4301", "stainless", STAINLESS, "stainless steel, EN 10088"),
    Material("1.4307", "stainless", STAINLESS, "stainless steel, EN 10088"),
    Material("1.4401", "stainless", STAINLESS_MO, "stainless steel, EN 10088"),
    Material("1.4404", "stainless", STAINLESS_MO, "stainless steel, EN 10088"),
    Material("3003", "aluminium", ALUMINIUM, "aluminium sheet"),
    Material("5052", "aluminium", ALUMINIUM, "aluminium sheet"),
    Material("5083", "aluminium", ALUMINIUM, "aluminium sheet and plate"),
    Material("5754", "aluminium", ALUMINIUM, "aluminium sheet"),
    Material("6060-T66", "aluminium", ALUMINIUM, "aluminium extrusion"),
    Material("6061-T6", "aluminium", ALUMINIUM, "aluminium, hard to fold without cracks"),
    Material("6082-T6", "aluminium", ALUMINIUM, "aluminium, hard to fold without cracks"),
)


def names() -> tuple[str, ...]:
    """Names of all materials known, in the order of this module."""
    return tuple(material.name for material in _MATERIALS)


def listed_names() -> Iterator[str]:
    """The names as a message lists them, quality grades of one steel together: 'S235 (JR, JRH, J2)'."""
    for name in names():
        if name in _QUALITIES:
            yield f"{name} ({', '.join(_QUALITIES[name])})"
        elif not any(name == steel + grade for steel, grades in _QUALITIES.items() for grade in grades):
            yield name


def find(name: str) -> Material:
    """The material of a name, its capitals, spaces and dashes aside.

    Args:
        name: as a job has it.
    Raises:
        UnknownMaterialError: no such material is known.
    """
    found = _by_key().get(key_of(name))
    if found is None:
        near = _BY_WORDS.get(key_of(name)) or nearest(name, names())
        raise UnknownMaterialError(f'there is no material "{name[:40]}"', ", ".join(listed_names()), near)
    return found


def is_known(name: str) -> bool:
    """Whether `find` would find it.

    Args:
        name: as a job has it.
    """
    return key_of(name) in _by_key()


def key_of(name: str) -> str:
    """The name as it is compared: '6082 t6' and '6082-T6' are one.

    Args:
        name: as a job has it.
    """
    return "".join(c for c in name.casefold() if c.isalnum() or c == ".")


@cache
def _by_key() -> dict[str, Material]:
    return {key_of(material.name): material for material in _MATERIALS}
