"""The cautions that go with every output."""

from __future__ import annotations

from fabgen.parts.piece import LinkPart, Piece

GENERAL = (
    "fabgen lays out shapes from the sizes it was given. It does not calculate strength, fatigue or stability "
    "and has not checked that any part is fit for its use.",
    "Suspension, steering, brake, seat, towing and lifting parts can hurt people when they fail. Have their design and "
    "welds judged by someone qualified, follow the local codes, and get the approval the vehicle needs before use.",
    "Welding by a qualified welder to a procedure that suits the metal. Take zinc, paint and oil off first; ventilate. "
    "Never weld a closed member or tank without a vent.",
    "Check every figure against the real parts with a tape before cutting. Print templates at actual size and measure "
    "the check lines on each page.",
)

CHECKED = "Each finding says what was checked. Anything not listed was not checked."

DRAWING = (
    "Suspension, steering and towing parts can hurt people when they fail: strength and welds have not been "
    "checked here. Follow local codes; have design and welds judged by someone qualified."
)
"""On every drawing."""

LOADED = (
    "Suspension, steering and towing parts can hurt people when they fail. Of this link's strength only what is set "
    "against its load above was calculated, by the sizes and materials given; bending, blows, fatigue, welds and what "
    "it is bolted to have not been checked here. Follow local codes; have design and welds judged by someone qualified."
)
"""On the drawing of a link rod whose load the job gives, in place of that."""


def of_part(piece: Piece) -> str:
    """The caution that goes on a part's drawing."""
    return LOADED if isinstance(piece.shape, LinkPart) and piece.shape.load is not None else DRAWING
