"""The Sandpiper's subframe: bolts by tape, new tubes on a frame that is there already, brackets on both."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fabgen.app.work import WorkedJob, work_on
from fabgen.parts.piece import Piece, to_make
from fabgen.parts.shape.bored.hole_ways import hole_ways
from fabgen.plan.effort import Effort

SAMPLE = Path(__file__).parent.parent / "sample_parts" / "sandpiper-subframe.toml"
NOTES = {"tight-heel", "open-side", "open-ends", "runs-on", "thread-in-joint"}
OLD = {"F", "T", "M", "U-L", "U-R", "S-L", "S-R"}
JIG = {"LF": (19.0, 11.5, 8.4), "LR": (8.0, 12.3, 8.2)}
"""Where the tapes were held, in; each was read to 1/16 in."""


@pytest.fixture(scope="module")
def worked() -> WorkedJob:
    return work_on(SAMPLE, effort=Effort.QUICK)


@pytest.fixture(scope="module")
def pieces(worked: WorkedJob) -> dict[str, Piece]:
    return {piece.mark: piece for piece in worked.pieces}


def test_what_is_found_are_the_notes_that_its_remarks_explain(worked: WorkedJob) -> None:
    found = worked.findings
    assert {finding.level for finding in found} == {"note"}
    assert {finding.rule for finding in found} == NOTES


def test_the_taped_bolts_are_where_they_were(worked: WorkedJob) -> None:
    for name, at in JIG.items():
        assert np.array(worked.job.definitions.points[name].xyz) == pytest.approx(25.4 * np.array(at), abs=1.6)


def test_new_tubes_sit_on_the_old_and_the_old_are_not_cut(pieces: dict[str, Piece]) -> None:
    for mark, onto in (("R-L", "F"), ("R-R", "F"), ("D-L", "M"), ("D-R", "M")):
        part = pieces[mark].length_part
        assert part is not None
        assert [joint.onto for joint in part.ends[0].joints] == [onto]
    assert {mark for mark, piece in pieces.items() if piece.state == "there already"} == OLD
    assert not {piece.mark for piece in to_make(pieces.values())} & OLD


def test_a_bracket_holds_every_bolt(worked: WorkedJob, pieces: dict[str, Piece]) -> None:
    """Both sides: the axis of its holes goes through the bolt's taped middle."""
    part = pieces["B1"].flat_part
    assert part is not None
    assert len(part.places) == pieces["B1"].quantity == 4
    points = worked.job.definitions.points
    bolts = [np.array(points[name + side].xyz) for name in JIG for side in ("", "-R")]
    for bolt in bolts:
        aside = [np.linalg.norm(np.cross(bolt - way.centre, way.axis)) for way in hole_ways(pieces["B1"])]
        assert sum(each < 0.2 for each in aside) >= 2, aside
