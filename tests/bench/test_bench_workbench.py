"""How long the bench takes for a change of the demo: until its text is read, its picture and its findings are there."""

import json
import threading
import time
from itertools import cycle
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from fabgen.app.bench.workbench import Workbench

DEMO = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"


@pytest.mark.parametrize("kind", ["job", "picture", "findings"])
def test_after_a_field_is_changed(benchmark: BenchmarkFixture, tmp_path: Path, kind: str) -> None:
    job = tmp_path / "demo.toml"
    job.write_text(DEMO.read_text(encoding="utf-8"), encoding="utf-8")
    bench = Workbench(job, tmp_path / "out")
    threading.Thread(target=bench.build, daemon=True).start()

    def there(wanted: str) -> None:
        now = bench.session.now[0]
        for _ in range(6000):
            news = dict(bench.board.since(0, 0.0)[1])
            if wanted in news and json.loads(news[wanted])["number"] == now:
                return
            time.sleep(0.005)
        raise AssertionError("it did not come to that")

    there("findings")
    lengths = cycle(("820 mm", "840 mm"))

    def change() -> None:
        bench.set(bench.session.now[0], ("dimensions",), "drawbar", next(lengths))
        there(kind)

    benchmark.pedantic(change, setup=lambda: there("findings"), rounds=3)
    bench.board.end()
