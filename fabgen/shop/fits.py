"""How wide the hole for a bush is, by the way the bush is held, and to what limits the two are worked."""

from __future__ import annotations

from typing import Literal

from fabgen.shop.tables import data, table
from fabgen.wording.sentence import Sentence, mm, sentence

BushFit = Literal["weld", "press", "slip", "rubber"]


def hole_for(fit: BushFit, outside: float) -> float:
    """Diameter of the hole for a bush, mm.

    Welded it goes in with a little room, rubber is held by being squeezed; a pressed or sliding one is of the hole's
    own nominal size, and the limits make the fit.

    Args:
        fit: how the bush is held.
        outside: diameter of the bush, mm.
    Source: common practice, no source; ISO 286 for press and slip.
    """
    practice = data("fits")["practice"]
    if fit == "weld":
        return outside + float(practice["weld_gap"])
    return outside * float(practice["rubber"]) if fit == "rubber" else outside


def limits(fit: BushFit, outside: float) -> Sentence | None:
    """To what limits hole and bush are worked, in words; None where no limits are needed or the table ends.

    Args:
        fit: how the bush is held.
        outside: diameter of the bush, mm.
    Source: ISO 286-2, from memory.
    """
    of = table("fits", "iso286")
    row = next((row for upto, row in of.rows.items() if outside <= float(upto) + 1e-9), None)
    if fit not in ("press", "slip") or row is None:
        return None
    name, low, high = ("p6", "p6_low", "p6_high") if fit == "press" else ("f7", "f7_low", "f7_high")
    hole = mm(outside + row["H7"] / 1000.0, 3).named("hole at most")
    least, most = (mm(outside + row[key] / 1000.0, 3).named(key) for key in (low, high))
    start = mm(outside, 2).named("hole at least")
    said = sentence("cut the hole small and ream it to H7, ", start, " to ", hole, f"; turn the bush to {name}, ")
    return sentence(said, least, " to ", most, f" (ISO 286-2, {of.certainty})")
