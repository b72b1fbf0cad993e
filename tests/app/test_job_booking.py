"""Booking as a whole: job file, rack file and the cut list that was sawn."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from fabgen.app.job_booking import BookingOptions, book_job, report
from fabgen.app.work import work_on
from fabgen.documents.data.job_json import job_json
from fabgen.job.errors import JobError, describe
from fabgen.job.rack import read_rack

SAMPLES = Path(__file__).parents[2] / "sample_parts"
DEMO = SAMPLES / "curlew-trailer.toml"


@pytest.fixture
def rack(tmp_path: Path) -> Path:
    path = tmp_path / "rack.toml"
    path.write_bytes((SAMPLES / "rack" / "rack.toml").read_bytes())
    return path


def make(rack: Path, folder: Path) -> None:
    """What `make` leaves of the plan in the job's folder."""
    work = work_on(DEMO, rack)
    folder.mkdir()
    text = job_json(work.job.definitions.job, [], work.plan, work.findings)
    (folder / "job.json").write_text(text, encoding="utf-8")


def test_the_demo_is_booked_and_says_so(rack: Path) -> None:
    work, booking = book_job(DEMO, rack)
    told = list(report(work, booking))
    assert any("marked R1" in line and line.startswith("used") for line in told)
    assert any("mark it CUR-01/1" in line for line in told)
    contents = read_rack(rack).contents
    assert contents.booked[0].job == "CUR-01"
    assert contents.booked[0].date is not None  # the job's own
    left = next(held for held in contents.hardware if held.item == "rod end")
    assert left.count == 1
    text = rack.read_text()
    for remark in ("# ---- tube, upper arms", "# ---- sheet, behind the door", "# ---- drawers"):
        assert remark in text


def test_what_was_sawn_is_what_is_booked(rack: Path, tmp_path: Path) -> None:
    make(rack, tmp_path / "made")
    book_job(DEMO, rack, BookingOptions(made=tmp_path / "made"))


def test_a_cut_list_of_another_plan_is_no_ground_to_book_on(rack: Path, tmp_path: Path) -> None:
    make(rack, tmp_path / "made")
    changed = rack.read_text().replace('length = "2100 mm"', 'length = "1900 mm"')
    rack.write_text(changed)
    with pytest.raises(JobError) as caught:
        book_job(DEMO, rack, BookingOptions(made=tmp_path / "made"))
    told = describe(caught.value.problems[0])
    assert "--anyway" in told
    assert rack.read_text() == changed
    book_job(DEMO, rack, BookingOptions(made=None))


def test_a_service_cuts_from_its_own_sheets(rack: Path) -> None:
    book_job(DEMO, rack, BookingOptions(own_sheets=False))
    contents = read_rack(rack).contents
    assert [sheet.mark for sheet in contents.sheet] == ["S1"]
    assert [remnant.mark for remnant in contents.remnant] == ["S2"]


def test_faults_of_both_files_are_told_together(tmp_path: Path) -> None:
    job, rack = tmp_path / "job.toml", tmp_path / "rack.toml"
    job.write_text('[job]\ntitle = "x"\n')
    rack.write_text('[rack]\nunit = "mm"\n')
    with pytest.raises(JobError) as caught:
        work_on(job, rack)
    assert {Path(problem.file).name for problem in caught.value.problems} == {"job.toml", "rack.toml"}


def test_bolts_that_cannot_be_are_told_with_their_line(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        '[job]\ntitle = "x"\nnumber = "1"\nunits = "mm"\n[[plate]]\nmark = "P1"\nthickness = 3\nrectangle = [50, 50]\n'
        '[[bolt]]\nthread = "M8"\nlength = "2000 mm"\nthrough = ["P1", "30 mm"]\n'
    )
    with pytest.raises(JobError) as caught:
        work_on(job)
    assert describe(caught.value.problems[0]).startswith(f"{job}:11: bolt 1, key length: M8 x 2000 is longer than any")


def test_the_plan_of_the_data_file_is_read_as_such(rack: Path, tmp_path: Path) -> None:
    make(rack, tmp_path / "made")
    data = json.loads((tmp_path / "made" / "job.json").read_text(encoding="utf-8"))
    assert any("rack_marks" in bar for bar in data["plan"]["bars"])
