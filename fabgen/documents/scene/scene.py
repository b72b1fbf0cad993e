"""The scene: every piece's body in its place, what has none laid out in rows beside the assembly.

Packed for the page: numbers as little-endian arrays in base64, which a browser reads at once.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.parts.piece import Piece
from fabgen.wording.levels import Level

if TYPE_CHECKING:
    from fabgen.documents.scene.beside import Wire

GAP = 90.0
"""Floor between two parts of the row, mm."""
AISLE = 350.0
"""Between the assembly and the first row, mm."""
LEAST_ROW = 1200.0


@dataclass(frozen=True, eq=False)
class StandingBody:
    """A body where it is shown; `placed`: by the job, not by us."""

    piece: Piece
    body: EdgedMesh
    placed: bool


def standing_bodies(
    pieces: Sequence[Piece], bodies: Mapping[str, EdgedMesh], beside: Sequence[EdgedMesh] = ()
) -> list[StandingBody]:
    """Every piece in its place or in a row clear of the others and of what stands beside them; `bodies` by mark."""
    placed = [piece for piece in pieces if piece.is_placed]
    others = [piece for piece in pieces if not piece.is_placed]
    found = {piece.mark: StandingBody(piece, bodies[piece.mark], True) for piece in placed}
    low, high = _box([*(each.body for each in found.values()), *beside])
    for piece, each in zip(others, _rows([bodies[p.mark] for p in others], low, high), strict=True):
        found[piece.mark] = StandingBody(piece, each, False)
    return [found[piece.mark] for piece in pieces]


def _box(bodies: Sequence[EdgedMesh]) -> tuple[Array, Array]:
    if not bodies:
        return np.zeros(3), np.zeros(3)
    lows, highs = zip(*(each.bounds for each in bodies), strict=True)
    return np.min(lows, axis=0), np.max(highs, axis=0)


def _rows(bodies: Sequence[EdgedMesh], low: Array, high: Array) -> list[EdgedMesh]:
    """Bodies side by side along x on the floor under the assembly, row after row away from it along -y."""
    length = max(LEAST_ROW, float(high[0] - low[0]))
    y = float(low[1]) - (AISLE if high[0] > low[0] else 0.0)
    x, deep = 0.0, 0.0
    found = []
    for each in (_lengthwise(b) for b in bodies):
        corner, far = each.bounds
        wide, depth = float(far[0] - corner[0]), float(far[1] - corner[1])
        if x > 0.0 and x + wide > length:
            x, y, deep = 0.0, y - deep - GAP, 0.0
        found.append(each.moved(np.array([low[0] + x, y - depth, low[2]]) - corner))
        x, deep = x + wide + GAP, max(deep, depth)
    return found


def _lengthwise(body: EdgedMesh) -> EdgedMesh:
    low, high = body.bounds
    return body.turned_square() if high[1] - low[1] > high[0] - low[0] else body


STEPS = 65535
"""Into so many steps a body's box is parted each way, which its corners are rounded to: 0.1 mm on 6.5 m."""


def packed(
    scene: Sequence[StandingBody], beside: Sequence[Wire] = (), levels: Mapping[str, Level] | None = None
) -> dict[str, Any]:
    """What the page's renderer reads.

    'parts': a part each, then what stands beside them: mark, kind, whether it is bought or there already, its box (low
    and high, mm), corners v in steps of the box, triangles t and edges e, both as places in 'places'; bodies with the
    same triangles share these.  `levels`: by mark, of the gravest finding on it.
    """
    places = _Places()
    parts = [
        {
            "mark": each.piece.mark,
            "kind": each.piece.kind,
            "placed": each.placed,
            "given": each.piece.as_it_is,
            "level": (levels or {}).get(each.piece.mark),
            **_arrays(each.body, places),
        }
        for each in scene
    ]
    wires = ({"mark": each.name, "kind": each.kind, "beside": True, **_arrays(each.body, places)} for each in beside)
    return {"parts": [*parts, *wires], "places": list(places.known)}


class _Places:
    """Lists of places of corners, each kept once, in the order in which they come."""

    def __init__(self) -> None:
        self.known: dict[str, int] = {}

    def number(self, values: np.ndarray[Any, Any]) -> int:
        """Of a list."""
        wide = values.size and int(values.max()) >= 65536
        text = ("w" if wide else "n") + base64_of(values.astype("<u4" if wide else "<u2"))
        return self.known.setdefault(text, len(self.known))


def _arrays(body: EdgedMesh, places: _Places) -> dict[str, Any]:
    low, high = (np.round(corner, 3) + 0.0 for corner in body.bounds)
    share = (body.vertices - low) / np.where(high > low, high - low, 1.0)
    return {
        "box": [*low.tolist(), *high.tolist()],
        "v": base64_of(np.clip(np.round(share * STEPS), 0, STEPS).astype("<u2")),
        "t": places.number(body.triangles),
        "e": places.number(body.edges),
    }


def base64_of(values: np.ndarray[Any, Any]) -> str:
    """The bytes of an array."""
    return base64.b64encode(values.tobytes()).decode("ascii")
