"""The standards by which a merchant knows what is ordered; figures in data/trade_standards.toml, from memory."""

from __future__ import annotations

from typing import Literal

from fabgen.shop import materials
from fabgen.shop.profiles.profile_section import ProfileSection, StockSection
from fabgen.shop.tables import table

Form = Literal["tube", "square_tube", "sheet", "bar"]


def of_grade(material: str, form: Form) -> str:
    """The standard of a grade in a form: 'EN 10219-1'; '' where none is known.

    Args:
        material: as a job has it.
        form: what it is bought as.
    """
    if not materials.is_known(material):
        return ""
    name = materials.find(material).grade
    rows = table("trade_standards", "grades").rows
    row = rows.get(name) or next((row for known, row in rows.items() if name.startswith(known)), None)
    return "" if row is None else str(row[form])


def of_bar(section: StockSection, material: str) -> str:
    """The standards of a length of tube, bar or profile, that of its sizes first: 'EN 10056-1, EN 10025-2'.

    Args:
        section: as it is bought.
        material: as a job has it.
    """
    if isinstance(section, ProfileSection):
        found = (section.standard, of_grade(material, "bar"))
    elif section.is_solid:
        found = ("", of_grade(material, "bar"))
    else:
        found = ("", of_grade(material, "tube" if section.is_round else "square_tube"))
    return ", ".join(dict.fromkeys(filter(None, found)))
