"""The room that a socket and an open spanner take on a hexagon."""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.shop.tables import data, table


@dataclass(frozen=True, slots=True)
class Spanner:
    """The tools for one hexagon, mm.

    Args:
        socket: outside diameter of a socket.
        reach: of socket and ratchet, from the face that the nut lies on.
        head: across the head of an open spanner.
        thick: of that head.
        length: from its middle to the end of its handle.
        source: of these figures.
    """

    socket: float
    reach: float
    head: float
    thick: float
    length: float
    source: str


def spanner(across_flats: float) -> Spanner | None:
    """The tools of the next size for a hexagon; None where it is larger than any in the table.

    Args:
        across_flats: its width, mm.
    """
    of = table("spanners", "tools")
    for size, row in of.rows.items():
        if float(size) >= across_flats - 1e-6:
            source = f"{of.source}; {of.certainty}"
            return Spanner(source=source, **{key: float(value) for key, value in row.items()})
    return None


def least_swing() -> float:
    """How far an open spanner must swing to take a new hold, degrees."""
    return float(data("spanners")["swing"]["degrees"])
