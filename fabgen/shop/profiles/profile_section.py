"""A profile's section: what a bar of angle, channel, T, flat or solid bar is called and how large it is."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from fabgen.shop.section import Section
from fabgen.wording.figures import figure, rounded_up
from fabgen.wording.inches import inch_size, is_metric

Kind = Literal["angle", "flat", "channel", "T", "bar", "square bar", "hexagon bar"]


@dataclass(frozen=True, slots=True)
class ProfileSection:
    """A profile by its sizes, mm.

    `sizes` as they are written: angle a, b, t; flat width, thickness; channel h, b, web, flange; T h, b, flange, stem;
    bars one size, of a hexagon over its flats.  `root` is the radius between two flats, `toe` that at their inner edges
    (of a T of its flange), `stem_toe` that of a T's stem; `slope` that of tapered flanges, whose thickness is measured
    at the share `at` of their width.  `folded`: bent from sheet, `root` its inside radius.
    """

    kind: Kind
    sizes: tuple[float, ...]
    root: float = 0.0
    toe: float = 0.0
    stem_toe: float = 0.0
    slope: float = 0.0
    at: float = 0.5
    folded: bool = False
    name: str = field(default="", compare=False)
    """As a standard's table has it where that is no row of sizes: 'UPN 80', 'C3 x 4.1'."""
    standard: str = field(default="", compare=False)
    """The standard whose sizes these are; '' of sizes of its own."""
    radii: Literal["", "sold", "nearest"] = field(default="", compare=False)
    """Of an angle for which the job gives no radii: those of its size as sold, or of the nearest that is sold."""

    @property
    def thickness(self) -> float:
        """Of its thinnest flat, mm; of solid bar its whole size."""
        return min(self.flat_thicknesses)

    @property
    def flat_thicknesses(self) -> tuple[float, ...]:
        """Of its flats, mm: of a channel web and flange, of a T flange and stem, else the one."""
        return self.sizes[2:] if len(self.sizes) > 2 else self.sizes[-1:]

    @property
    def nominal(self) -> StockSection:
        """As it is bought: the larger leg of an angle first, however it lies; sizes as they are written, radii left
        out; flat, round and square bar as the solid sections that they are."""
        sizes = tuple(rounded_up(size, 2) for size in self.sizes)
        match self.kind:
            case "bar":
                return Section("round", sizes[0], sizes[0], 0.0)
            case "flat" | "square bar":
                return Section("rectangular", max(sizes), min(sizes), 0.0)
            case "angle":
                sizes = (max(sizes[:2]), min(sizes[:2]), sizes[2])
        return replace(self, sizes=sizes, root=0.0, toe=0.0, stem_toe=0.0)

    def __str__(self) -> str:
        return self.words()

    def written(self, unit: str = "") -> str:
        """As a job or rack file reads it, with a unit where one is given: 'angle 40 x 40 x 4 mm', 'UPN 80'.

        Args:
            unit: '' or ' mm'.
        """
        if self.name:
            return self.name
        text = " x ".join(figure(size, 2) for size in self.written_sizes)
        return f"{self.kind} {text}{unit}" + (" folded" if self.folded else "")

    @property
    def written_sizes(self) -> tuple[float, ...]:
        """The sizes that are written: of a channel or T whose parts are alike in thickness that once."""
        if len(self.sizes) == 4 and self.sizes[2] == self.sizes[3]:
            return self.sizes[:3]
        return self.sizes

    def words(self, units: str = "mm") -> str:
        """'angle 40 x 40 x 4', 'UPN 80', 'angle 1 1/2 x 1 1/2 x 1/8"', 'channel 80 x 45 x 4 folded'; in an inch job
        'angle 40 x 40 x 4 mm' of what is metric.

        Args:
            units: 'mm' or 'in'.
        """
        if self.name:
            return self.name
        given = self.written_sizes
        in_inches = units == "in" and not is_metric(*given)
        sizes = " x ".join(inch_size(size) if in_inches else figure(size, 2) for size in given)
        unit = '"' if in_inches else " mm" if units == "in" else ""
        return f"{self.kind} {sizes}{unit}" + (" folded" if self.folded else "")


StockSection = Section | ProfileSection
"""What is bought by the length: both have `nominal`, `words` and `written`."""
