"""All of a set of parts into one rectangular room, by spyrrow's search, bounded by steps and never by time."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets.blanks import Blank
from fabgen.plan.sheets.nesting import Nester
from fabgen.plan.sheets.sheet_stock import Room

_WORKER = Path(__file__).with_name("strip_worker.py")


def nest_all(
    nester: Nester,
    room: Room,
    parts: Sequence[Blank],
    steps: int,
    failures: int | None,
    tightest: bool = False,
    progress: Callable[[float], None] = lambda share: None,
) -> list[PlacedPart] | None:
    """Places for all `parts` in the room; None when the search found none within its bounds.

    It stops at the first nest that fits, or with `tightest` goes on to leave as much of the room's
    long side free as it can.  With `failures` None only `steps` or its own end stop it; `progress`
    is called with the share of the steps done.  The same input gives the same places on any machine.
    """
    x0, y0, x1, y1 = room.bounds
    wide = x1 - x0 >= y1 - y0
    # The strip runs along the room's long side; parts keep half a gap off its edges, so it is that much larger.
    rim = nester.growth
    length, height = (max(x1 - x0, y1 - y0) + 2.0 * rim, min(x1 - x0, y1 - y0) + 2.0 * rim)
    counts = Counter(part.mark for part in parts)
    items = []
    for mark, count in sorted(counts.items()):
        part = nester.blanks[mark]
        turns = part.turns(room.grain)
        if not turns:
            return None
        base = turns[0]
        grown = nester.grown(mark, base if wide else (base - 90.0) % 360.0)
        points = [list(p) for p in grown.exterior.coords[:-1]]
        items.append([mark, points, count, [turn - base for turn in turns]])
    problem = {
        "height": height,
        "items": items,
        "width": 0.0 if tightest else length,
        "steps": steps,
        "failures": failures,
    }
    found = _searched(problem, progress)
    if found is None or found["width"] is None or found["width"] > length + 1e-6:
        return None
    placed = []
    for mark, x, y, turn in found["placed"]:
        degrees = round((turn + nester.blanks[mark].turns(room.grain)[0]) % 360.0, 6) % 360.0
        if wide:
            placed.append(PlacedPart(mark, x + x0 - rim, y + y0 - rim, degrees))
        else:
            # The strip turned a quarter left: its x runs up the room, its y to the left from the right edge.
            placed.append(PlacedPart(mark, x1 + rim - y, x + y0 - rim, degrees))
    return sorted(placed, key=lambda p: (p.mark, p.x, p.y))


def _searched(problem: dict[str, Any], progress: Callable[[float], None]) -> dict[str, Any] | None:
    """What the worker found; None when it failed, which costs tightness and nothing else."""
    if not sys.executable:
        return None
    line = ""
    with subprocess.Popen(
        [sys.executable, "-P", str(_WORKER)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as worker:
        assert worker.stdin is not None
        assert worker.stdout is not None
        try:
            json.dump(problem, worker.stdin)
            worker.stdin.close()
            for line in worker.stdout:
                if line.strip().isdigit():
                    progress(int(line) / problem["steps"])
        except BrokenPipeError:
            return None
        except BaseException:
            worker.kill()  # stopped by the user: the search must not go on behind
            raise
    if worker.returncode != 0:
        return None
    found: dict[str, Any] = json.loads(line)
    return found
