"""Rods that turn about themselves: noted, not counted, no hindrance to the study; what hangs loose still stops it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from moving_jobs import STEERED, studied

from fabgen.checks.motion.motion_checks import movement_findings
from fabgen.motion.movement import Movement

ROD_BODY = STEERED.replace('[[body]]\nname = "hub"', '[[body]]\nname = "track rod"\n\n[[body]]\nname = "hub"').replace(
    STEERED[STEERED.index("[[link]]") : STEERED.index("[[body]]")],
    "".join(
        f'[[joint]]\nname = "{name}"\nkind = "ball"\nbetween = ["track rod", "{body}"]\nat = "{at}"\n\n'
        for name, body, at in (("inner", "rack", "RACK"), ("outer", "hub", "STEER"))
    ),
)


STRUT = STEERED.replace(
    "[[joint]]",
    """[[body]]
name = "upper"
[[body]]
name = "lower"
[[joint]]
name = "eye"
kind = "ball"
between = ["frame", "upper"]
at = "UP"
[[joint]]
name = "foot"
kind = "ball"
between = ["lower", "hub"]
at = "W"
[[joint]]
name = "tube"
kind = "slider"
between = ["upper", "lower"]
at = "UP"
axis = "W"
[[joint]]""",
    1,
)


def stops(movement: Movement) -> list[str]:
    return [finding.rule for finding in movement_findings(movement) if finding.level == "stop"]


def spun(movement: Movement) -> list[str]:
    return [movement.linkage.mechanism.bodies[body] for spin in movement.linkage.spins for body in spin.bodies]


def test_a_rod_given_as_a_body_moves_as_the_link_rod_does() -> None:
    rod, link = studied(ROD_BODY), studied(STEERED)
    assert spun(rod) == ["track rod"]
    assert stops(rod) == []
    (one,), (other,) = rod.sweeps, link.sweeps
    assert one.wheels[0].toe == pytest.approx(other.wheels[0].toe, abs=1e-7)
    assert np.ptp(one.wheels[0].toe) > math.radians(10.0)


def test_it_is_noted_once_with_the_link_rods() -> None:
    for text, name in ((ROD_BODY, "track rod"), (STEERED, "L1")):
        (finding,) = (each for each in movement_findings(studied(text)) if each.rule == "spins")
        assert (finding.level, finding.marks) == ("note", (name,))


def test_a_strut_of_two_bodies_turns_as_one_in_a_slider_and_each_for_itself_in_a_sleeve() -> None:
    slider, sleeve = (
        studied(STRUT),
        studied(STRUT.replace('name = "tube"\nkind = "slider"', 'name = "tube"\nkind = "sleeve"')),
    )
    assert [len(spin.bodies) for spin in slider.linkage.spins] == [2]
    assert [len(spin.bodies) for spin in sleeve.linkage.spins] == [1, 1]
    for movement in (slider, sleeve):
        assert stops(movement) == []
        assert movement.sweeps[0].wheels[0].toe == pytest.approx(studied(STEERED).sweeps[0].wheels[0].toe, abs=1e-7)


@pytest.mark.parametrize(
    "hurts",
    [
        ROD_BODY.replace('name = "track rod"', 'name = "track rod"\npoints = ["UP"]'),  # a point that swings round
        ROD_BODY.replace('name = "track rod"', 'name = "track rod"\nmarks = ["T1"]'),  # a tube beside the line
        ROD_BODY.replace('on = "hub"', 'on = "track rod"'),  # a wheel on it
        # a third ball beside the line, on a body that is held no more
        STEERED.replace('kind = "hinge"', 'kind = "ball"', 1).replace("axis = [0, 0, 1]", "", 1),
        STEERED.replace('kind = "slider"', 'kind = "sleeve"').replace('points = ["RACK"]', 'points = ["RACK", "UP"]'),
    ],
)
def test_a_turn_that_swings_something_round_still_stops_the_study(hurts: str) -> None:
    movement = studied(hurts)
    assert stops(movement) == ["freedoms"]
    assert "too many" in next(each.text for each in movement_findings(movement) if each.rule == "freedoms")


def test_a_rack_that_turns_in_its_guide_does_no_harm() -> None:
    movement = studied(STEERED.replace('kind = "slider"', 'kind = "sleeve"'))
    assert spun(movement) == ["rack"]
    assert stops(movement) == []


def test_a_job_that_counts_the_turn_is_not_said_to_bind() -> None:
    still = ROD_BODY[: ROD_BODY.index("[[sweep]]")]
    for count in (1, 2):
        assert stops(studied(f"{still}[movement]\nfreedoms = {count}\n")) == []
    assert stops(studied(f"{still}[movement]\nfreedoms = 3\n")) == ["binds"]


def test_a_bought_body_moves_as_one_that_is_made() -> None:
    bought = studied(ROD_BODY.replace('name = "track rod"', 'name = "track rod"\nstate = "bought"'))
    assert spun(bought) == ["track rod"]
    assert stops(bought) == []
    assert bought.sweeps[0].wheels[0].toe == pytest.approx(studied(ROD_BODY).sweeps[0].wheels[0].toe)


def test_a_motion_that_hurts_is_told_without_the_turns_that_do_not() -> None:
    loose = ROD_BODY.replace('kind = "slider"', 'kind = "sleeve"').replace('["RACK"]', '["RACK", "UP"]')
    (finding,) = (each for each in movement_findings(studied(loose)) if each.rule == "freedoms")
    assert "rack turns about the line through" in finding.text
    assert "track rod" not in finding.text
