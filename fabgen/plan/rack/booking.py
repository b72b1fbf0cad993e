"""Booking a job on the rack: what it used comes off, the offcuts it leaves go on.

The plan says what is used; whoever books holds the rack file's lock from the reading of the
file to its writing, so that two who book at once come one after the other.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from fabgen.job.errors import Problem
from fabgen.job.rack import MARKED, Rack, read_rack, read_rack_text, same_name
from fabgen.job.tables.definitions import Definitions, OwnMaterial
from fabgen.job.text import safe_file
from fabgen.job.text.toml_edit import TomlEditor, Value
from fabgen.parts.piece import Piece
from fabgen.plan.plan import Plan, Take
from fabgen.plan.rack.remnants import Remnant, remnants_of
from fabgen.shop import materials
from fabgen.shop.profiles.profile_section import StockSection


@dataclass(frozen=True, slots=True)
class Offcut:
    """`count` like pieces of bar put back, `length` mm each, all with one mark."""

    mark: str
    section: StockSection
    material: str
    length: float
    count: int


@dataclass(frozen=True, slots=True)
class Booking:
    """What a job takes off the rack and puts back on it.  `scrap` mm of bar is too short to keep."""

    number: str
    takes: tuple[Take, ...]
    offcuts: tuple[Offcut, ...]
    remnants: tuple[tuple[str, Remnant], ...]
    scrap: float
    last: int
    issued: date | None = None
    materials: tuple[OwnMaterial, ...] = ()


def booking_of(
    job: Definitions,
    pieces: Sequence[Piece],
    plan: Plan,
    rack: Rack,
    least: float | None = None,
    own_sheets: bool = True,
    issued: date | None = None,
) -> Booking:
    """What booking the plan on the rack it was made with comes to.

    Offcuts shorter than `least` mm are not kept; None: those that the plan calls scrap.
    Without `own_sheets` a cutting service cut the flat parts from its own metal: no sheet is
    taken and no remnant kept.
    """
    number = job.job.number
    last = _last_number(rack, number)
    offcuts, scrap, last = _offcuts(plan, number, last, plan.least_offcut if least is None else least)
    kept: list[tuple[str, Remnant]] = []
    for remnant in remnants_of(plan, pieces, rack.contents.rack.least_remnant) if own_sheets else ():
        last += 1
        kept.append((f"{number}/{last}", remnant))
    takes = plan.takes if own_sheets else tuple(take for take in plan.takes if take.table in ("bar", "hardware"))
    known = {materials.key_of(own.name) for own in rack.contents.material}
    named = {offcut.material for offcut in offcuts} | {remnant.material for _, remnant in kept}
    strange = tuple(own for own in job.material if own.name in named and materials.key_of(own.name) not in known)
    return Booking(number, takes, tuple(offcuts), tuple(kept), scrap, last, issued, strange)


def book(
    path: Path, number: str, again: bool, decide: Callable[[Rack], Booking], patience: float = safe_file.PATIENCE
) -> tuple[Rack, Booking]:
    """Book on the rack file at `path` what `decide` says of the rack as it is then; returns both.

    Raises JobError where the file has faults, or the job `number` is booked on it already and
    `again` does not say otherwise; NotWrittenError as `safe_file`.  The
    file is changed wholly or not at all; its last state is kept beside it as .bak.
    """
    with safe_file.changing(path, patience) as target:
        rack = read_rack(path)
        earlier = rack.booking_of(number)
        if earlier is not None and not again:
            when = rack.contents.booked[earlier].date
            what = f"the job {number} is booked already{f', on {when.isoformat()}' if when else ''}"
            raise rack.located([Problem(("booked", earlier), what, "--again, to build it once more")])
        booking = decide(rack)
        text = booked_text(rack, booking)
        safe_file.replace_text(target, rack.text, text)
    return rack, booking


def booked_text(rack: Rack, booking: Booking) -> str:
    """The rack file's text after the booking.  Raises JobError where it cannot be changed in place."""
    editor = TomlEditor(rack.text)
    for take in booking.takes:
        entry = getattr(rack.contents, take.table)[take.number]
        left = entry.count - take.count
        try:
            # Hardware stays as an empty bin; a bar or sheet that is used up is gone.
            if left > 0 or take.table == "hardware":
                editor.set_value(take.table, take.number, "count", left)
            else:
                editor.remove(take.table, take.number)
        except KeyError:
            what = f"this {take.table} stands in a list on one line, and cannot be changed there"
            raise rack.located([Problem((take.table, take.number), what, f"[[{take.table}]] for each")]) from None
    for own in booking.materials:
        given: dict[str, Value] = {"name": own.name, "like": own.like}
        editor.add("material", given if own.density is None else given | {"density": own.density})
    for table, values in _entries(booking, rack.contents.rack.units):
        editor.add(table, values)
    text = editor.text()
    read_rack_text(text, rack.path)  # what we write must read well: better an error than a broken rack
    return text


def _entries(booking: Booking, units: str) -> list[tuple[str, Mapping[str, Value]]]:
    """What is added to the file, table by table.  Lengths carry their unit where bare ones are inches."""

    def length(mm: float) -> Value:
        return mm if units == "mm" else f"{mm:g} mm"

    found: list[tuple[str, Mapping[str, Value]]] = []
    for offcut in booking.offcuts:
        values: dict[str, Value] = {
            "mark": offcut.mark,
            "section": offcut.section.written("" if units == "mm" else " mm"),
            "material": offcut.material,
            "length": length(offcut.length),
        }
        found.append(("bar", values | ({"count": offcut.count} if offcut.count > 1 else {})))
    for mark, remnant in booking.remnants:
        sheet: dict[str, Value] = {
            "mark": mark,
            "thickness": length(remnant.thickness),
            "material": remnant.material,
        }
        if remnant.size is not None:
            found.append(("sheet", sheet | {"size": [length(v) for v in remnant.size]}))
        else:
            found.append(("remnant", sheet | {"outline": [[length(v) for v in corner] for corner in remnant.outline]}))
    booked: dict[str, Value] = {"job": booking.number}
    if booking.issued is not None:
        booked["date"] = booking.issued
    found.append(("booked", booked | {"offcuts": booking.last}))
    return found


def _offcuts(plan: Plan, number: str, last: int, least: float) -> tuple[list[Offcut], float, int]:
    """Offcuts worth keeping, longest first in each section, whole millimetres; scrap mm; the last number."""
    alike: Counter[tuple[StockSection, str, float]] = Counter()
    scrap = 0.0
    for bar in plan.bars:
        length = float(math.floor(bar.offcut + 1e-6))
        if length >= least:
            alike[bar.section, bar.material, length] += bar.count
        else:
            scrap += bar.offcut * bar.count
    found = []
    for section, material, length in sorted(alike, key=lambda kind: (str(kind[0]), kind[1], -kind[2])):
        last += 1
        count = alike[section, material, length]
        found.append(Offcut(f"{number}/{last}", section, material, length, count))
    return found, scrap, last


def _last_number(rack: Rack, number: str) -> int:
    """The highest number that a mark of this job has or had."""
    numbers = [entry.offcuts for entry in rack.contents.booked if same_name(entry.job, number)]
    pattern = re.compile(re.escape(number) + r"/(\d{1,9})", re.IGNORECASE)
    for table in MARKED:
        for entry in getattr(rack.contents, table):
            if entry.mark and (found := pattern.fullmatch(entry.mark)):
                numbers.append(int(found[1]))
    return max(numbers, default=0)
