"""Where tubes, profiles and link rods lie on the jig: the ends of their middle lines, and which way they are turned."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from fabgen.documents.points.frame_views import views_of
from fabgen.documents.points.mechanism_view import Chain
from fabgen.documents.render.flow import SMALL, PictureBlock, cell, section, table
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import degrees, figure, in_mm, on_tape, tape_text
from fabgen.geometry.space.frame import Array, upright
from fabgen.job.tables.movement_tables import Damper
from fabgen.parts.piece import LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.directions import array
from fabgen.parts.survey.lines_on_jig import JigLine, lines_on_jig

PICTURE = 85.0
"""Height that the picture of the lines may take, mm."""
_INTRO = 25.0
"""Height of what stands before it, mm."""


def on_the_jig(
    pieces: Sequence[Piece], dampers: Sequence[Damper], datum: float, units: str, width: float
) -> list[Flowable]:
    """A picture of the lines and the table; nothing where no length has a place.

    Args:
        pieces: all of the job, complete.
        dampers: of the job.
        datum: z of the jig's datum, mm.
        units: of the job.
        width: of the table, mm.
    """
    lines = list(lines_on_jig(pieces))
    rows = [row for name, piece, line in lines for row in _rows(name, _turn(piece), line, datum, units)]
    rows += [
        [damper.name, *(size for point in damper.between for size in jig_sizes(array(point), datum, units)), "-"]
        for damper in dampers
    ]
    if not rows:
        return []
    ends = (head for end in ("start", "finish") for head in (in_mm(f"{end}: x", units), "y", "over the datum"))
    heads = ["part", *ends, "turned"]
    intro = f"{prose('set_out', 'jig')} {over_datum(datum, units)}"
    if dampers:
        intro += f" {prose('set_out', 'dampers')}"
    picture = _picture([(name, line) for name, _, line in lines], dampers, width)
    return section(
        "On the jig",
        cell(intro, SMALL),
        *([list(picture)] if picture else ()),
        table(heads, rows, width, tuple(range(1, 7))),
        room=_INTRO + sum(block.height / mm for block in picture[:1]),
    )


def _picture(
    lines: Sequence[tuple[str, JigLine]], dampers: Sequence[Damper], width: float
) -> tuple[()] | tuple[PictureBlock, Flowable]:
    """The lines from above and from a side, each with its name, and what they are; none of a single one."""
    chains = [
        (name, np.array([line.start, *(corner for corner, _ in line.bends), line.finish])) for name, line in lines
    ]
    springs = [(damper.name, np.array([array(point) for point in damper.between])) for damper in dampers]
    if len(chains) + len(springs) < 2:
        return ()
    drawn = [*(Chain(points, "visible") for _, points in chains), *(Chain(points, "centre") for _, points in springs)]
    named = [(name, _middle(points)) for name, points in (*chains, *springs)]
    sketch, scale = views_of(drawn, named, (width, PICTURE))
    panel = sketch.panel().at(0.0, 2.0)
    words = f"The lines of the table{', dash-dotted: springs and dampers' if dampers else ''}. "
    words += f"Scale 1 : {figure(1.0 / scale, 1)}"
    return PictureBlock(panel.picture, width, panel.height + 4.0), cell(words, SMALL)


def _middle(points: Array) -> Array:
    """The middle of the longest straight of a line (n, 3), mm."""
    ways = np.linalg.norm(np.diff(points, axis=0), axis=1)
    first = int(ways.argmax())
    return np.asarray(points[first : first + 2].mean(axis=0))


def _rows(name: str, turned: str, line: JigLine, datum: float, units: str) -> Iterator[list[str]]:
    """A row for what lies along a line: where that begins and ends, and how it is turned; a row for each corner of its
    bends."""
    yield [name, *jig_sizes(line.start, datum, units), *jig_sizes(line.finish, datum, units), turned]
    for number, (corner, radius) in enumerate(line.bends, 1):
        what = f"{name}, corner {number}, radius {tape_text(radius, units)}"
        yield [what, *jig_sizes(corner, datum, units), "", "", "", ""]


def over_datum(datum: float, units: str) -> str:
    """Where the datum of heights is, in a sentence."""
    return f"The jig's datum is z = {on_tape(datum, units)} in the job file, that of the heights to check."


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
