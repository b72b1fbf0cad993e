"""What moves in the scene, against the mechanism: each end of each rod, damper and wheel is where its body has it."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fabgen.app.hands import with_own_images
from fabgen.app.work import WorkedJob, built, planned
from fabgen.documents.page.page_html import page_html
from fabgen.documents.scene.beside import wires
from fabgen.documents.scene.travelling import MOST, travels
from fabgen.job.reader import read_job
from fabgen.motion.travel import Follow
from fabgen.parts.shape.directions import array

ROOT = Path(__file__).parents[2]
JOB = ROOT / "templates" / "suspension.toml"


@pytest.fixture(scope="module")
def work() -> WorkedJob:
    loaded = with_own_images(read_job(JOB))
    return planned(loaded, built(loaded), None, None)


@pytest.fixture(scope="module")
def shown(work: WorkedJob) -> dict[str, Any]:
    assert work.movement is not None
    return travels(work.movement, work.pieces)


def poses(shown: dict[str, Any], number: int) -> np.ndarray[Any, Any]:
    travel = shown["travels"][number]
    values = np.frombuffer(base64.b64decode(travel["poses"]), dtype="<f4")
    return values.reshape(-1, len(travel["driver"]), 3, 4)


def carried(pose: np.ndarray[Any, Any], point: Any) -> np.ndarray[Any, Any]:
    return np.asarray(pose[:, :, :3] @ np.asarray(point) + pose[:, :, 3])


@pytest.mark.parametrize("number", [0, 1])
def test_rods_dampers_and_wheels_are_where_the_mechanism_has_them(
    work: WorkedJob, shown: dict[str, Any], number: int
) -> None:
    movement = work.movement
    assert movement is not None
    linkage, made = movement.linkage, poses(shown, number)
    follow = Follow(linkage, list(movement.sweeps[number].places))
    assert follow.count == made.shape[1] <= MOST
    rides = dict(zip([piece.mark for piece in work.pieces], shown["rides"], strict=False))
    count = 0
    for rod in linkage.rods:
        (mover,) = rides[rod.mark]
        for body, end in zip(rod.bodies, rod.ends, strict=True):
            assert carried(made[mover], end) == pytest.approx(follow.point(body, end), abs=0.01)
            count += 1
    beside = dict(zip([wire.name for wire in wires(linkage.job)], shown["rides"][len(work.pieces) :], strict=True))
    for damper in linkage.job.damper:
        for mover, point in zip(beside[damper.name], damper.between, strict=True):
            now = follow.point(linkage.body_of(point), array(point))
            assert carried(made[mover], array(point)) == pytest.approx(now, abs=0.01)
            count += 1
    for wheel in linkage.job.wheel:
        (mover,) = beside[wheel.name]
        centre = array(wheel.centre)
        assert carried(made[mover], centre) == pytest.approx(follow.point(linkage.number(wheel.on), centre), abs=0.01)
        count += 1
    assert count >= 12
    turned = made[:, :, :, :3]
    assert np.abs(turned @ turned.transpose(0, 1, 3, 2) - np.eye(3)).max() < 1e-5, "nothing is stretched"


def test_where_it_is_drawn_nothing_has_moved(shown: dict[str, Any]) -> None:
    for number, travel in enumerate(shown["travels"]):
        assert np.abs(poses(shown, number)[:, travel["drawn"]] - np.eye(3, 4)).max() < 1e-3


def test_the_frame_stays(work: WorkedJob, shown: dict[str, Any]) -> None:
    rides = dict(zip([piece.mark for piece in work.pieces], shown["rides"], strict=False))
    assert rides["S-L"] is None
    assert rides["L1-L"] is not None
    assert rides["AF-L"] is not None


def test_the_nearest_two_are_those_of_the_clearances(work: WorkedJob, shown: dict[str, Any]) -> None:
    movement = work.movement
    assert movement is not None
    for number, travel in enumerate(shown["travels"]):
        by_names = {(each.one, each.other): each for each in movement.clearances[number]}
        for place, (one, other, said, enough, where) in enumerate(travel["near"]):
            pair = by_names[one, other]
            clear = float(pair.clear[place])
            assert said == f"{clear:.1f} mm apart".replace(".0 mm", " mm")
            assert enough == (clear >= pair.wanted)
            # The points lie on the cores, of which a tyre's is rounded by its shoulder.
            assert np.linalg.norm(np.subtract(where[:3], where[3:])) >= clear - 0.2
            assert np.ptp(pair.clear) > 0.05


def test_a_job_that_does_not_move_has_no_slider(work: WorkedJob) -> None:
    still = page_html(work.job.definitions.job, work.pieces, work.plan, work.findings)
    assert 'id="travel"' not in still
    moving = page_html(work.job.definitions.job, work.pieces, work.plan, work.findings, movement=work.movement)
    assert 'id="travel"' in moving
