"""OR-Library bin packing, class u120: every instance to its optimum, proven.

Data: J. E. Beasley, 'OR-Library: distributing test problems by electronic mail', J. Opl. Res. Soc.
41(11), 1990, file binpack1; class u120 of E. Falkenauer, 'A hybrid grouping genetic algorithm for bin
packing', J. Heuristics 2, 1996.  The file gives the best number known when it was made; two of the
twenty were later found to need one bin less, and the bound proves that nothing below is possible.
"""

from collections import Counter
from pathlib import Path

import pytest
from cutting_jobs import plan_faults

from fabgen.plan.bars.cutting_stock import Kind, StockProblem, cheapest

IMPROVED = {"u120_08", "u120_19"}


def instances() -> list[tuple[str, int, int, list[int]]]:
    lines = (Path(__file__).parents[1] / "data" / "orlib_binpack1.txt").read_text().split("\n")
    found, at = [], 1
    for _ in range(int(lines[0])):
        name = lines[at].strip()
        capacity, count, best = map(int, lines[at + 1].split())
        found.append((name, capacity, best, [int(line) for line in lines[at + 2 : at + 2 + count]]))
        at += 2 + count
    return found


@pytest.mark.parametrize(("name", "capacity", "best", "items"), instances(), ids=lambda value: str(value)[:8])
def test_u120(name: str, capacity: int, best: int, items: list[int]) -> None:
    wanted = Counter(items)
    sizes = sorted(wanted, reverse=True)
    problem = StockProblem(tuple(wanted[size] for size in sizes), (Kind(capacity, tuple(sizes), 1),))
    found = cheapest(problem)
    assert plan_faults(problem, found.bars) == []
    assert found.proven
    assert found.cost == best - (name in IMPROVED)
