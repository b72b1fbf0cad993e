"""Every page of every sample and starter: no text on text, nothing outside what a printer reaches."""

from __future__ import annotations

from pathlib import Path

import pytest
from print_check import outside, overlaps
from typer.testing import CliRunner

from fabgen.app.starters import starters
from fabgen.cli import app
from fabgen.documents.render.paper import PRINTER

SAMPLES = sorted((Path(__file__).parents[2] / "sample_parts").glob("*.toml"))
JOBS = [*SAMPLES, *starters().values()]


@pytest.mark.parametrize("job", JOBS, ids=lambda path: path.stem)
def test_pages_print_clean(job: Path, tmp_path: Path) -> None:
    for paper in ("A4", "Letter"):
        result = CliRunner().invoke(app, ["make", str(job), "--out", str(tmp_path), "--paper", paper, "--labels"])
        assert result.exit_code == 0, result.output
        for path in sorted((tmp_path / job.stem).glob("*.pdf")):
            pdf = path.read_bytes()
            assert overlaps(pdf) == [], f"{path.name} on {paper}"
            assert outside(pdf, PRINTER.left - 1.0) == [], f"{path.name} on {paper}"
