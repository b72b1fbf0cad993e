"""One search by spyrrow, run as a program of its own: problem in on standard input, places out.

The search cannot be stopped from outside and knows limits of time only, by which the same job
would give other results on a slower machine.  But with one worker and a fixed seed the row of
its progress reports is always the same.  So this program reads the reports, stops after a number
of them, prints the best places so far and ends, and the search ends with it.

With no limit of time the search comes to an end by itself: it explores until ten goes in a row
fail, then draws the best nest together in smaller and smaller steps.

Printed is a line with the number of reports now and then, and last one line with the result.

It imports nothing of ours, so that it starts at once.
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from collections.abc import Iterable
from typing import Any

import spyrrow

SEED = 1
POLL = 0.002
FOREVER = 10**7
"""Seconds: never reached."""
REPORTED = 25
"""Reports between two lines that say how far the search is."""
FEASIBLE = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas)


def search(problem: dict[str, Any]) -> dict[str, Any]:
    """The places of all items in a strip, and the width they take; no places when none were found.

    `problem`: 'height' of the strip; 'items' as [id, [[x, y], …], count, [turns in degrees]];
    'width' that is narrow enough to stop at; 'steps' (reports) and 'failures' (of exploration; None =
    until the search ends by itself) after which to stop.
    """
    items = [
        spyrrow.Item(name, [tuple(p) for p in points], count, turns) for name, points, count, turns in problem["items"]
    ]
    strip = spyrrow.StripPackingInstance("sheet", problem["height"], items)
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        total_computation_time=None,
        exploration_time=FOREVER,
        compression_time=FOREVER,
        num_workers=1,
        seed=SEED,
    )
    reports = spyrrow.ProgressQueue()
    solver = threading.Thread(target=strip.solve, args=(config, reports), daemon=True)
    solver.start()
    best = None
    failures = 0
    most = problem["failures"]
    for steps, (kind, solution) in enumerate(_until_over(reports, solver), 1):
        if kind in FEASIBLE and (best is None or solution.width < best.width):
            best = solution
        failures += kind == spyrrow.ReportType.ExplInfeas
        narrow = best is not None and best.width <= problem["width"]
        if narrow or steps >= problem["steps"] or (most is not None and failures >= most):
            break
        if steps % REPORTED == 0:
            print(steps, flush=True)
    if best is None:
        return {"width": None, "placed": []}
    return {"width": best.width, "placed": [[p.id, *p.translation, p.rotation] for p in best.placed_items]}


def _until_over(reports: Any, solver: threading.Thread) -> Iterable[tuple[Any, Any]]:
    while True:
        alive = solver.is_alive()
        yield from reports.drain()
        if not alive:
            return
        time.sleep(POLL)


def main() -> None:
    found = search(json.load(sys.stdin))
    print(json.dumps(found), flush=True)
    # The solver's thread still runs, and nothing but the end of the process stops it.
    os._exit(0)


if __name__ == "__main__":
    main()
