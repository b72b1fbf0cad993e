"""Hubs: short tubes on which many ends land; sizes worked out by hand, copes held against solids (manifold3d)."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from jobs import checked
from test_tubes_in_space import whole_tube

from fabgen.checks.registry import run_checks
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.piece import LengthPart
from fabgen.parts.shape.sections import end_profile

ROOM = {"weld-access", "shallow-cope", "leaning-foot"}


def wheel(ends: int, drop: float = 0.0, section: str = "33.7 x 2.6", units: str = "mm", more: str = "") -> str:
    """Spokes of 1 m (40 in) from the middle; they fall by `drop` toward their far ends."""
    far = 1000.0 if units == "mm" else 40.0
    lines = [f'[job]\ntitle = "t"\nnumber = "1"\nunits = "{units}"', more]
    for i in range(ends):
        a = 2.0 * math.pi * i / ends
        route = [[0, 0, 0], [round(far * math.cos(a), 6), round(far * math.sin(a), 6), -drop]]
        lines.append(f'[[tube]]\nmark = "T{i}"\nsection = "{section}"\nroute = {route}')
    return "\n".join(lines)


def parts(text: str) -> dict[str, LengthPart]:
    return {p.mark: p.length_part for p in checked(text).pieces if p.length_part is not None}


def said(text: str) -> set[str]:
    return {f.rule for f in run_checks(checked(text)) if f.level != "note"}


HUB = 'corners = "hub"'
NODE = '[[node]]\nat = [0, 0, 0]\ncorners = "hub"\n'


def test_the_hub_of_twelve_level_spokes_by_hand() -> None:
    """Feet 33.7 wide at 30 degrees keep 5.2 mm apart on 168.3 and not on 139.7: 2 (R sin 15 - 16.85 cos 15) there.

    Each foot is 33.7 high; with 10 mm to either rim, in steps of 5 mm either side, the hub is 60 mm long.
    """
    hub = parts(wheel(12, more=HUB))["HUB"]
    apart = {
        d: 2.0 * (math.sqrt(d * d / 4.0 - 16.85**2) * math.sin(math.radians(15)) - 16.85 * math.cos(math.radians(15)))
        for d in (139.7, 168.3)
    }
    assert apart[139.7] < 5.2 < apart[168.3]
    assert hub.section.width == 168.3
    assert hub.length == pytest.approx(60.0)


@pytest.mark.parametrize("drop", [0.0, 125.0, 400.0])
@pytest.mark.parametrize("section", ["33.7 x 2.6", "30 x 30 x 2"])
def test_every_spoke_lands_whole_on_the_hub_and_in_no_other(drop: float, section: str) -> None:
    found = parts(wheel(8, drop, section, more=HUB))
    hub = found.pop("HUB")
    assert hub.frame is not None
    for part in found.values():
        end = part.ends[0]
        assert [joint.onto for joint in end.joints] == ["HUB"]
        assert np.isfinite(end.line.x).all()
        foot = end_profile(part.section, end).walls(end.frame).skin + end.line.x[:, None] * end.frame.x
        along = (foot - hub.frame.origin) @ hub.frame.x
        assert along.min() >= 9.9
        assert along.max() <= hub.length - 9.9
    meshes = [whole_tube(part) for part in (hub, *found.values())]
    for one, other in itertools.combinations(meshes, 2):
        assert (one ^ other).volume() < 0.02 * hub.section.perimeter * hub.section.wall
    assert said(wheel(8, drop, section, more=HUB)) <= ROOM


def test_five_ends_get_no_hub_unless_their_node_asks_for_it() -> None:
    assert "HUB" not in parts(wheel(5, more=HUB))
    assert "HUB" in parts(wheel(5, more=NODE))
    assert "HUB" not in parts(wheel(7, more=HUB + '\n[[node]]\nat = [0, 0, 0]\ncorners = "as drawn"'))


def test_a_named_section_and_direction() -> None:
    hub = parts(wheel(4, 300.0, more=NODE + 'hub = "114.3 x 5"\nhub_along = [0, 0, 1]'))["HUB"]
    assert hub.section.width == 114.3
    assert hub.frame is not None
    assert abs(hub.frame.x[2]) == pytest.approx(1.0)


def test_in_inches_the_hub_is_inch_tube() -> None:
    hub = parts(wheel(8, section="1 1/4 x 0.12", units="in", more=HUB))["HUB"]
    assert hub.section.width / 25.4 == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("more", "section", "what"),
    [
        (NODE + 'hub = "26.9 x 2.3"', "33.7 x 2.6", "narrower"),
        (NODE + "hub_along = [1, 0, 0]", "33.7 x 2.6", "runs within 20 degrees"),
        (HUB, "114.3 x 5", "no round tube as sold"),
        (NODE + 'runs = "T0"', "33.7 x 2.6", "runs"),
        ('[[node]]\nat = [0, 0, 0]\ncorners = "mitred"\nhub = "114.3 x 5"', "33.7 x 2.6", "hub"),
    ],
)
def test_a_hub_that_cannot_be(more: str, section: str, what: str) -> None:
    with pytest.raises(JobError, match=what):
        read_text(wheel(12, section=section, more=more))


def test_many_ends_are_a_look_that_writes_out_the_line() -> None:
    found = [f for f in run_checks(checked(wheel(6))) if f.rule == "many-ends"]
    assert [f.text for f in found if '[[node]]` with `at = [0, 0, 0]` and `corners = "hub"`' in f.text]
    assert len(found) == 1
    assert '"disc", as they lie in one plane' in found[0].text
    assert "disc" not in next(f.text for f in run_checks(checked(wheel(6, 200.0))) if f.rule == "many-ends")


@pytest.mark.parametrize(
    "text", [wheel(5), wheel(6, more=HUB), wheel(6, more='[[node]]\nat = [0, 0, 0]\ncorners = "run on"')]
)
def test_few_ends_a_hub_and_a_node_that_says_how_are_no_look(text: str) -> None:
    assert "many-ends" not in said(text)


def test_a_dome_of_48_tubes_with_twelve_ends_at_its_crown() -> None:
    names = {"C": [0, 0, 500]}
    for i in range(12):
        c, s = math.cos(math.pi * i / 6), math.sin(math.pi * i / 6)
        names |= {f"A{i}": [1000 * c, 1000 * s, 375], f"B{i}": [2000 * c, 2000 * s, 0]}
    pairs = [pair for i in range(12) for pair in (("C", f"A{i}"), (f"A{i}", f"B{i}"))]
    pairs += [(f"{ring}{i}", f"{ring}{(i + 1) % 12}") for ring in "AB" for i in range(12)]
    lines = [f'[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n{HUB}\n[points]']
    lines += [f"{name} = {place}" for name, place in names.items()]
    lines += [
        f'[[tube]]\nmark = "T{i}"\nsection = "33.7 x 2.6"\nroute = {list(pair)}'.replace("'", '"')
        for i, pair in enumerate(pairs)
    ]
    job = checked("\n".join(lines))
    assert len([p for p in job.pieces if p.mark != "HUB"]) == 48
    assert {f.rule for f in run_checks(job) if f.level != "note"} <= ROOM


ACROSS = '[[node]]\nat = [500, 0, 0]\ncorners = "hub"\n'
RUNS_ON = '[[tube]]\nmark = "M"\nsection = "48.3 x 3.2"\nroute = [[-400, 400, 0], [400, -400, 0]]\n'


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (wheel(3, more=ACROSS), "no tube's end lies here for a hub"),
        (wheel(3, units="in", more=ACROSS), "no tube's end lies here for a hub"),
        (wheel(3, more=ACROSS.replace("500", "1000")), "only the end of T0 lies here"),
        (wheel(2, more=RUNS_ON + NODE), "a tube runs on through the point where T0, T1 end"),
    ],
)
def test_a_hub_that_nothing_lands_on_is_refused(text: str, what: str) -> None:
    with pytest.raises(JobError, match=what):
        read_text(text)


def test_a_tube_that_cannot_be_read_is_the_only_fault() -> None:
    with pytest.raises(JobError) as caught:
        read_text(wheel(1, section="33,7 y 2", more=NODE))
    assert "hub" not in str(caught.value)


def test_a_node_where_no_tube_ends_changes_nothing() -> None:
    for style in ("mitred", "run on", "as drawn"):
        node = f'[[node]]\nat = [1000, 0, 0]\ncorners = "{style}"\n'
        assert "node-nowhere" not in said(wheel(3, more=node))
        assert "node-nowhere" in said(wheel(3, more=node.replace("1000", "900")))


def test_a_hub_at_the_corner_of_a_frame() -> None:
    frame = '[[frame]]\nmark = "F"\nshape = "box"\nsection = "40 x 40 x 3"\nsize = [900, 600, 500]\nat = [0, 0, 0]\n'
    text = f'[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\n{frame}[[node]]\nat = [20, 20, 20]\ncorners = "hub"\n'
    assert "HUB" in parts(text)
    assert "node-nowhere" not in said(text)
