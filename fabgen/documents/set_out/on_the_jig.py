"""Where tubes, profiles and link rods lie on the jig: the ends of their middle lines, and which way they are turned."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from reportlab.platypus import Flowable

from fabgen.documents.render.flow import SMALL, cell, section, shared, table
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import degrees, in_mm, tape_text, with_unit
from fabgen.geometry.space.frame import Array, upright
from fabgen.parts.piece import LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.survey.lines_on_jig import line_on_jig


def on_the_jig(pieces: Sequence[Piece], datum: float, units: str, width: float) -> list[Flowable]:
    """The table; nothing where no length has a place.

    Args:
        pieces: all of the job, complete.
        datum: z of the jig's datum, mm.
        units: of the job.
        width: of the table, mm.
    """
    rows = [row for piece in pieces for row in _rows(piece, datum, units)]
    if not rows:
        return []
    ends = (head for end in ("start", "finish") for head in (in_mm(f"{end}: x", units), "y", "over the datum"))
    heads = ["part", *ends, "turned"]
    return section(
        "On the jig",
        cell(f"{prose('set_out', 'jig')} {over_datum(datum, units)}", SMALL),
        table(heads, rows, shared(width, 28, 22, 22, 22, 22, 22, 22, 28), tuple(range(1, 7))),
    )


def _rows(piece: Piece, datum: float, units: str) -> Iterator[list[str]]:
    """A row for a part that lies along a line: where that begins and ends, and how it is turned; a row for each corner
    of its bends."""
    if (line := line_on_jig(piece)) is None:
        return
    yield [piece.mark, *jig_sizes(line.start, datum, units), *jig_sizes(line.finish, datum, units), _turn(piece)]
    for number, (corner, radius) in enumerate(line.bends, 1):
        what = f"{piece.mark}, corner {number}, radius {tape_text(radius, units)}"
        yield [what, *jig_sizes(corner, datum, units), "", "", "", ""]


def over_datum(datum: float, units: str) -> str:
    """Where the datum of heights is, in a sentence."""
    return f"The jig's datum is z = {with_unit(datum, units)} in the job file, that of the heights to check."


def jig_sizes(at: Array, datum: float, units: str) -> list[str]:
    """x, y and the height over the datum of a place (3,), mm, in words."""
    x, y, z = (float(each) for each in at)
    return [tape_text(each, units) for each in (x, y, z - datum)]


def _turn(piece: Piece) -> str:
    """How a part that lies along a line is turned."""
    match piece.shape:
        case ProfilePart() as part:
            return _legs(part)
        case LengthPart(frame=frame) if frame is not None and not isinstance(piece.shape, LinkPart):
            return _turned(frame.x, frame.z)
        case _:
            return "-"


def _clocked(along: Array, way: Array) -> float:
    """Where a way looks that is square to a line: rad from up, clockwise seen from the line's start."""
    plain = upright(np.zeros(3), along)
    return math.atan2(-float(way @ plain.y), float(way @ plain.z)) % (2.0 * math.pi)


def _turned(along: Array, top: Array) -> str:
    """'-', or how far the TOP of a tube is turned."""
    angle = degrees(_clocked(along, top))
    return "-" if angle in ("0°", "360°") else f"TOP {angle}"


def _legs(part: ProfilePart) -> str:
    """Which way the legs of a profile look: 'leg a 180°, b 90°'."""
    x, z = part.frame.x, part.frame.z
    y = -part.frame.y if part.flipped else part.frame.y
    ways = {"angle": (("leg a", z), ("b", y)), "channel": (("toes", y),), "T": (("stem", -z),)}
    of = ways.get(part.section.kind, (("width", z),))
    return ", ".join(f"{name} {degrees(_clocked(x, way))}" for name, way in of)
