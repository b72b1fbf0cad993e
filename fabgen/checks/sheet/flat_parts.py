"""Checks on flat, folded and rolled sheet parts: what a cutting service or a press-brake hand would ask.

One rule a function, in `sheet_holes`, `sheet_bends`, `sheet_outline` and `own_cut`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from fabgen.checks.finding import Finding
from fabgen.checks.sheet.own_cut import kerf
from fabgen.checks.sheet.sheet_bends import bend_length, bend_radius, collision, flange_length, hem, relief
from fabgen.checks.sheet.sheet_holes import bolt_edge, bolt_spacing, hole_size, hole_to_bend, hole_to_edge, hole_to_hole
from fabgen.checks.sheet.sheet_outline import drain, inside_corner, mark_outside, outline, sheet_size, tiny_edge
from fabgen.checks.sheet.workshop import Workshop
from fabgen.parts.piece import FlatPart, Piece

Rule = Callable[[Piece, FlatPart, Workshop], Iterator[Finding]]

RULES: dict[str, Rule] = {
    "outline": outline,
    "tiny-edge": tiny_edge,
    "hole-size": hole_size,
    "hole-to-edge": hole_to_edge,
    "hole-to-hole": hole_to_hole,
    "hole-to-bend": hole_to_bend,
    "bolt-edge": bolt_edge,
    "bolt-spacing": bolt_spacing,
    "flange-collision": collision,
    "flange-length": flange_length,
    "hem": hem,
    "relief": relief,
    "bend-radius": bend_radius,
    "bend-length": bend_length,
    "inside-corner": inside_corner,
    "mark-outside": mark_outside,
    "drain": drain,
    "sheet-size": sheet_size,
    "kerf": kerf,
}
"""Each rule by the name that its findings bear."""


def check_flat(piece: Piece, shop: Workshop | None = None) -> list[Finding]:
    """All findings on a piece that is a flat part; none on any other.  `shop` is the usual one where not given."""
    flat = piece.flat_part
    if flat is None:
        return []
    where = Workshop() if shop is None else shop
    return [finding for rule in RULES.values() for finding in rule(piece, flat, where)]
