"""How long the drawings of the demo take: `pytest tests/bench --benchmark-only`."""

from pathlib import Path

from pytest_benchmark.fixture import BenchmarkFixture

from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.render import paper
from fabgen.documents.render.pdf import Page, render
from fabgen.job.reader import read_job
from fabgen.parts.build import all_pieces

DEMO = Path(__file__).parents[2] / "sample_parts" / "curlew-trailer.toml"


def test_drawings_of_the_demo(benchmark: BenchmarkFixture) -> None:
    job = read_job(DEMO).definitions
    pieces = all_pieces(job)
    pages: list[Page] = benchmark(drawing_pages, pieces, job.job, paper.A4)
    assert pages


def test_their_pdf(benchmark: BenchmarkFixture) -> None:
    job = read_job(DEMO).definitions
    pages = drawing_pages(all_pieces(job), job.job, paper.A4)
    assert benchmark(render, pages, "drawings")[:5] == b"%PDF-"
