"""What is bought, by its fields: bars, sheets, threaded parts and the rest.

Each is worded in one place, `words(units)`: in mm as lists and data files name it, in an inch job in
inches, what is metric in mm.
"""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.shop.profiles.profile_section import ProfileSection, StockSection
from fabgen.shop.section import Section
from fabgen.wording.sentence import Sentence, as_made


@dataclass(frozen=True, slots=True)
class StockBar:
    """Tube, solid bar or a profile by the length.

    Args:
        section: as it is bought (`nominal`).
        length: mm.
    """

    section: StockSection
    material: str
    length: float

    @property
    def item(self) -> str:
        """'tube', 'bar' where it is solid, else what the profile is: 'angle', 'channel', 'T section'."""
        if isinstance(self.section, ProfileSection):
            return {"T": "T section"}.get(self.section.kind, self.section.kind)
        return "bar" if self.section.is_solid else "tube"

    def words(self, units: str = "mm") -> str:
        """'48.3 x 3.2 S355, 6000 mm'.

        Args:
            units: 'mm' or 'in'.
        """
        return f"{self.section.words(units)} {self.material}, {as_made(self.length).words(units)}"


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet or a blank.

    Args:
        thickness: mm.
        size: length and width, mm.
    """

    material: str
    thickness: float
    size: tuple[float, float]

    def words(self, units: str = "mm") -> str:
        """'3 mm S235, 2500 x 1250 mm'.

        Args:
            units: 'mm' or 'in'.
        """
        return f"{as_made(self.thickness).words(units)} {self.material}, {as_made(*self.size).words(units)}"


@dataclass(frozen=True, slots=True)
class Threaded:
    """A bolt, nut, rod end or bung, or a washer for a thread.

    Args:
        name: as it is ordered, less its strength: 'M10 x 30', 'M12 x 1.75 right'.
        thread: 'M10 x 1.5', with its hand where that is ordered; of a washer the size alone, 'M10'.
        length: mm, of a bolt.
        strength: property class, hardness or grade, '' where none is ordered.
        standard: '' where there is none.
    """

    name: str
    thread: str
    length: float | None = None
    strength: str = ""
    standard: str = ""

    def words(self, units: str = "mm") -> str:
        """'M10 x 30, 8.8': a name, the same in every job."""
        return f"{self.name}, {self.strength}" if self.strength else self.name


@dataclass(frozen=True, slots=True)
class Plug:
    """A plug for the open end of a tube, of this section."""

    section: Section

    def words(self, units: str = "mm") -> str:
        """'for 40 x 40 x 3'.

        Args:
            units: 'mm' or 'in'.
        """
        return f"for {self.section.words(units)}"


Goods = StockBar | Sheet | Threaded | Plug | Sentence
"""What one line of a list buys; what has no fields of its own is a sentence."""
