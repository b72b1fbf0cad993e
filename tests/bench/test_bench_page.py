"""How long the demo's page takes: from nothing, and again after one named length was changed."""

from itertools import cycle
from pathlib import Path

from pytest_benchmark.fixture import BenchmarkFixture

from fabgen.app.live_page import Rebuilder, page_of
from fabgen.app.work import work_on

DEMO = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"


def test_page_from_nothing(benchmark: BenchmarkFixture) -> None:
    work = work_on(DEMO)
    text = benchmark.pedantic(page_of, (work,), rounds=2)
    assert len(text.encode()) < 3_000_000


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
