"""A part of sheet is made once a job, and a search for places starts where another's ended."""

from __future__ import annotations

from jobs import definitions

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces, in_place, starting_from
from fabgen.parts.places.settled import Settling
from fabgen.parts.sheet import plate

TUBE = {"mark": "T1", "section": "48.3 x 3.2", "route": [[0, 0, 0], [800, 0, 0]]}


def given(at: float, header: dict[str, str] | None = None) -> Definitions:
    place = {"against": "T1", "at": at, "side": "top"}
    disc = {"mark": "P1", "thickness": 4, "disc": 60, "place": place}
    return definitions(header, tube=[TUBE], plate=[{"mark": "P0", "thickness": 3, "disc": 50}, disc])


def test_a_part_asked_for_again_is_the_same_one() -> None:
    job = given(200.0)
    job = job.model_copy(update={"plate": [part.model_copy(update={"place": []}) for part in job.plate]})
    first, again = plate.pieces(job), plate.pieces(job)
    assert [one.shape is other.shape for one, other in zip(first, again, strict=True)] == [True, True]
    (alone,) = plate.pieces(job.model_copy(update={"plate": job.plate[1:]}))
    assert alone.shape is first[1].shape
    assert (first[1].path, alone.path) == (("plate", 1), ("plate", 0))


def test_a_copy_of_another_metal_or_shape_is_made_anew() -> None:
    job = given(200.0)
    job = job.model_copy(update={"plate": [part.model_copy(update={"place": []}) for part in job.plate]})
    steel, _ = plate.pieces(job)
    metal = job.model_copy(update={"job": job.job.model_copy(update={"material": "6082-T6"})})
    light, _ = plate.pieces(metal)
    assert light.material != steel.material
    assert light.mass < 0.5 * steel.mass
    thicker = job.model_copy(update={"plate": [job.plate[0].model_copy(update={"thickness": 6.0}), job.plate[1]]})
    assert plate.pieces(thicker)[0].thickness == 6.0


def test_a_search_that_starts_where_another_ended_is_over_at_once() -> None:
    job, stood = given(200.0), in_place(given(200.0))[0]
    assert Settling.of(job).finds_more(in_place(job)[1])  # its places are not known yet
    again = starting_from(job, stood)
    assert not Settling.of(again).finds_more(in_place(again)[1])


def test_a_place_that_differs_is_looked_for_anew() -> None:
    stood = in_place(given(200.0))[0]
    moved = all_pieces(starting_from(given(300.0), stood))[-1].flat_part
    afresh = all_pieces(given(300.0))[-1].flat_part
    assert moved is not None
    assert afresh is not None
    assert moved.places[0].frame.origin.tolist() == afresh.places[0].frame.origin.tolist()
    assert abs(moved.places[0].frame.origin[0] - (300.0 - 60.0 / 2.0)) < 1e-6
