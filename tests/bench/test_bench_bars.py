"""CPU of the bar plan: OR-Library u120, and a thousand mixed pieces over three stock lengths.

python -m pytest tests/bench/test_bench_bars.py --benchmark-only
"""

from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

from fabgen.plan.cutting_stock import Kind, Problem, cheapest


def u120(number: int) -> Problem:
    lines = (Path(__file__).parents[1] / "data" / "orlib_binpack1.txt").read_text().split("\n")
    at = 1 + number * 122
    wanted = Counter(int(line) for line in lines[at + 2 : at + 122])
    sizes = sorted(wanted, reverse=True)
    return Problem(tuple(wanted[s] for s in sizes), (Kind(150, tuple(sizes), 1),))


def test_all_u120(benchmark: Any) -> None:
    problems = [u120(number) for number in range(20)]
    plans = benchmark.pedantic(lambda: [cheapest(problem) for problem in problems], rounds=1)
    benchmark.extra_info["proven"] = sum(plan.proven for plan in plans)


def test_a_thousand_mixed_pieces(benchmark: Any) -> None:
    rng = np.random.default_rng(1)
    lengths = sorted({int(n) for n in rng.integers(1500, 28000, 60)}, reverse=True)
    wanted = tuple(int(n) for n in rng.multinomial(1000, [1 / len(lengths)] * len(lengths)))
    takes = tuple(length + 20 for length in lengths)
    kinds = tuple(Kind(room + 20, takes, cost) for room, cost in ((60000, 6000), (75000, 7600), (40000, 4200)))
    plan = benchmark.pedantic(lambda: cheapest(Problem(wanted, kinds)), rounds=1)
    benchmark.extra_info["gap"] = plan.gap
