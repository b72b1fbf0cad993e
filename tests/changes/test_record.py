"""The record of issued papers: what a make compares with, and what it leaves for the next."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from jobs import definitions, pieces_of
from jsonschema import Draft202012Validator

from fabgen.app.work import built
from fabgen.changes.issuing import Issuing, issuing
from fabgen.changes.record import NotARecordError, Record, read_record
from fabgen.job.reader import read_job
from fabgen.parts.piece import Piece

ROOT = Path(__file__).parents[2]
SAMPLES = [*sorted(ROOT.glob("sample_parts/*.toml")), *sorted(ROOT.glob("templates/*.toml"))]
SCHEMA: dict[str, Any] = json.loads(files("fabgen.changes").joinpath("issued.schema.json").read_text("utf-8"))


def made(
    length: float, kept: Issuing | None = None, revision: str = "A", number: str = "1", afresh: bool = False
) -> Issuing:
    """A make of a job of one tube, into the folder that the make `kept` left."""
    tube = {"mark": "T1", "section": "30 x 3", "route": [[0, 0, 0], [length, 0, 0]]}
    job = definitions({"revision": revision, "number": number}, tube=[tube])
    return issuing(job.job, list(pieces_of(job)), None if kept is None else kept.record.encode(), afresh)


def said(issue: Issuing) -> list[tuple[str, str]]:
    return [(each.heading, change.said.words()) for each in issue.lists for change in each.changes]


def test_the_first_make_issues_the_revision_and_has_nothing_to_say() -> None:
    first = made(600)
    assert not first.says_something
    again = made(600, first)
    assert again == first


def test_a_list_stays_until_the_revision_after() -> None:
    """However often papers are made."""
    second = made(612, made(600), "B")
    assert said(second) == [("Changed since revision A", "saw length 600.0 to 612.0 mm")]
    for _ in range(3):
        again = made(612, second, "B")
        assert again == second
    third = made(612, second, "C")
    assert said(third) == []
    assert third.before == "B"
    assert third.says_something


def test_papers_changed_under_their_revision() -> None:
    changed = made(606, made(600))
    assert said(changed) == [("Changed since revision A was first made", "saw length 600.0 to 606.0 mm")]
    assert changed.lists[0].own
    assert made(606, changed) == changed
    assert made(600, changed) == made(600)
    # Papers of both makes of A may hang in the shop: each holder is told.
    assert said(made(612, changed, "B")) == [
        ("Changed since revision A was first made", "saw length 600.0 to 612.0 mm"),
        ("Changed since revision A was last made", "saw length 606.0 to 612.0 mm"),
    ]
    # What A had first and has again is wrong for him who cut by its last papers.
    assert said(made(600, changed, "B")) == [("Changed since revision A was last made", "saw length 606.0 to 600.0 mm")]


def test_changes_of_both_revisions() -> None:
    second = made(612, made(600), "B")
    assert said(made(615, second, "B")) == [
        ("Changed since revision A", "saw length 600.0 to 615.0 mm"),
        ("Changed since revision B was first made", "saw length 612.0 to 615.0 mm"),
    ]


def test_small_steps_add_up() -> None:
    """Each less than is told, but all are measured from what was issued."""
    issue = made(600)
    for step in range(1, 4):
        issue = made(600 + 0.03 * step, issue)
    assert said(issue) == [("Changed since revision A was first made", "saw length 600.00 to 600.09 mm")]


def test_nothing_was_cut_by_the_papers_so_far() -> None:
    afresh = made(606, made(600), afresh=True)
    assert afresh == made(606)
    assert made(606, made(612, made(600), "B"), "B", afresh=True) == made(606, None, "B")


def test_a_record_of_another_job_is_not_compared_with() -> None:
    other = made(606, made(600), number="2")
    assert not other.says_something
    assert other.unused == "is of job 1: job 2 is compared with no earlier papers"


@pytest.mark.parametrize(
    "kept",
    [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"version": 1}', b'{"version": 2, "job": "1", "issues": []}'],
    ids=["empty", "cut off", "a list", "null", "no text", "without issues", "of a later version"],
)
def test_a_damaged_record_is_said_on_the_papers_until_the_next_revision(kept: bytes) -> None:
    tube = {"mark": "T1", "section": "30 x 3", "route": [[0, 0, 0], [600, 0, 0]]}
    job = definitions(tube=[tube])
    issue = issuing(job.job, list(pieces_of(job)), kept)
    assert issue.lost
    assert issue.unused.startswith("cannot be read")
    again = made(600, issue)
    assert again.lost
    assert again.record == issue.record
    assert not again.unused
    assert not made(600, again, "B").lost
    with pytest.raises(NotARecordError):
        read_record(kept)


def test_any_figure_of_the_file_may_be_damaged() -> None:
    """Whatever a disk or an editor does to it: it is a record, or it is said that it is none."""
    text = made(612, made(600), "B").record
    for at in range(0, len(text), 31):
        for other in ("", "}", "9", '"', "\n", "nan"):
            kept = (text[:at] + other + text[at + 1 :]).encode()
            try:
                read_record(kept)
            except NotARecordError:
                continue
            issue = made(600, Issuing((), kept.decode()), "B")
            assert issue.record


@pytest.fixture(scope="module", params=SAMPLES, ids=lambda path: path.stem)
def pieces(request: pytest.FixtureRequest) -> tuple[Any, list[Piece]]:
    job = read_job(request.param)
    return job.definitions.job, built(job)


def test_records_of_all_samples_keep_to_the_schema(pieces: tuple[Any, list[Piece]]) -> None:
    header, parts = pieces
    issue = issuing(header, parts, None)
    Draft202012Validator(SCHEMA).validate(json.loads(issue.record))
    again = issuing(header, parts, issue.record.encode())
    assert again == issue
    assert not again.says_something


def test_the_schema_is_that_of_the_models() -> None:
    assert Record.model_json_schema() == {key: each for key, each in SCHEMA.items() if not key.startswith("$s")}


def test_keys_of_later_versions_are_passed_over() -> None:
    data = json.loads(made(600).record)
    data["colour"] = data["issues"][0]["parts"][0]["weight"] = 1
    assert read_record(json.dumps(data).encode()) == read_record(made(600).record.encode())
