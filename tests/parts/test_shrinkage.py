"""The allowance for the shrinkage of welded joints, in saw lengths and in all that is measured from the saw cut."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, tube

from fabgen.job.reader import JobError, read_text
from fabgen.parts.piece import LengthPart, Piece

POST = tube("P", (0, 0, 0), (0, 0, 900))
ACROSS = tube("Q", (600, 0, 0), (600, 0, 900))
RAIL = tube("R", (0, 0, 500), (600, 0, 500), section="33.7 x 2.6")
STUB = tube("S", (200, 0, 500), (200, 300, 500), section="26.9 x 2.6")
CORNER = {"cut": "mitre"}


def parts(*tubes: dict[str, Any], **job: Any) -> dict[str, LengthPart]:
    made = checked(definitions(job=job, tube=list(tubes))).pieces
    return {piece.mark: part for piece in made if (part := piece.length_part) is not None}


def longer(*tubes: dict[str, Any]) -> dict[str, float]:
    """By how much each tube is longer for an allowance of 0.8 mm."""
    without, with_it = parts(*tubes), parts(*tubes, shrinkage=0.8)
    return {mark: round(part.length - without[mark].length, 6) for mark, part in with_it.items()}


def test_each_end_that_sits_on_a_tube_has_it() -> None:
    assert longer(POST, ACROSS, RAIL, STUB) == {"P": 0.0, "Q": 0.0, "R": 1.6, "S": 0.8}


def test_a_mitre_has_half_of_it_on_either_tube() -> None:
    one = tube("A", (0, 0, 0), (500, 0, 0), finish=CORNER)
    other = tube("B", (500, 0, 0), (500, 400, 0), start=CORNER)
    assert longer(one, other) == {"A": 0.4, "B": 0.4}


def test_an_end_cut_to_a_plane_on_which_nothing_is_known_to_stand_has_none() -> None:
    level = {"plane": {"at": [0, 0, 0], "normal": [0, 0, 1]}}
    assert longer(tube("A", (0, 0, 0), (200, 0, 800), start=level)) == {"A": 0.0}


def test_what_is_measured_from_the_saw_cut_moves_with_it_and_the_place_in_space_does_not() -> None:
    without, with_it = parts(POST, ACROSS, RAIL, STUB), parts(POST, ACROSS, RAIL, STUB, shrinkage=0.8)
    (before,), (after,) = without["R"].landings, with_it["R"].landings
    assert after.axes - before.axes == pytest.approx(0.8)
    for end, same in zip(with_it["R"].ends, without["R"].ends, strict=True):
        assert end.frame.origin == pytest.approx(same.frame.origin)
        assert end.line.x == pytest.approx(same.line.x)


def test_marks_of_a_bent_tube_move_with_it() -> None:
    hoop = tube("H", (0, 0, 400), (300, 0, 400), (300, 400, 400), section="33.7 x 2.6", bend_radius=120)
    without, with_it = parts(POST, hoop)["H"], parts(POST, hoop, shrinkage=0.8)["H"]
    assert with_it.bends[0].at - without.bends[0].at == pytest.approx(0.8)
    assert with_it.length - without.length == pytest.approx(0.8)


def _piece(shrinkage: float) -> Piece:
    job = definitions(job={"shrinkage": shrinkage}, tube=[POST, ACROSS, RAIL])
    return next(piece for piece in checked(job).pieces if piece.mark == "R")


def test_it_is_stated_where_there_is_some() -> None:
    texts = [fact.text.words("mm") for fact in _piece(0.8).facts if fact.key == "shrinkage"]
    assert texts == ["1.6 mm more in its saw length for its welds"]
    assert not [fact for fact in _piece(0.0).facts if fact.key == "shrinkage"]


@pytest.mark.parametrize(("given", "fits"), [("0", True), ("5", True), ("5.05", False), ("-0.1", False)])
def test_its_limit(given: str, fits: bool) -> None:
    text = f"""[job]
title = "t"
number = "1"
units = "mm"
shrinkage = {given}
[[tube]]
mark = "A"
section = "33.7 x 2.6"
route = [[0, 0, 0], [500, 0, 0]]
"""
    if fits:
        assert read_text(text).definitions.job.shrinkage == float(given)
    else:
        with pytest.raises(JobError, match="from 0 to 5 mm"):
            read_text(text)
