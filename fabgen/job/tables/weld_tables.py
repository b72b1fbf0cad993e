"""What a job file may say of its welds: [[weld]], shown on the drawings by the symbols of ISO 2553.

Lengths arrive in mm (`fields.py`).  The descriptions are the manual.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import Field, StrictBool

from fabgen.job.errors import InputError
from fabgen.job.tables.fields import MarkName, PlusLength, ShortText, whole_number
from fabgen.job.tables.table import Table, at_most_one, goes_with, optional

WeldType = Literal["fillet", "square", "bevel", "vee"]
WeldSide = Literal["arrow", "other", "both"]


class Weld(Table):
    """[[weld]]: a weld of one part on others, as the drawings show it; its size is the designer's to choose"""

    parts: list[MarkName] = Field(
        min_length=2, max_length=12, description="marks: the part that is welded on, then those it is welded to"
    )
    type: WeldType = optional("fillet, or a butt weld: square, single bevel or single vee", "fillet")
    throat: PlusLength | None = optional("a fillet's throat, drawn as a…")
    leg: PlusLength | None = optional("a fillet's leg, drawn as z…")
    depth: PlusLength | None = optional("a butt weld's penetration; left out = full")
    side: WeldSide = optional("of the joint, seen from where the arrow points", "arrow")
    all_round: StrictBool = optional("true: right round the part", False)
    site: StrictBool = optional("true: welded when fitted, not on the bench", False)
    runs: Annotated[int, whole_number(1, 1000)] | None = optional("of a broken weld: how many runs")
    length: PlusLength | None = optional("of a broken weld: length of one run")
    space: PlusLength | None = optional("of a broken weld: bare metal between two runs")
    process: ShortText = optional('number of the process by ISO 4063, e.g. "135"', "")

    @classmethod
    def faults(cls, given: Mapping[str, object]) -> Iterator[InputError]:
        fillet = given.get("type", "fillet") == "fillet"
        yield from at_most_one(("throat", "leg"), given)
        yield from goes_with(("throat", "leg"), given, fillet, 'type = "fillet"')
        yield from goes_with("depth", given, not fillet, "a butt weld")
        if fillet and given.get("throat") is None and given.get("leg") is None:
            yield InputError("a fillet weld needs its size", 'throat or leg, e.g. throat = "3 mm"')
        broken = [key for key in ("runs", "length", "space") if given.get(key) is not None]
        if broken and len(broken) < 3:
            yield InputError("a broken weld needs all of runs, length and space", "all three, or none of them")
        if broken and given.get("all_round"):
            yield InputError("a weld all round is not broken", "all_round, or runs, length and space")
