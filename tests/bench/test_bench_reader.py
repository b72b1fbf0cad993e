"""How long a job of some 300 lines takes to read."""

from typing import Any

from fabgen.job.reader import read_text
from fabgen.job.text.source import SourceMap


def job_text() -> str:
    lines = ["[job]", 'title = "bench"', 'number = "1"', 'units = "mm"', "[dimensions]", "d0 = 100"]
    lines += [f'd{i} = "d{i - 1} / 2 + 1 1/2 in"' for i in range(1, 20)]
    lines += ["[points]", *(f'P{i} = [{i}, "d{i} / 2", "-{i} mm"]' for i in range(20))]
    for i in range(60):
        lines += ["[[tube]]", f'mark = "T{i}"', 'section = "48.3 x 3.2"', f'route = ["P{i % 20}", "P{(i + 1) % 20}"]']
    return "\n".join(lines)


def test_read_300_lines(benchmark: Any) -> None:
    text = job_text()
    assert len(benchmark(read_text, text).definitions.tube) == 60


def test_find_the_lines(benchmark: Any) -> None:
    text = job_text()
    assert benchmark(lambda: SourceMap(text).line(("tube", 59, "route"))) == 286
