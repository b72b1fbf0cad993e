"""How long covers, the order pack and paper patterns take: `pytest tests/bench --benchmark-only`."""

from pathlib import Path

from pytest_benchmark.fixture import BenchmarkFixture

from fabgen.app.starters import starters
from fabgen.documents.dxf.flat_dxf import flat_dxf, flat_name
from fabgen.documents.lists.order_pack import order_pack
from fabgen.documents.render import paper
from fabgen.documents.templates.patterns import pattern_pages
from fabgen.job.reader import read_job
from fabgen.parts.build import all_pieces
from fabgen.parts.cover import cover
from fabgen.parts.piece import FlatPart

DEMO = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"


def test_every_shape_of_cover(benchmark: BenchmarkFixture) -> None:
    job = read_job(starters()["covers"]).definitions
    assert len(benchmark(cover.pieces, job)) == 8


def test_order_pack_of_the_demo(benchmark: BenchmarkFixture) -> None:
    job = read_job(DEMO).definitions
    pieces = all_pieces(job)
    drawn = {flat_name(piece): flat_dxf(piece) for piece in pieces if isinstance(piece.shape, FlatPart)}
    assert benchmark(order_pack, job.job, pieces, paper.A4, drawn)


def test_patterns_of_the_demo(benchmark: BenchmarkFixture) -> None:
    job = read_job(DEMO).definitions
    pieces = all_pieces(job)
    assert benchmark(pattern_pages, pieces, job.job, paper.A4)
