"""The cautions that go with every output, the gravest first, each in one place; what holds of some metals or parts
only is a finding (`checks/cautions.py`)."""

from __future__ import annotations

from fabgen.parts.piece import LinkPart, Piece

PEOPLE = (
    "Suspension, steering, brakes, seats, drawbars, couplings and lifting gear can hurt people when they fail. Have "
    "their design and welds judged by someone qualified, follow the local codes and get the approval the vehicle "
    "needs. Some countries forbid welding on such parts, or take only type-approved ones: ask first."
)

GENERAL = (
    PEOPLE,
    "Not calculated: strength, fatigue and stability, but for the margins of link rods.",
    "Never weld on a tank or drum that has held fuel, oil, solvent or gas, with a vent or without: that is for "
    "specialists who empty, clean and make it inert. Pressure vessels are no job for this program.",
    "No chlorinated cleaner near an arc: traces of it turn to phosgene, which kills.",
    "Welding by someone qualified, by a procedure for the metal. All welding fume harms: extract it, or wear a mask "
    "made for it. Zinc, cadmium, paint and oil off first. A light casting may be magnesium, whose fire water makes "
    "worse. Watch for fire for an hour after the last spark.",
    "Discs burst: guard on, disc whole and made for the speed; eyes, ears and hands covered.",
    "Check every figure on the real parts with a tape before cutting, and each template's check lines.",
)

CHECKED = "Each finding says what was checked. Anything not listed was not checked."

NOT_CHECKED = "not checked: strength, fatigue, welds as made, fit beyond the points given, what the law asks"
"""What `check` says last."""

DRAWING = "Strength and welds not checked: have someone qualified judge them (cut-list.pdf, Cautions)."
"""On every drawing."""

LOADED = (
    "A margin is no approval, and its welds were not checked: have them judged by someone qualified (Cautions, in "
    "cut-list.pdf)."
)
"""On the drawing of a link rod whose load the job gives, below its margins, in place of that."""


def of_part(piece: Piece) -> str:
    """The caution that goes on a part's drawing."""
    return LOADED if isinstance(piece.shape, LinkPart) and piece.shape.load is not None else DRAWING
