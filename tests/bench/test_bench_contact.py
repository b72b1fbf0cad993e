"""A thousand placed parts of all kinds held against one another."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from jobs import definitions, pieces_of, tube

from fabgen.contact.contacts import Contacts
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Piece

BAYS = 100
CLEVIS = {"shape": "clevis", "thickness": 4, "gap": 20, "length": 60, "height": 40, "bolt": "M12"}
STRAP = {"width": 40, "thickness": 4, "bolt": "M8", "ear": 40}


@cache
def rows() -> tuple[Definitions, Sequence[Piece]]:
    """Bays of two tubes and a coped rung with two plates, two clevises, a gusset and a link; rails with straps: 1,010
    things."""
    tubes: list[dict[str, Any]] = []
    clevises, straps, links = [], [], []
    plates: list[dict[str, Any]] = []
    gussets: list[dict[str, Any]] = []
    for i in range(BAYS):
        x, y = 900.0 * (i % 10), 900.0 * (i // 10)
        tubes.append(tube(f"A{i}", (x, y, 0), (x + 800, y, 0), section="60 x 60 x 3"))
        tubes.append(tube(f"B{i}", (x, y + 400, 0), (x + 800, y + 400, 0), section="48.3 x 3.2"))
        tubes.append(tube(f"R{i}", (x + 400, y, 0), (x + 400, y + 400, 0), section="42.4 x 2.6"))
        plates += [{"at": [x + 100, y - 30, 30]}, {"at": [x + 250, y - 30, 30]}]
        gussets.append({"at": [x + 422, y + 30, -3]})
        ears = [600.0, 700.0]
        clevises += [{"at": [x + each, y - 30, 30], "along": [1, 0, 0], "up": [0, 0, 1]} for each in ears]
        ends = [[x + 200, y + 200, 60], [x + 600, y + 200, 60]]
        links.append({"mark": f"L{i}", "section": "25.4 x 4", "between": ends, "rod_ends": ["M12 right", "M12 left"]})
    for row in range(10):
        rail = tube(f"Q{row}", (0, 900.0 * row + 600, 0), (5600, 900.0 * row + 600, 0), section="48.3 x 3.2")
        tubes.append(rail)
        straps.append(STRAP | {"mark": f"S{row}", "round": rail["mark"], "at": [500 * i + 200 for i in range(10)]})
    job = definitions(
        tube=tubes,
        link=links,
        strap=straps,
        plate=[
            {"mark": "P", "thickness": 6, "rectangle": [100, 60], "quantity": len(plates), "place": plates},
            {"mark": "G", "thickness": 6, "corners": [[0, 0], [80, 0], [0, 80]], "quantity": BAYS, "place": gussets},
        ],
        bracket=[CLEVIS | {"mark": "C", "quantity": len(clevises), "place": clevises}],
    )
    return job, pieces_of(job)


def look(job: Definitions, pieces: Sequence[Piece]) -> tuple[int, int]:
    """How many pairs lie in one another, and how many things are seated."""
    contacts = Contacts(job, pieces)
    return len(contacts.into), sum(contacts.is_seated(solid) for solid in contacts.solids)


def test_a_thousand_parts(benchmark: Any) -> None:
    job, pieces = rows()
    assert len(Contacts(job, pieces).solids) == 1010
    benchmark.pedantic(look, (job, pieces), rounds=1)
