"""A sheet part laid flat, before it is a piece: what every family of sheet parts makes of its definition."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.sheet.folds import FoldTree
from fabgen.parts.piece import Band, Concern, Fact, FlatBend, Hole, Rolled
from fabgen.parts.shape.etching import Strip
from fabgen.parts.sheet.face_axes import FaceAxes
from fabgen.parts.sheet.footprints import Footprint
from fabgen.shop.section import Section


@dataclass(frozen=True, eq=False)
class Development:
    """A sheet part laid flat, in the coordinates that its holes are given in.

    Etched are `lines`, less what of them lies on bends; `runs`, lines that cross bends; the outlines of `tubes`; and
    with `fold_marks` which way each bend folds.  The part's number keeps clear of these and of `strips`.
    """

    outline: Loop
    holes: tuple[Hole, ...] = ()
    bends: tuple[FlatBend, ...] = ()
    lines: tuple[tuple[Xy, ...], ...] = ()
    runs: tuple[tuple[Xy, ...], ...] = ()
    tubes: tuple[Footprint, ...] = ()
    strips: tuple[Strip, ...] = ()
    fold_marks: bool = False
    tree: FoldTree | None = None
    rolled: Rolled | None = None
    band: Band | None = None
    bar: Section | None = None
    surface: tuple[Facet, ...] = ()
    closes: bool = False
    sizes: tuple[tuple[str, float], ...] = ()
    facts: tuple[Fact, ...] = ()
    concerns: tuple[Concern, ...] = ()
    inside: bool = False

    def at_origin(self) -> Development:
        """The same with the outline's lower left corner at the origin."""
        left, low = self.outline.bounds[:2]
        move = FaceAxes(dx=-left, dy=-low)

        def polylines(lines: Iterable[tuple[Xy, ...]]) -> tuple[tuple[Xy, ...], ...]:
            return tuple(tuple(move.point(at) for at in line) for line in lines)

        rolled = self.rolled
        if rolled is not None and rolled.sector is not None:
            rolled = replace(rolled, sector=replace(rolled.sector, apex=move.point(rolled.sector.apex)))
        return replace(
            self,
            outline=move.loop(self.outline),
            holes=tuple(replace(hole, shape=move.loop(hole.shape)) for hole in self.holes),
            bends=tuple(replace(bend, start=move.point(bend.start), end=move.point(bend.end)) for bend in self.bends),
            lines=polylines(self.lines),
            runs=polylines(self.runs),
            tubes=tuple(tube.carried(move) for tube in self.tubes),
            strips=tuple(([move.point(at) for at in line], half) for line, half in self.strips),
            rolled=rolled,
        )
