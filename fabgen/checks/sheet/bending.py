"""Checks a press-brake hand would make on a part's bends: does the lower tool give the radius that is asked for?

One rule a function; the least flange and the least radius are looked at in `sheet.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fabgen.checks.finding import Finding
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece
from fabgen.parts.shape.measured_bends import measured_ks
from fabgen.shop.bend_tests import WIDE_SCATTER
from fabgen.shop.bends import COMMON, die_width
from fabgen.shop.materials import Material
from fabgen.shop.press_brake import differs, natural_radius
from fabgen.wording.figures import figure, mm
from fabgen.wording.levels import Level


def check_bending(job: Definitions, pieces: Iterable[Piece]) -> list[Finding]:
    """All findings on bends and on the job's bend tests."""
    found = list(check_bend_tests(job))
    for piece in pieces:
        if piece.flat_part is not None:
            found += check_bends(piece, job.find_material(piece.material))
    return found


WIDE, NARROW = 2.0, 0.6
"""A lower tool this many times the usual opening, or only so much of it, is worth a word."""


def check_bends(piece: Piece, material: Material) -> Iterator[Finding]:
    """All findings on the bends of a piece whose lower tool the job names."""
    flat = piece.flat_part
    if flat is None or not flat.bends or flat.die is None:
        return
    yield from _natural(piece, material, flat.die)
    yield from _opening(piece, flat.die, flat.thickness)


def _natural(piece: Piece, material: Material, die: float) -> Iterator[Finding]:
    """Bent in air a sheet takes the radius its lower tool gives, whatever the drawing says."""
    flat = piece.flat_part
    assert flat is not None
    natural = natural_radius(material, die)
    for radius in sorted({bend.bend.radius for bend in flat.bends}):
        if differs(radius, natural.value):
            text = (
                f"inside radius {mm(radius)} asked for, but bent in air over the lower tool of {die:g} mm "
                f"{material.name} takes about {mm(natural.value)}: the flat would then not fold up to size; "
                "take that radius, or another tool"
            )
            yield Finding(Level.NOTE, (piece.mark,), "natural-radius", text, natural.source)


def _opening(piece: Piece, die: float, thickness: float) -> Iterator[Finding]:
    """A lower tool far from the usual one for the sheet."""
    usual = die_width(thickness).value
    if not NARROW * usual <= die <= WIDE * usual:
        way = (
            "narrow: the force rises and the sheet may crack"
            if die < usual
            else "wide: the radius and the least leg grow"
        )
        text = f"the lower tool of {die:g} mm is {way}; the usual one for {thickness:g} mm is {usual:g} mm"
        yield Finding(Level.NOTE, (piece.mark,), "lower-tool", text, COMMON)


def check_bend_tests(job: Definitions) -> Iterator[Finding]:
    """Test strips of one bend that do not agree; the finding's mark is the material."""
    for test in measured_ks(job):
        if test.spread > WIDE_SCATTER:
            ks = f"K {figure(min(test.ks), 2)} to {figure(max(test.ks), 2)}"
            text = (
                f"bend tests of {test.thickness:g} mm, inside radius {test.radius:g} mm: the strips differ by "
                f"{mm(test.spread, 2)} a bend ({ks}); measure them again, or "
                "fold more"
            )
            yield Finding(Level.WARN, (test.material,), "bend-test", text, COMMON)
