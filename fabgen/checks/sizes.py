"""Sections and sheets of a size that nobody sells: a figure written in one unit and read in the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from fabgen.checks.finding import Finding
from fabgen.parts.piece import Piece
from fabgen.shop.section import Section
from fabgen.wording.inches import INCH
from fabgen.wording.levels import Level

SMALLEST, LARGEST = 6.0, 350.0
"""Outside size of tube on sale to a small shop, mm."""
SMALLEST_BAR = 3.0
"""The same of solid bar, which is drawn thinner than tube, mm."""
THINNEST_WALL = 0.4
THINNEST_SHEET, THICKEST_SHEET = 0.3, 50.0
COMMON = "common practice, no source"

__all__ = ["check_sizes", "section_doubt"]


def check_sizes(pieces: Sequence[Piece]) -> list[Finding]:
    """A stop for each piece whose section or sheet is of no size on sale, with what was probably meant."""
    return [finding for piece in pieces for finding in _of_piece(piece)]


def _of_piece(piece: Piece) -> Iterator[Finding]:
    if piece.length_part is not None and (doubt := section_doubt(piece.length_part.section)):
        yield Finding(Level.STOP, (piece.mark,), "section-size", doubt, COMMON)
    if piece.flat_part is not None and (doubt := _sheet_doubt(piece.flat_part.thickness)):
        yield Finding(Level.STOP, (piece.mark,), "sheet-size", doubt, COMMON)


def section_doubt(section: Section) -> str:
    """What is odd about the size of a section, and what was probably meant; '' where nothing is."""
    sizes = [section.width] if section.is_round else [section.width, section.depth]
    if not section.is_solid:
        sizes.append(section.wall)
    if _is_usual_section(sizes, section.is_solid):
        return ""
    least = SMALLEST_BAR if section.is_solid else SMALLEST
    kind, limits = ("bar", f"{least:g} to {LARGEST:g} mm outside")
    if not section.is_solid:
        kind, limits = "tube", f"{limits}, wall {THINNEST_WALL:g} mm or more"
    end = " solid" if section.is_solid else ""
    return _doubt(sizes, end, f"{kind} is {limits}", lambda other: _is_usual_section(other, section.is_solid))


def _is_usual_section(sizes: Sequence[float], is_solid: bool) -> bool:
    outside = max(sizes)
    if is_solid:
        return SMALLEST_BAR <= outside <= LARGEST
    return SMALLEST <= outside <= LARGEST and sizes[-1] >= THINNEST_WALL


def _sheet_doubt(thickness: float) -> str:
    if _is_usual_sheet([thickness]):
        return ""
    return _doubt([thickness], "", f"sheet is {THINNEST_SHEET:g} to {THICKEST_SHEET:g} mm", _is_usual_sheet)


def _is_usual_sheet(sizes: Sequence[float]) -> bool:
    return THINNEST_SHEET <= sizes[0] <= THICKEST_SHEET


def _doubt(sizes: Sequence[float], end: str, usual: str, is_usual: Callable[[Sequence[float]], bool]) -> str:
    """The size as it was read, and the same figures in the unit in which they make sense, if there is one."""
    inches = [size / INCH for size in sizes]
    as_mm, as_inches = _by(sizes), _by(inches)
    if _digits(inches) < _digits(sizes):
        if is_usual(inches):
            return f'"{as_inches}{end}" was read as inches, {as_mm} mm: meant "{as_inches} mm{end}"? ({usual})'
    elif is_usual([size * INCH for size in sizes]):
        return f'"{as_mm}{end}" was read as mm: meant "{as_mm} in{end}"? ({usual})'
    return f"{as_mm} mm{end} is of no usual size: is the unit the one that is meant? ({usual})"


def _digits(figures: Sequence[float]) -> int:
    """How many digits it takes to write the figures: fewest in the unit they were written in."""
    return sum(len(f"{figure:.9g}") for figure in figures)


def _by(sizes: Sequence[float]) -> str:
    return " x ".join(f"{size:.5g}" for size in sizes)
