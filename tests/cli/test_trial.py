"""--set: another figure for a named dimension, for one run."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from pypdf import PdfReader
from typer.testing import CliRunner, Result

from fabgen.app.trying import trial_folder
from fabgen.cli import app
from fabgen.cli.completing import dimension_names
from fabgen.job.errors import JobError
from fabgen.job.reader import Job, read_text
from fabgen.job.values.tried import figures_in

JOB = """
[job]
title = "Stay"
number = "S-1"
units = "{units}"
[dimensions]
track = "1480 mm"
half = "track / 2"
lean = "10 deg"
share = "half / track"
[points]
A = [0, "half", 0]
B = [0, "-half", 0]
[[tube]]
mark = "T1"
section = "40 mm x 3 mm"
route = ["A", "B"]
turn = "lean"
[[plate]]
mark = "P1"
thickness = "4 mm"
rectangle = ["track * share / 4", "60 mm"]
holes = [{{ at = ["half / 5", "30 mm"], bolt = "M10" }}]
"""


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = Path("stay.toml")
    path.write_text(JOB.format(units="mm"), encoding="utf-8")
    return path


def run(*words: object) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


def read(units: str = "mm", **figures: str) -> Job:
    return read_text(JOB.format(units=units), "stay.toml", figures=figures)


# -- the figure -------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("units", "text", "length"),
    [
        ("mm", "1500", 1500.0),
        ("in", "60", 1524.0),
        ("mm", "58 1/2 in", 1485.9),
        ("mm", "2 * 740.5 mm", 1481.0),
        ("mm", "5' 1 1/2\"", 1562.1),
    ],
)
def test_the_figure_is_read_as_in_a_job_file(units: str, text: str, length: float) -> None:
    tube = read(units, track=text).definitions.tube[0]
    assert abs(tube.route[0].y - tube.route[1].y - length) < 1e-9


def test_a_bare_number_is_what_the_dimension_is() -> None:
    assert read(lean="30").definitions.tube[0].turn == pytest.approx(0.5235988)
    assert read(share="0.25").definitions.plate[0].rectangle == [pytest.approx(92.5), 60.0]


def test_a_formula_may_use_other_dimensions_and_be_set_as_they_are() -> None:
    tube = read(track="1600", half="track / 4").definitions.tube[0]
    assert [point.y for point in tube.route] == [400.0, -400.0]


def test_the_job_keeps_what_is_tried_and_what_the_file_has() -> None:
    (tried,) = read(track="1500").tried
    assert tried.said.words("mm") == "track = 1500 mm in place of 1480 mm"
    assert tried.said.words("in") == 'track = 59.055" [1500 mm] in place of 58.268" [1480 mm]'


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ({"trak": "1500"}, 'no dimension "trak"'),
        ({"track": "1500 apples"}, "--set: track: "),
        ({"track": "20 deg"}, "comes to an angle, and in the file it is a length"),
        ({"half": "half / 2"}, "--set: half: these dimensions go round in a loop"),
    ],
)
def test_a_figure_that_will_not_do(figures: dict[str, str], said: str) -> None:
    with pytest.raises(JobError, match=said):
        read(**figures)


def test_options() -> None:
    assert figures_in(["a = 10 1/2 in", "b=a/2"]) == {"a": "10 1/2 in", "b": "a/2"}
    assert trial_folder("stay", {"a": "10 1/2 in", "b": "../x"}) == "stay-with-a-10-1-2-in-b-..-x"


# -- the commands -----------------------------------------------------------------------------
@pytest.mark.parametrize("command", ["check", "make", "look"])
def test_an_unknown_name_is_one_error_with_the_nearest(job: Path, command: str) -> None:
    told = run(command, job, "--set", "trak=1500")
    assert told.exit_code == 2
    assert told.output.count("no dimension") == 1
    assert "nearest: track" in told.output
    assert "names given under [dimensions]: track, half, lean, share" in told.output
    assert not Path("output").exists()


@pytest.mark.parametrize("words", [["track"], ["=5"], ["track="], ["track=1", "--set", "track=2"]])
def test_what_is_no_name_and_value(job: Path, words: list[str]) -> None:
    told = run("check", job, "--set", *words)
    assert told.exit_code == 2
    assert told.output.startswith("--set: ")


def test_a_part_that_fails_with_the_figure_says_so(job: Path) -> None:
    told = run("check", job, "--set", "share=0")
    assert told.exit_code == 2
    assert "with share = 0, " in told.output


def test_check_says_what_changes(job: Path) -> None:
    told = run("check", job, "--set", "track=1500")
    assert told.exit_code == 0, told.output
    lines = told.output.splitlines()
    at = lines.index("with track = 1500 mm in place of 1480 mm:")
    assert lines[at + 1] == "  T1: saw length 1480.0 to 1500.0 mm"
    assert lines[at + 2].startswith("  P1: flat 185.0 x 60 mm to 187.5 x 60 mm") or "P1" in lines[at + 2]
    assert any(line.startswith("  mass of all pieces made here: ") for line in lines[at:])
    same = run("check", job, "--set", "track=1480 mm").output
    assert "  no part changes" in same
    assert "mass of" not in same


def test_check_says_which_findings_come_and_go(job: Path) -> None:
    told = run("check", job, "--set", "half=150").output
    assert "look  P1: " in told[told.index("with half") :]
    job.write_text(JOB.format(units="mm").replace("track / 2", "150 mm"), encoding="utf-8")
    told = run("check", job, "--set", "half=740").output
    assert "no more: look  P1: " in told


def test_json_and_a_job_that_cannot_be_made_as_it_is(job: Path) -> None:
    told = json.loads(run("check", job, "--set", "track=1500", "--json").output)
    assert told["job"]["tried"] == [{"name": "track", "value": "1500 mm", "in_place_of": "1480 mm"}]
    assert "tried" not in json.loads(run("check", job, "--json").output)["job"]
    job.write_text(JOB.format(units="mm").replace('"half / track"', '"(track - track) / track"'), encoding="utf-8")
    told_so = run("check", job, "--set", "share=0.5").output
    assert "as its file has it the job cannot be made: nothing to compare with" in told_so


def test_papers_of_a_trial_say_so_and_leave_those_of_the_job_alone(job: Path) -> None:
    assert run("make", job).exit_code == 0
    own = {path: path.read_bytes() for path in Path("output/stay").rglob("*") if path.is_file()}
    told = run("make", job, "--set", "track = 1500 mm")
    assert told.exit_code == 0, told.output
    assert "with track = 1500 mm in place of 1480 mm:" in told.output
    assert "the papers in output/stay and their record stay as they are" in told.output
    assert {path: path.read_bytes() for path in Path("output/stay").rglob("*") if path.is_file()} == own
    trial = Path("output/stay-with-track-1500-mm")
    assert not (trial / "issued.json").exists()
    assert not (trial / "changes.txt").exists()
    first = " ".join(PdfReader(trial / "cut-list.pdf").pages[0].extract_text().split())
    assert "made with track = 1500 mm in place of 1480 mm" in first
    assert "saw length 1480.0 to 1500.0 mm" in first
    for paper in trial.glob("*.pdf"):
        for page in PdfReader(paper).pages:
            assert "trial: track = 1500 mm" in " ".join(page.extract_text().split()), paper
    data = json.loads((trial / "job.json").read_text(encoding="utf-8"))
    assert data["job"]["tried"][0]["name"] == "track"
    # What the job's own next papers say is counted from its own last ones.
    assert "Changed since" not in run("make", job).output


def test_a_trial_has_no_papers_to_forget(job: Path) -> None:
    assert run("make", job, "--set", "track=1500", "--nothing-cut").exit_code == 2


def test_the_page_of_a_trial(job: Path) -> None:
    told = run("look", job, "--set", "track=1500")
    assert told.exit_code == 0, told.output
    assert "with track = 1500 mm in place of 1480 mm:" in told.output
    page = Path("output/stay-with-track-1500/page.html").read_text(encoding="utf-8")
    assert "(trial: track = 1500 mm)" in page
    assert not Path("output/stay").exists()


def test_images_of_a_mirror_follow(job: Path) -> None:
    """A job with a mirror is read again once its parts are known, with the same figures."""
    mirrored = """
    [[plate]]
    mark = "P2"
    thickness = 4
    rectangle = [80, 60]
    place = { against = "T1", at = "half / 4", side = "top" }
    [[mirror]]
    parts = ["P2"]
    """
    job.write_text(JOB.format(units="mm") + mirrored, encoding="utf-8")
    told = run("check", job, "--set", "half=700").output
    assert "T1: saw length 1480.0 to 1400.0 mm" in told


def test_the_shell_offers_the_names(job: Path) -> None:
    context = typer.Context(typer.main.get_command(app))
    context.params["job"] = job
    assert dimension_names(context, "tr") == [("track=", "now 1480 mm")]
    assert len(dimension_names(context, "")) == 4
    context.params["job"] = Path("nowhere.toml")
    assert dimension_names(context, "") == []
    context.params["job"] = None
    assert dimension_names(context, "") == []
    context.args.append("stay.toml")
    assert dimension_names(context, "le") == [("lean=", "now 10 deg")]
