"""What a job's tubes need besides their cut lines: how to saw each end, and the holes in mains."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fabgen.parts.piece import Piece
from fabgen.parts.tube.openings import Opening, openings
from fabgen.parts.tube.saw_cuts import SawCuts, saw_cuts


@dataclass(frozen=True)
class Marking:
    """`saws` by (mark, end); `holes` by the main's mark."""

    saws: SawCuts = field(default_factory=dict)
    holes: Mapping[str, Sequence[Opening]] = field(default_factory=dict)

    @staticmethod
    def of(pieces: Sequence[Piece]) -> Marking:
        return Marking(saw_cuts(pieces), openings(pieces))
