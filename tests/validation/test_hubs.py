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

ROOM = {"weld-access", "shallow-cope"}


def wheel(ends: int, drop: float = 0.0, section: str = "33.7 x 2.6", units: str = "mm", more: str = "") -> str:
    """Spokes of 1 m (40 in) from the middle; they fall by `drop` toward their far ends."""
    far = 1000.0 if units == "mm" else 40.0
    lines = [f'[job]\ntitle = "t"\nnumber = "1"\nunits = "{units}"', more]
    for i in range(ends):
        a = 2.0 * math.pi * i / ends
        route = [[0, 0, 0], [round(far * math.cos(a), 6), round(far * math.sin(a), 6), -drop]]
        lines.append(f'[[tube]]\nmark = "T{i}"\nsection = "{section}"\nroute = {route}')
    return "\n".join(lines)


def spokes(ways: list[tuple[float, float]], section: str = "33.7 x 2.6", more: str = "") -> str:
    """Spokes of 1 m at these angles round and up, degrees."""
    lines = ['[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"', more]
    for i, (round_, up) in enumerate(ways):
        a, b = math.radians(round_), math.radians(up)
        far = [1000.0 * math.cos(b) * math.cos(a), 1000.0 * math.cos(b) * math.sin(a), 1000.0 * math.sin(b)]
        route = [[0, 0, 0], [round(x, 9) for x in far]]
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


@pytest.mark.parametrize(
    ("angles", "hub", "section"),
    [
        ([17.0, 107.0, 197.0, 287.0], "60 x 60 x 4", "40 x 40 x 3"),
        ([10.0, 100.0, 190.0], "80 x 50 x 4", "33.7 x 2.6"),
        ([0.0, 60.0, 120.0, 180.0, 240.0, 300.0], "bar 90", "33.7 x 2.6"),
    ],
)
def test_tubes_land_whole_on_a_square_and_a_solid_hub(angles: list[float], hub: str, section: str) -> None:
    """However the tubes stand round it, a square hub turns its faces to them."""
    text = spokes([(angle, -7.0) for angle in angles], section, f'{NODE}hub = "{hub}"\nhub_along = [0, 0, 1]')
    found = parts(text)
    solid = found.pop("HUB")
    assert solid.frame is not None
    for part, angle in zip(found.values(), angles, strict=True):
        end = part.ends[0]
        assert not end.line.misses
        foot = end_profile(part.section, end).walls(end.frame).skin + end.line.x[:, None] * end.frame.x
        along = (foot - solid.frame.origin) @ solid.frame.x
        assert along.min() >= 9.5
        assert along.max() <= solid.length - 9.5
        if "x" in hub:
            askew = math.radians(angle) - math.atan2(solid.frame.z[1], solid.frame.z[0])
            assert abs(math.sin(2.0 * askew)) < 1e-6
    assert said(text) <= ROOM


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
        (HUB, "114.3 x 5", "no round tube as sold, up to 273 x 8"),
        (HUB, "bar 40", "no round tube as sold has the wall of 10 mm"),
        (NODE + 'hub = "30 x 30 x 3"', "33.7 x 2.6", "narrower than T0"),
        (NODE + 'hub = "114.3 x 5"', "33.7 x 2.6", "T1 lands on top of T0"),
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


def test_how_near_a_node_lies_to_the_ends_it_speaks_of() -> None:
    """At 1 mm, however that lies."""
    for off, near in ((0.99, True), (1.01, False), (0.99 / math.sqrt(3), True), (1.01 / math.sqrt(3), False)):
        at = [off, 0, 0] if off > 0.6 else [off] * 3
        text = wheel(3, more=f'[[node]]\nat = {at}\nruns = "T1"')
        assert ("node-nowhere" in said(text)) != near


def test_how_far_six_ends_may_lean_to_be_told_of_a_disc() -> None:
    """Half a degree."""
    for angle, told in ((0.495, True), (0.505, False)):
        drop = 1000.0 * math.tan(math.radians(angle))
        (found,) = (f for f in run_checks(checked(wheel(6, drop))) if f.rule == "many-ends")
        assert ('"disc"' in found.text) == told


# -- limits, from both sides ----------------------------------------------------------------------
UPRIGHT = NODE + "hub_along = [0, 0, 1]\n"


def hub_of(text: str) -> LengthPart:
    return parts(text)["HUB"]


def test_how_flat_a_tube_may_lie_to_its_hub() -> None:
    """20 degrees from the hub's own direction."""
    assert "HUB" in parts(spokes([(0, 0), (120, 0), (240, 69.8)], more=UPRIGHT))
    with pytest.raises(JobError, match="T2 runs within 20 degrees"):
        read_text(spokes([(0, 0), (120, 0), (240, 70.2)], more=UPRIGHT))


def test_how_near_to_one_another_ends_meet() -> None:
    """At 1 mm."""
    for off, count in ((0.99, 6), (1.01, 5)):
        text = wheel(6, more=HUB).replace("[[0, 0, 0], [1000.0, 0.0, -0.0]]", f"[[{off}, 0, 0], [1000.0, 0.0, 0]]")
        assert str(off) in text
        assert ("HUB" in parts(text)) == (count == 6)


def test_feet_keep_the_sum_of_their_walls_apart() -> None:
    """At 30 degrees feet 30 wide keep 6.336 mm on 139.7: walls of 3.168 each just fit there."""
    apart = 2.0 * (math.sqrt(69.85**2 - 15.0**2) * math.sin(math.radians(15)) - 15.0 * math.cos(math.radians(15)))
    assert hub_of(wheel(12, section=f"30 x {0.99 * apart / 2.0}", more=HUB)).section.width == 139.7
    assert hub_of(wheel(12, section=f"30 x {1.01 * apart / 2.0}", more=HUB)).section.width == 168.3


