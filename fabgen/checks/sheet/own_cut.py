"""What the kerf of those who cut themselves cannot cut, where the job gives one."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.finding import Finding
from fabgen.checks.sheet.flat_words import place
from fabgen.checks.sheet.workshop import Workshop
from fabgen.geometry.plane.outline import OutlineError
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.hole_groups import centre_of, hole_name
from fabgen.parts.shape.kerf import with_kerf
from fabgen.shop.sheet_cutting import COMMON
from fabgen.wording.figures import mm
from fabgen.wording.levels import Level


def kerf(piece: Piece, flat: FlatPart, shop: Workshop) -> Iterator[Finding]:
    """Notches, corners and holes that are narrower than the kerf: a file that cannot be made, or that leaves
    metal standing."""
    width = shop.kerf
    if not width:
        return
    try:
        cut = with_kerf(flat, width)
    except OutlineError as error:
        text = (
            f"no file in own-cut/ for a kerf of {mm(width)}: {error}; wider notches (relief_width) or larger inside "
            "radii, or have it cut"
        )
        yield Finding(Level.WARN, (piece.mark,), "kerf", text, COMMON)
        return
    if cut.drilled:
        many = f"{len(cut.drilled)} holes are" if len(cut.drilled) > 1 else "one hole is"
        first = cut.drilled[0]
        text = (
            f"{many} too small or too tightly rounded for a kerf of {mm(width)}, hole {hole_name(first)} "
            f"({place(flat, centre_of(first.shape))}) for one: marked with a cross in own-cut/, to drill"
        )
        yield Finding(Level.NOTE, (piece.mark,), "kerf", text, COMMON)
    if cut.short:
        corner, left = max(cut.short, key=lambda each: each[1])
        many = f"{len(cut.short)} inside corners, the worst" if len(cut.short) > 1 else "the inside corner"
        text = (
            f"a kerf of {mm(width)} stays {mm(left)} short of {many} ({place(flat, corner)}): own-cut/ leaves metal "
            "there; saw it out"
        )
        yield Finding(Level.WARN, (piece.mark,), "kerf", text, COMMON)
