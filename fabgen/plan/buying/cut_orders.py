"""What is ordered from a cutting service: per material and thickness, how much cutting there is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from fabgen.parts.piece import FlatPart, Piece, made_here


@dataclass(frozen=True, slots=True)
class CutOrder:
    """All flat parts of one material and thickness.

    `parts` pieces in all; `marks` with how many of each; `cut` mm of outline and holes; `pierces`:
    one for each closed line cut; `area` mm2 of the parts, holes taken out; `mass` kg; `bends` to fold.
    """

    material: str
    thickness: float
    marks: tuple[tuple[str, int], ...]
    cut: float
    pierces: int
    area: float
    mass: float
    bends: int

    @property
    def parts(self) -> int:
        return sum(count for _, count in self.marks)


def cut_orders(pieces: Sequence[Piece]) -> list[CutOrder]:
    """One order for each material and thickness, in that order; what is sawn from flat bar is none of them."""
    alike: dict[tuple[str, float], list[tuple[Piece, FlatPart]]] = defaultdict(list)
    for piece in made_here(pieces):
        if part := piece.sheet_part:
            alike[piece.material, part.thickness].append((piece, part))
    return [
        CutOrder(
            material=material,
            thickness=thickness,
            marks=tuple((piece.mark, piece.quantity) for piece, _ in parts),
            cut=sum(part.cut_length * piece.quantity for piece, part in parts),
            pierces=sum((1 + len(part.holes)) * piece.quantity for piece, part in parts),
            area=sum(part.net_area * piece.quantity for piece, part in parts),
            mass=sum(piece.mass * piece.quantity for piece, _ in parts),
            bends=sum(len(part.bends) * piece.quantity for piece, part in parts),
        )
        for (material, thickness), parts in sorted(alike.items())
    ]
