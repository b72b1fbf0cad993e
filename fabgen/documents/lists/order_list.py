"""What a cutting service must know of a part besides its outline: bends, threads, holes that are drilled later, grain.

The words are those of `parts.csv`, in mm as the DXF files are, and of the list, in the job's units.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from fabgen.documents.drawing.tables_of_a_part import BendGroup, bend_groups
from fabgen.documents.dxf.flat_dxf import flat_name
from fabgen.documents.render.flow import MARGIN, Column, flowing_pdf, listed, opening, section
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import degrees, flat_size, in_mm
from fabgen.geometry.plane.outline import Circle
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.hole_groups import hole_name
from fabgen.plan.plan import BoltStack
from fabgen.shop.threads import Thread
from fabgen.wording.figures import Figures

_MAY_BE_EMPTY = ("finish", "note")
"""Columns that are left out where no part has anything in them."""
_SLACK = 0.05
"""A hole this much off the core diameter is one to thread all the same, mm."""


def bend_words(part: FlatPart, figures: Figures) -> list[str]:
    """'1, 3: 90° up, inside radius 3, 120 long' of bends alike; how a rolled part is rolled.

    'up' is toward whoever looks at the flat as the DXF file has it.
    """
    if (roll := part.rolled) is not None:
        sizes = f"Ø{figures.size(roll.bottom)}"
        if abs(roll.bottom - roll.top) > _SLACK:
            sizes += f" at the bottom, Ø{figures.size(roll.top)} at the top"
        high = figures.size(roll.height)
        return [f"rolled, the side seen outside: {sizes}, {high} high, {degrees(roll.arc)} round"]
    alike: dict[str, list[str]] = {}
    for group in bend_groups(part.bends):
        alike.setdefault(_bend(part, group, figures), []).append(group.numbers)
    return [f"{', '.join(numbers)}: {words}" for words, numbers in alike.items()]


def _bend(part: FlatPart, group: BendGroup, figures: Figures) -> str:
    bend = group.bend.bend
    lengths = [math.dist(each.start, each.end) for each in part.bends[group.first - 1 : group.last]]
    spans = dict.fromkeys(figures.size(length) for length in (min(lengths), max(lengths)))
    way, radius = "up" if group.bend.up else "down", figures.size(bend.radius, 2)
    return f"{degrees(bend.angle)} {way}, inside radius {radius}, {' to '.join(spans)} long"


def thread_words(piece: Piece, part: FlatPart, bolts: Sequence[BoltStack], figures: Figures) -> list[str]:
    """'M10 in 2 holes Ø8.5' of each thread that bolts without a nut need in the part.

    Args:
        bolts: of the job; their number is shared by all of the piece.
    """
    wanted: Counter[Thread] = Counter()
    for stack in bolts:
        if stack.tapped is not None and stack.tapped.mark == piece.mark:
            wanted[stack.choice.thread] += stack.quantity
    return [_thread(thread, count, piece, part, figures) for thread, count in wanted.items()]


def _thread(thread: Thread, count: int, piece: Piece, part: FlatPart, figures: Figures) -> str:
    each, rest = divmod(count, piece.quantity)
    shapes = [hole.shape for hole in part.all_holes if isinstance(hole.shape, Circle)]
    cores = [s.diameter for s in shapes if thread.core - _SLACK <= s.diameter < thread.diameter - _SLACK]
    sizes = " and ".join(f"Ø{size}" for size in dict.fromkeys(figures.size(core, 2) for core in cores))
    if not cores:
        # `tapped_hole` of the checks says so too.
        return f"{thread.name}: no hole of its core diameter, drill {figures.size(thread.diameter - thread.pitch)}"
    if rest:
        return f"{thread.name}: {count} in all {piece.quantity} parts, in holes {sizes}"
    of = f" of the {len(cores)}" if each < len(cores) else ""
    return f"{thread.name} in {each}{of} {'hole' if each == 1 and not of else 'holes'} {sizes}"


def drilled_words(part: FlatPart, figures: Figures) -> list[str]:
    """'2 x Ø13.5 for M12' of the holes that are not cut but marked, to be drilled when the part is folded."""
    counts = Counter(hole_name(hole, figures).removesuffix(", drilled last") for hole in part.drilled)
    return [f"{count} x {name}" if count > 1 else name for name, count in counts.items()]


def grain_words(part: FlatPart) -> str:
    """How the rolling direction runs on the flat as it is drawn."""
    return {"along": "along x", "across": "along y", None: "either way"}[part.grain]


def _to_do(piece: Piece, part: FlatPart, bolts: Sequence[BoltStack], figures: Figures) -> Iterator[str]:
    """All of it in lines, for people."""
    yield from (f"bend {words}" if part.rolled is None else words for words in bend_words(part, figures))
    yield from (f"thread {words}" for words in thread_words(piece, part, bolts, figures))
    yield from (f"not cut, drilled later: {words}" for words in drilled_words(part, figures))
    if part.grain is not None:
        yield f"grain {grain_words(part)}"


def order_list_pdf(
    header: Header, orders: Sequence[tuple[str, Sequence[Piece]]], bolts: Sequence[BoltStack], paper: Paper
) -> bytes:
    """What is ordered, part by part: how many, of what, and what is done to it besides cutting.

    Args:
        header: of the job.
        orders: heading and flat parts of each.
        bolts: of the job.
        paper: it is turned to lie on its side.
    """
    figures, sheet = Figures(header.units == "in"), paper.landscape
    columns = [
        Column("mark", lambda piece: piece.mark, bold=True),
        Column("quantity", lambda piece: str(piece.quantity), right=True, bold=True),
        Column("what", lambda piece: piece.title),
        Column("sheet", lambda piece: f"{figures.sheet(piece.shape.thickness)} {piece.material}"),
        Column(in_mm("flat", header.units), lambda piece: flat_size(piece.shape, header.units)),
        Column("to do", lambda piece: "\n".join(_to_do(piece, piece.shape, bolts, figures)) or "cut only"),
        Column("finish", lambda piece: piece.finish),
        Column("note", lambda piece: piece.note),
        Column("file", flat_name),
    ]
    story = opening(header, "For the cutting service", prose("order", "list"))
    for heading, pieces in orders:
        used = [each for each in columns if each.head not in _MAY_BE_EMPTY or any(map(each.text, pieces))]
        story += section(heading, listed(pieces, used, sheet.width - 2.0 * MARGIN))
    return flowing_pdf(story, sheet, header, "order")
