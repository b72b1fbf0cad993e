"""Booking a job on a rack file: the step and its report."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from fabgen.app.hands import with_own_images
from fabgen.app.work import WorkedJob, built, planned
from fabgen.documents.data.plan_json import plan_data
from fabgen.documents.render.words import figure, quantity_text
from fabgen.job.errors import JobError, Problem
from fabgen.job.rack import Rack
from fabgen.job.reader import read_job
from fabgen.plan.effort import Effort, Progress, silent
from fabgen.plan.rack.booking import Booking, book, booking_of


@dataclass(frozen=True, slots=True)
class BookingOptions:
    """How a job is to be booked.

    Args:
        again: also where it is booked already: it is built once more.
        least: shorter offcuts are not kept, mm; None = the rack's own figure.
        own_sheets: False = a service cut the flat parts, and no sheets are taken.
        issued: when it was used; None = the job's date.
        made: folder of the job's documents; where it is there, its cut list must be of the plan that is booked, for
            that is what was sawn.
        effort: how hard to look for fewer, fuller sheets; None = as for that cut list.
    """

    again: bool = False
    least: float | None = None
    own_sheets: bool = True
    issued: date | None = None
    made: Path | None = None
    effort: Effort | None = None


def book_job(
    path: Path, rack_path: Path, options: BookingOptions = BookingOptions(), progress: Progress = silent
) -> tuple[WorkedJob, Booking]:
    """Take what the job in a file uses off the rack file and put its offcuts on.

    Raises:
        JobError: a file has faults, the job is booked already, or the cut list is of another plan.
        NotWrittenError: the rack file could not be written, and stands as it was.
    """
    loaded = with_own_images(read_job(path))
    pieces = built(loaded)
    done: list[WorkedJob] = []
    shown = _plan_shown(options.made)
    hard = options.effort or _effort_of(shown)

    def decide(rack: Rack) -> Booking:
        work = planned(loaded, pieces, rack, hard, progress)
        if options.made is not None and shown is not None:
            _compare(work, shown, options.made)
        done.append(work)
        day = options.issued or loaded.definitions.job.date
        return booking_of(loaded.definitions, pieces, work.plan, rack, options.least, options.own_sheets, day)

    _, booking = book(rack_path, loaded.definitions.job.number, options.again, decide)
    return done[0], booking


def report(work: WorkedJob, booking: Booking) -> Iterator[str]:
    """What was booked, line by line."""
    assert work.rack is not None
    contents = work.rack.contents
    for take in booking.takes:
        entry = getattr(contents, take.table)[take.number]
        if take.table == "hardware":
            what = f"{entry.item} {entry.spec}"
        elif take.table == "bar":
            what = f"{entry.section} {entry.material}, {figure(entry.length)} mm"
        else:
            what = f"{figure(entry.thickness, 2)} mm {entry.material}"
        mark = f"  marked {entry.mark}" if take.table != "hardware" and entry.mark else ""
        yield f"used      {quantity_text(take.count, 'piece')} of {take.table} {what}{mark}"
    for offcut in booking.offcuts:
        what = f"{offcut.section} {offcut.material}, {figure(offcut.length)} mm"
        yield f"put back  {quantity_text(offcut.count, 'piece')} of bar {what}  mark it {offcut.mark}"
    for mark, remnant in booking.remnants:
        sizes = [max(corner[axis] for corner in remnant.outline) for axis in (0, 1)]
        shape = "" if remnant.size else ", not a rectangle"
        what = (
            f"{figure(remnant.thickness, 2)} mm {remnant.material}, {figure(sizes[0])} x {figure(sizes[1])} mm{shape}"
        )
        yield f"put back  1 piece of sheet {what}  mark it {mark}"
    if booking.scrap >= 1.0:
        yield f"scrap     {figure(booking.scrap / 1000.0, 2)} m of bar in pieces too short to keep"


def _plan_shown(made: Path | None) -> dict[str, Any] | None:
    """The plan that the documents in the folder show; None where there are none that can be read."""
    if made is None:
        return None
    try:
        plan = json.loads((made / "job.json").read_text(encoding="utf-8"))["plan"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return plan if isinstance(plan, dict) else None


def _effort_of(plan: dict[str, Any] | None) -> Effort:
    try:
        return Effort((plan or {})["effort"])
    except (KeyError, ValueError):
        return Effort.NORMAL


def _compare(work: WorkedJob, shown: dict[str, Any], made: Path) -> None:
    """Raises JobError where the plan shown by the documents in `made` is another than the one to be booked."""
    if shown != json.loads(json.dumps(plan_data(work.plan))):
        what = "the cut list here, which was sawn, shows another plan than the rack and the job give now"
        accepted = "make it again with --rack before sawing; --anyway books the present plan"
        raise JobError([Problem((), what, accepted, file=str(made))])
