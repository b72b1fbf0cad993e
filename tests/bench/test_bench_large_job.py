"""`fabgen make` of towers of 250, 500 and 1,000 tubes: all documents, every tube a mark of its own.

Two kinds of tower.  In the straight one bay is like another, so that templates and drawings are shared;
in the tapering one no two bays are alike.  The CPU of the whole command, start-up and all, is printed
beside the time of this process; growth is its ratio from one size to the next, to be held against
that of the tubes.
"""

import resource
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

BAYS = (31, *(pytest.param(bays, marks=pytest.mark.slow) for bays in (62, 124)))
"""About 250, 500 and 1,000 tubes; the large ones with `-m "slow or not slow"`."""


def tower(bays: int, taper: float) -> str:
    """The job: four posts, and in each bay four rails and four braces; `taper` mm less half width a bay."""
    lines = ['[job]\ntitle = "Tower"\nnumber = "TW-1"\nunits = "mm"\ndate = 2026-01-02\n']
    rise = 500.0

    def corner(i: int, bay: float) -> tuple[float, float, float]:
        half = 300.0 + taper * (bays - bay)
        x, y = ((1, 1), (-1, 1), (-1, -1), (1, -1))[i % 4]
        return (x * half, y * half, bay * rise)

    def tube(mark: str, section: str, *route: tuple[float, float, float]) -> None:
        points = ", ".join(str(list(point)) for point in route)
        lines.append(f'[[tube]]\nmark = "{mark}"\nsection = "{section}"\nroute = [{points}]\n')

    for i in range(4):
        tube(f"P{i}", "60.3 x 3.2", corner(i, -0.1), corner(i, bays + 0.1))
    for bay in range(bays):
        for i in range(4):
            tube(f"R{bay}-{i}", "42.4 x 2.6", corner(i, bay + 1), corner(i + 1, bay + 1))
            tube(f"D{bay}-{i}", "26.9 x 2.3", corner(i, bay), corner(i + 1, bay + 1))
    return "\n".join(lines)


def made(path: Path, out: Path) -> float:
    """CPU of the command, s."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    command = [sys.executable, "-m", "fabgen", "make", str(path), "--out", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1), done.stderr[-2000:]
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


@pytest.mark.parametrize("taper", [0.0, 4.0], ids=["straight", "tapering"])
@pytest.mark.parametrize("bays", BAYS)
def test_make_a_tower(benchmark: Any, tmp_path: Path, bays: int, taper: float) -> None:
    path = tmp_path / "tower.toml"
    path.write_text(tower(bays, taper))
    cpu = benchmark.pedantic(made, args=(path, tmp_path / "out"), rounds=1)
    benchmark.extra_info["tubes"] = 4 + 8 * bays
    benchmark.extra_info["cpu_s"] = round(cpu, 2)
    print(f"\n{4 + 8 * bays} tubes, {'tapering' if taper else 'straight'} tower: {cpu:.1f} s of CPU")