def test_a_hub_is_no_thinner_than_what_lands_on_it() -> None:
    """48.3 x 4 for walls up to 4, then 76.1 x 5."""
    assert hub_of(spokes([(0, 0), (180, 0)], "26.9 x 3.96", UPRIGHT)).section.width == 48.3
    assert hub_of(spokes([(0, 0), (180, 0)], "26.9 x 4.04", UPRIGHT)).section.width == 76.1


def test_feet_keep_ten_millimetres_from_the_rims() -> None:
    """20 up from the middle and 10 of room are 30; a little more is 35, by steps of 5."""
    for size, length in ((39.6, 60.0), (40.4, 70.0)):
        assert hub_of(spokes([(0, 0), (180, 0)], f"{size} x 2", UPRIGHT)).length == pytest.approx(length)


def test_in_inches_the_rims_lie_on_quarters() -> None:
    """5/8 up and 10 mm of room are 1.019 in: 1 1/4 either way."""
    assert hub_of(wheel(8, section="1 1/4 x 0.12", units="in", more=HUB)).length / 25.4 == pytest.approx(2.5)


def test_how_narrow_a_hub_may_be_given() -> None:
    two = [(0.0, 0.0), (180.0, 0.0)]
    assert "HUB" in parts(spokes(two, more=f'{UPRIGHT}hub = "{33.7 * 1.01} x 3"'))
    assert "HUB" in parts(spokes(two, "30 x 30 x 2", more=f'{UPRIGHT}hub = "{30 * 1.01} x {30 * 1.01} x 3"'))
    with pytest.raises(JobError, match=r"the hub of 33.36 x 3 is narrower than T0 \(33.7 x 2.6\)"):
        read_text(spokes(two, more=f'{UPRIGHT}hub = "{33.7 * 0.99} x 3"'))
    with pytest.raises(JobError, match="is narrower than T0"):
        read_text(spokes(two, "30 x 30 x 2", more=f'{UPRIGHT}hub = "{30 * 0.99} x {30 * 0.99} x 3"'))


def test_feet_on_a_hub_that_is_given_do_not_lie_over_one_another() -> None:
    """16.85 beside their axes at 30 degrees they touch where R sin 15 = 16.85: 130.2 across."""
    touch = 2.0 * 16.85 / math.sin(math.radians(15.0))
    assert "HUB" in parts(wheel(12, more=f'{NODE}hub = "{1.01 * touch} x 5"'))
    with pytest.raises(JobError, match="lands on top of") as caught:
        read_text(wheel(12, more=f'{NODE}hub = "{0.99 * touch} x 5"'))
    assert "accepted: 168.3 x 6.3" in str(caught.value)


# -- tubes drawn along their faces ------------------------------------------------------------------
UNEQUAL = ("60 x 40 x 3", "40 x 40 x 3", "33.7 x 2.6")


def box_by_its_outside(sections: tuple[str, str, str]) -> str:
    """A box of 900 x 700 x 600 over all, its tubes along, across and up each of a section, a hub at one corner."""
    corners = list(itertools.product((0, 900), (0, 700), (0, 600)))
    edges = [
        (a, b) for a, b in itertools.combinations(corners, 2) if sum(x != y for x, y in zip(a, b, strict=True)) == 1
    ]
    edges.sort(key=lambda edge: edge[0] != (0, 0, 0))
    lines = ['[job]\ntitle = "t"\nnumber = "1"\nunits = "mm"\nlies = "outside"']
    lines.append('[[node]]\nat = [0, 0, 0]\ncorners = "hub"')
    for i, (one, other) in enumerate(edges):
        section = sections[next(k for k in range(3) if one[k] != other[k])]
        route = [list(one), list(other)]
        lines.append(f'[[tube]]\nmark = "T{i}"\nsection = "{section}"\nturn = 0\nroute = {route}')
    return "\n".join(lines)


@pytest.mark.parametrize("sections", [("40 x 40 x 3",) * 3, UNEQUAL])
def test_a_hub_where_tubes_are_drawn_along_their_outside(sections: tuple[str, str, str]) -> None:
    """Their axes pass one another by: the hub stands at the point nearest to them, and every foot lies on it whole."""
    found = parts(box_by_its_outside(sections))
    hub = found["HUB"]
    assert hub.frame is not None
    for mark in ("T0", "T1", "T2"):
        end = found[mark].ends[0]
        assert [joint.onto for joint in end.joints] == ["HUB"]
        assert not end.line.misses
        foot = end_profile(found[mark].section, end).walls(end.frame).skin + end.line.x[:, None] * end.frame.x
        along = (foot - hub.frame.origin) @ hub.frame.x
        assert along.min() >= 9.5
        assert along.max() <= hub.length - 9.5


@pytest.mark.parametrize("at", ["[0, 0, 0]", "[20, 20, 20]"])
@pytest.mark.parametrize("how", ['corners = "mitred"', 'runs = "T2"', 'corners = "hub"'])
def test_a_node_of_tubes_drawn_along_their_outside_may_be_named_by_either_point(at: str, how: str) -> None:
    text = box_by_its_outside(("40 x 40 x 3",) * 3)
    assert said(text.replace('at = [0, 0, 0]\ncorners = "hub"', f"at = {at}\n{how}")) <= ROOM


@pytest.mark.slow
def test_tubes_drawn_along_their_outside_land_on_the_hub_alone() -> None:
    found = parts(box_by_its_outside(UNEQUAL))
    hub = found["HUB"]
    meshes = [whole_tube(found[mark]) for mark in ("HUB", "T0", "T1", "T2")]
    for one, other in itertools.combinations(meshes, 2):
        assert (one ^ other).volume() < 0.02 * hub.section.perimeter * hub.section.wall
