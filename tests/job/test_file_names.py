"""Marks and job names that no file or folder can have."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabgen.job.errors import JobError
from fabgen.job.reader import read_job, read_text

JOB = """[job]
title = "ear"
number = "EAR-01"
units = "mm"
[[plate]]
mark = "{}"
thickness = 3
rectangle = [60, 40]
"""


@pytest.mark.parametrize("mark", ["CON", "nul", "aux.1", "Com1", "LPT9.x.y", "prn."])
def test_a_mark_that_windows_keeps_is_refused_with_the_reason(mark: str) -> None:
    with pytest.raises(JobError, match="Windows keeps this name for a device") as error:
        read_text(JOB.format(mark))
    assert error.value.problems[0].line == 6


@pytest.mark.parametrize("mark", ["CON1", "A.con", "AUX-1", "COM10", "nul_2", "COM"])
def test_a_mark_that_only_looks_so_is_taken(mark: str) -> None:
    (plate,) = read_text(JOB.format(mark)).definitions.plate
    assert plate.mark == mark


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("..toml", "dots only"),
        ("...toml", "dots only"),
        ("trailer..toml", "drops a dot"),
        ("trailer .toml", "drops a dot or space"),
        ("con.toml", "Windows keeps"),
        ("Aux.1.toml", "Windows keeps"),
    ],
)
def test_a_job_name_that_makes_no_folder_is_refused_with_the_reason(tmp_path: Path, name: str, reason: str) -> None:
    (tmp_path / name).write_text(JOB.format("P1"))
    with pytest.raises(JobError, match=reason) as error:
        read_job(tmp_path / name)
    assert error.value.problems[0].file == str(tmp_path / name)


@pytest.mark.parametrize("name", ["trailer.toml", "v1.2.toml", ".toml", "console.toml"])
def test_other_job_names_are_taken(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text(JOB.format("P1"))
    assert read_job(tmp_path / name).path == tmp_path / name
