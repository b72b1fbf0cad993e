"""How long pages take: the demo's from nothing, and again after one named length was changed; that of a large job."""

from itertools import cycle
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from test_bench_large_job import tower

from fabgen.app.live_page import Rebuilder, page_of
from fabgen.app.work import work_on

DEMO = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"


def test_page_from_nothing(benchmark: BenchmarkFixture) -> None:
    work = work_on(DEMO)
    text = benchmark.pedantic(page_of, (work,), rounds=2)
    assert len(text.encode()) < 700_000


def test_page_again_after_a_save(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    """All that --watch does after a save: read, build, plan, check, draw what changed, write."""
    job = tmp_path / "demo.toml"
    text = DEMO.read_text(encoding="utf-8")
    job.write_text(text, encoding="utf-8")
    rebuild = Rebuilder(job, tmp_path / "out")
    rebuild.made()
    lengths = cycle(("820 mm", "840 mm"))

    def save() -> None:
        job.write_text(text.replace('drawbar = "800 mm"', f'drawbar = "{next(lengths)}"'), encoding="utf-8")

    benchmark.pedantic(rebuild.made, setup=save, rounds=2)


@pytest.mark.slow
def test_page_of_a_tower_of_996_tubes(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    """No two bays alike."""
    job = tmp_path / "tower.toml"
    job.write_text(tower(124, 4.0), encoding="utf-8")
    text = benchmark.pedantic(page_of, (work_on(job),), rounds=1)
    benchmark.extra_info["bytes"] = len(text.encode())
    assert len(text.encode()) < 6_000_000
