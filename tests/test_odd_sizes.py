"""Jobs with some zeros too many: drawn or refused, and soon.  All of them were found by `mutated_jobs`."""

from __future__ import annotations

from pathlib import Path

import pytest
from mutated_jobs import bounded, whole
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces

HEAD = '[job]\ntitle = "x"\nnumber = "x"\nunits = "mm"\n'


def test_a_job_of_kilometres_is_drawn_in_seconds(tmp_path: Path) -> None:
    """A link to a point 4.4 km off, beside it another of the usual length; its picture used to have 17,600 columns."""
    link = (
        '[[link]]\nmark = "{}"\nsection = "25.4 x 4"\nbetween = [[0, 0, 0], [{}, {}, {}]]\nrod_ends = ["M12", "M12"]\n'
    )
    job = tmp_path / "far.toml"
    job.write_text(HEAD + link.format("L1", 300, 4_400_000, 3_000_000) + link.format("L2", 400, 0, 0))
    with bounded(60.0):
        done = CliRunner().invoke(app, ["make", str(job), "--out", str(tmp_path / "out")])
    assert done.exit_code == 1, done.output
    whole(tmp_path / "out", tmp_path / "out" / "far")


def test_a_cut_out_in_a_cone_of_kilometres_is_refused_with_its_line() -> None:
    cone = '[[cover]]\nmark = "C6"\nshape = "cone"\nthickness = 1.5\nbottom = 2400000\ntop = 120\nheight = 140\n'
    job = read_text(HEAD + cone + "seam_gap = 1.5\ncut_out = [{ diameter = 90, height = 20, tilt = 8 }]\n")
    with pytest.raises(JobError, match="too small to be laid out") as caught, job.locating():
        all_pieces(job.definitions)
    assert caught.value.problems[0].line
