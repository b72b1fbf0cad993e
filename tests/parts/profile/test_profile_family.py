"""[[profile]]: which way a section lies, what is done to its ends, how long it is sawn, what it weighs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from faulty_profiles import HEAD, profile, tube
from jobs import checked, pieces_of, read

from fabgen.checks.registry import run_checks
from fabgen.job.errors import JobError
from fabgen.parts.piece import Piece, ProfilePart


def made(*tables: str) -> dict[str, Piece]:
    return {piece.mark: piece for piece in pieces_of(read(HEAD + "".join(tables)))}


def part(piece: Piece) -> ProfilePart:
    assert isinstance(piece.shape, ProfilePart)
    return piece.shape


def spoken(*tables: str) -> list[str]:
    told = run_checks(checked(HEAD + "".join(tables), planned=True))
    return [f"{found.level.value} {found.rule}: {found.text}" for found in told]


# -- which way it lies ---------------------------------------------------------------------
@pytest.mark.parametrize("a", ["top", "bottom", "left", "right"])
@pytest.mark.parametrize("b", ["top", "bottom", "left", "right"])
def test_legs_lie_where_they_are_said_to(a: str, b: str) -> None:
    ways = {"top": (0, 1), "bottom": (0, -1), "left": (1, 0), "right": (-1, 0)}  # (y, z) of the job
    text = profile("L", "[[0, 0, 0], [500, 0, 0]]", "angle 60 x 40 x 5", f'legs = ["{a}", "{b}"]')
    if abs(np.dot(ways[a], ways[b])) > 0:
        with pytest.raises(JobError, match="same way"):
            made(text)
        return
    one = part(made(text)["L"])
    metal = one.frame.outside(np.array([[0.0, y, z] for y, z in one.cross.outline.points(0.1)]))[:, 1:]
    reach = {name: float((metal @ np.array(way)).max()) for name, way in ways.items()}
    for name, way in ways.items():
        expected = 60.0 if way == ways[a] else 40.0 if way == ways[b] else 0.0
        assert reach[name] == pytest.approx(expected, abs=1e-6)


def test_back_flange_and_width_look_where_they_are_said_to() -> None:
    pieces = made(
        profile("C", "[[0, 0, 0], [500, 0, 0]]", "UPN 80", 'back = "bottom"'),
        profile("T", "[[0, 200, 0], [500, 200, 0]]", "T 40 x 40 x 5", 'flange = "left"'),
        profile("F", "[[0, 400, 0], [500, 400, 0]]", "flat 40 x 5", 'width = "left"'),
        profile("G", "[[0, 600, 0], [500, 600, 0]]", "flat 40 x 5", ""),
    )
    sizes = {}
    for mark, piece in pieces.items():
        one = part(piece)
        metal = one.frame.outside(np.array([[0.0, y, z] for y, z in one.cross.outline.points(0.1)]))
        away = metal - one.frame.origin
        sizes[mark] = [*away[:, 1:].min(axis=0).round(3), *away[:, 1:].max(axis=0).round(3)]
    assert sizes["C"] == [-40.0, 0.0, 40.0, 45.0]  # its back down, its toes up
    assert sizes["T"] == [-40.0, -20.0, 0.0, 20.0]  # its flange to the left, its stem to the right
    assert sizes["F"] == [-20.0, -2.5, 20.0, 2.5]
    assert sizes["G"] == [-2.5, -20.0, 2.5, 20.0]


@pytest.mark.parametrize(
    ("section", "key", "said"),
    [
        ("angle 40 x 40 x 4", 'legs = ["bottom", "left"]', "leg a down, leg b to the left"),
        (
            "angle 40 x 40 x 4",
            "legs = [[0, 1, 1], [0, -1, 1]]",
            "leg a toward [0, 0.71, 0.71], leg b toward [0, -0.71, 0.71]",
        ),
        ("UPN 80", 'back = "right"', "back of the web to the right"),
        ("T 40 x 40 x 5", 'flange = "top"', "flange up"),
        ("flat 40 x 5", "", "width upright"),
        ("flat 40 x 5", 'width = "right"', "width across"),
    ],
)
def test_how_it_lies_is_said_once_in_the_words_of_the_bench(section: str, key: str, said: str) -> None:
    piece = made(profile("L", "[[0, 0, 0], [500, 0, 0]]", section, key))["L"]
    assert [fact.text.words() for fact in piece.facts if fact.key == "lies"] == [said]


@pytest.mark.parametrize(
    ("lies", "low"),
    [("heel", (0.0, 0.0)), ("middle", (-20.0, -30.0)), ("leg a outside", (0.0, -30.0)), ("toe b", (-40.0, -2.5))],
)
def test_points_lie_on_the_line_that_is_named(lies: str, low: tuple[float, float]) -> None:
    more = f'legs = ["top", "left"]\nlies = "{lies}"'
    one = part(made(profile("L", "[[0, 0, 0], [500, 0, 0]]", "angle 60 x 40 x 5", more))["L"])
    y, z, *_ = one.cross.outline.bounds
    # A flat face ends where its toe's radius begins, so its middle is off by half of that at most.
    assert (y, z) == (pytest.approx(low[0], abs=2.0), pytest.approx(low[1], abs=2.0))


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("", "which way its legs point"),
        ('legs = ["front", "left"]', "in which the profile runs itself"),
        ('legs = ["top", "left"]\nback = "top"', "back has no meaning for an angle"),
        ('legs = ["top", "left"]\nlies = "heal"', 'an angle has no "heal"'),
        ('legs = ["top", "sideways"]', "sideways"),
        ('legs = ["top", "left"]\nstart = { onto = "T9" }', 'there is no tube, profile or placed plate "T9"'),
        ('legs = ["top", "left"]\nstart = { cut = "mitre" }', "no other profile ends here"),
        ('legs = ["top", "left"]\nstart = { cut = "level" }', "the plane runs along the profile"),
        ('legs = ["top", "left"]\nstart = { cut = "notch" }', "runs into nothing"),
    ],
)
def test_one_clear_error(more: str, words: str) -> None:
    with pytest.raises(JobError, match=words) as error:
        made(profile("L", "[[0, 0, 0], [500, 0, 0]]", more=more))
    assert len(error.value.problems) == 1


def test_round_bar_is_sent_to_tubes() -> None:
    with pytest.raises(JobError, match=r"\[\[tube\]\] with section = \"bar 12\""):
        made(profile("L", "[[0, 0, 0], [500, 0, 0]]", "bar 12", ""))


# -- mitred frames ---------------------------------------------------------------------------
def frame(flat: tuple[str, str, str, str]) -> list[str]:
    """A frame of 600 by 400 on the heel's line, leg a up, leg b of each side to where it is said."""
    corners = ["[0, 0, 0]", "[600, 0, 0]", "[600, 400, 0]", "[0, 400, 0]"]
    return [
        profile(f"L{i + 1}", f"[{corners[i]}, {corners[(i + 1) % 4]}]", more=f'legs = ["top", "{flat[i]}"]')
        for i in range(4)
    ]


def test_frame_with_legs_in_is_mitred_by_itself_and_sawn_to_its_outside() -> None:
    tables = frame(("left", "back", "right", "front"))
    pieces = made(*tables)
    for mark, long in (("L1", 600.0), ("L2", 400.0), ("L3", 600.0), ("L4", 400.0)):
        own = part(pieces[mark])
        assert [end.kind for end in own.ends] == ["mitre", "mitre"]
        assert own.length == pytest.approx(long, abs=1e-6)
        assert all(math.degrees(end.cut.sawn.from_square) == pytest.approx(45.0) for end in own.ends)
    assert not [text for text in spoken(*tables) if text.startswith("stop")]


def test_frame_with_legs_out_is_longer_by_a_leg_at_each_corner() -> None:
    pieces = made(*frame(("right", "front", "left", "back")))
    assert part(pieces["L1"]).length == pytest.approx(680.0, abs=1e-6)
    assert part(pieces["L2"]).length == pytest.approx(480.0, abs=1e-6)


def test_the_wrong_hand_at_a_mitre_is_a_stop_that_says_the_legs() -> None:
    wrong = frame(("left", "front", "right", "front"))
    wrong[0] += 'finish = { cut = "mitre" }\n'
    (text,) = [each for each in spoken(*wrong) if "profile-mitre" in each]
    assert text.startswith("stop")
    assert 'give L2 legs = ["top", "back"]' in text


def test_legs_that_do_not_fit_are_not_mitred_by_themselves() -> None:
    pieces = made(*frame(("left", "front", "right", "front"))[:2])
    assert part(pieces["L1"]).ends[1].kind == "plain"
    assert part(pieces["L2"]).ends[0].kind == "plain"  # it lies before the first one's end


LEG = profile("F", "[[0, 0, -500], [0, 0, 0]]", more='legs = ["front", "left"]')
HANGING = [each.replace('"top"', '"bottom"') for each in frame(("left", "back", "right", "front"))]


@pytest.mark.parametrize("place", [0, 2, 4])
def test_frame_is_mitred_over_a_leg_that_ends_at_its_corner(place: int) -> None:
    """Also where the leg is listed first, though it would fit a mitre with either side by itself."""
    tables = [*HANGING]
    tables.insert(place, LEG)
    pieces = made(*tables)
    assert [end.kind for mark in ("L1", "L2", "L3", "L4") for end in part(pieces[mark]).ends] == ["mitre"] * 8
    leg = part(pieces["F"])
    assert (leg.ends[1].kind, set(leg.ends[1].onto)) == ("face", {"L1", "L4"})
    assert leg.length == pytest.approx(460.0, abs=0.01)  # up to the toes of the hanging legs
    assert not [text for text in spoken(*tables) if text.startswith("stop")]


def test_a_corner_that_stands_up_is_mitred_where_nothing_else_ends() -> None:
    upright = [
        profile("A", "[[0, 0, 0], [0, 400, 0]]", more='legs = ["bottom", "front"]'),
        profile("B", "[[0, 0, 0], [0, 0, -400]]", more='legs = ["left", "front"]'),
    ]
    pieces = made(*upright)
    assert [part(pieces[mark]).ends[0].kind for mark in "AB"] == ["mitre", "mitre"]


def test_mitre_that_the_job_asks_for_goes_before_one_that_fits() -> None:
    asked = HANGING[0] + 'start = { cut = "mitre", onto = "F" }\n'
    pieces = made(asked, HANGING[3], LEG)
    assert (part(pieces["L1"]).ends[0].onto, part(pieces["F"]).ends[1].onto) == (("F",), ("L1",))
    assert part(pieces["L4"]).ends[1].kind != "mitre"


# -- ends that sit on something --------------------------------------------------------------
def test_rung_between_two_rails_is_notched_round_their_flat_legs() -> None:
    rails = [
        profile("L1", "[[0, 0, 0], [600, 0, 0]]"),
        profile("L2", "[[0, 400, 0], [600, 400, 0]]", more='legs = ["top", "right"]'),
    ]
    rung = profile("R", "[[300, 0, 0], [300, 400, 0]]", "angle 30 x 30 x 3", 'legs = ["top", "front"]')
    own = part(made(*rails, rung)["R"])
    assert [(end.kind, end.onto) for end in own.ends] == [("notch", ("L1",)), ("notch", ("L2",))]
    # Its upright leg runs from rail to rail, inside them; its flat leg ends at their flat legs' toes.
    assert own.length == pytest.approx(400.0 - 2 * 4.0, abs=0.01)
    flat = own.ends[0].cut.edge("leg b outside")
    assert float(flat.x.min()) == pytest.approx(40.0, abs=0.01)


@pytest.mark.parametrize("y", [-10.0, -30.0])
def test_end_that_butts_on_a_face_is_sawn_straight(y: float) -> None:
    """Also where its heel lies over the tube's rounded corner, which weld fills."""
    post = tube("T", "[[0, 0, -300], [0, 0, 300]]", "60 x 60 x 3")
    own = part(made(post, profile("L", f"[[0, {y}, 0], [500, {y}, 0]]"))["L"])
    assert (own.ends[0].kind, own.ends[0].onto) == ("face", ("T",))
    assert own.length == pytest.approx(470.0, abs=1e-6)
    slanted = part(made(post, profile("L", f"[[0, {y}, 0], [500, {y}, 500]]"))["L"])
    assert slanted.ends[0].kind == "face"
    assert math.degrees(slanted.ends[0].cut.sawn.from_square) == pytest.approx(45.0)


def test_end_that_lies_partly_beside_a_face_is_sawn_straight_too() -> None:
    post = tube("T", "[[0, 0, -300], [0, 0, 300]]", "60 x 60 x 3")
    own = part(made(post, profile("L", "[[0, 0, 0], [500, 0, 0]]"))["L"])
    assert (own.ends[0].kind, own.length) == ("face", pytest.approx(470.0))


def test_end_on_a_round_tube_is_notched() -> None:
    post = tube("T", "[[0, 0, -300], [0, 0, 300]]")
    own = part(made(post, profile("L", "[[0, -10, 0], [500, -10, 0]]"))["L"])
    assert own.ends[0].kind == "notch"
    # Leg b lies across the tube from y = -10 to 30: the longest place is at its toe, past the tube.
    assert own.length == pytest.approx(500.0, abs=25.0)


def test_laps_are_left_alone() -> None:
    """Legs back to back, and a brace that lies flat on a leg, sit on nothing."""
    rail = profile("L1", "[[0, 0, 0], [600, 0, 0]]")
    back_to_back = profile("L2", "[[0, 0, 0], [600, 0, 0]]", more='legs = ["top", "right"]')
    brace = profile("F", "[[100, -2.5, 20], [400, -2.5, 500]]", "flat 40 x 5", "width = [-480, 0, 300]")
    pieces = made(rail, back_to_back, brace)
    assert [end.kind for end in part(pieces["L2"]).ends] == ["plain", "plain"]
    alone = made(rail, brace)
    assert [end.kind for end in part(alone["F"]).ends] == ["plain", "plain"]
    assert not [text for text in spoken(rail, brace) if text.startswith("stop")]


def test_level_and_plane_and_extended_ends() -> None:
    more = 'legs = ["front", "left"]\nstart = { cut = "level" }\nfinish = { extend = 20 }'
    own = part(made(profile("L", "[[0, 0, 0], [0, 100, 500]]", more=more))["L"])
    assert [end.kind for end in own.ends] == ["level", "plain"]
    assert math.degrees(own.ends[0].cut.sawn.from_square) == pytest.approx(math.degrees(math.atan2(100, 500)))
    plane = 'legs = ["top", "left"]\nstart = { plane = { at = [10, 0, 0], normal = [1, 0, 0] } }'
    flat = part(made(profile("L", "[[0, 0, 0], [500, 0, 0]]", more=plane))["L"])
    assert (flat.ends[0].kind, flat.length) == ("plane", pytest.approx(490.0))


def test_end_on_a_placed_plate_is_sawn_to_its_face() -> None:
    plate = """[[plate]]
mark = "P"
thickness = 8
rectangle = [120, 120]
place = { at = [-60, -60, 0] }
"""
    own = part(made(plate, profile("L", "[[0, 0, 0], [0, 0, 400]]", more='legs = ["front", "left"]'))["L"])
    assert (own.ends[0].kind, own.ends[0].onto) == ("face", ("P",))
    assert own.length == pytest.approx(392.0, abs=1e-6)


# -- mass ----------------------------------------------------------------------------------
def test_mass_is_that_of_the_standard() -> None:
    """EN 10056-1, angle 40 x 40 x 4: 3.08 cm2, 2.42 kg/m."""
    assert made(profile("L", "[[0, 0, 0], [1000, 0, 0]]"))["L"].mass == pytest.approx(2.42, abs=0.005)


def test_a_mitre_takes_metal_by_the_middle_of_the_section() -> None:
    """A frame's four sides weigh what one bar along the line of their centroids weighs (Pappus)."""
    pieces = made(*frame(("left", "back", "right", "front")))
    own = part(pieces["L1"])
    inset = own.cross.centroid[0]
    along = 2.0 * (600.0 - 2.0 * inset) + 2.0 * (400.0 - 2.0 * inset)
    assert sum(p.mass for p in pieces.values()) == pytest.approx(along * own.cross.area * 7850e-9, rel=1e-6)


# -- repeats ---------------------------------------------------------------------------------
def test_a_profile_turned_by_a_repeat_lies_as_the_first_does() -> None:
    """Two sides of a square frame, turned half round about its middle, make the other two."""
    axis = "about = [[200, 200, 0], [200, 200, 100]]"
    pieces = made(
        profile("L1", "[[0, 0, 0], [400, 0, 0]]"),
        profile("L2", "[[400, 0, 0], [400, 400, 0]]", more='legs = ["top", "back"]'),
        f'[[repeat]]\nparts = ["L1", "L2"]\ncount = 2\n{axis}\n',
    )
    for mark in ("L1", "L2", "L1-2", "L2-2"):
        own = part(pieces[mark])
        assert [end.kind for end in own.ends] == ["mitre", "mitre"]
        assert own.length == pytest.approx(400.0, abs=1e-6)
    assert pieces["L1-2"].facts[1].text.words() == "leg a up, leg b to the right"


def test_flat_bar_that_stands_upright_is_turned_with_its_copy() -> None:
    pieces = made(
        profile("F", "[[0, 0, 0], [400, 0, 0]]", "flat 40 x 5", ""),
        '[[repeat]]\nparts = "F"\ncount = 2\nangle = 90\nabout = [[0, 0, 0], [100, 0, 0]]\n',
    )
    assert abs(float(part(pieces["F-2"]).frame.z @ np.array([0, 1, 0]))) == pytest.approx(1.0)


def test_an_end_that_names_a_tube_in_pieces_sits_on_the_piece_there() -> None:
    long = tube("T", "[[0, 0, 0], [2000, 0, 0]]", "60 x 60 x 3") + 'splices = [1000]\nsleeve = "none"\n'
    more = 'legs = ["top", "front"]\nstart = { onto = "T" }'
    own = part(made(long, profile("L", "[[1500, 30, 0], [1500, 500, 0]]", more=more))["L"])
    assert own.ends[0].onto == ("Tb",)


# -- tubes on profiles -----------------------------------------------------------------------
def test_a_tube_that_stands_on_a_leg_is_cut_to_its_face() -> None:
    rail = profile("L1", "[[0, 0, 0], [600, 0, 0]]", "angle 60 x 60 x 6")
    pieces = made(rail, tube("T", "[[300, 36, 0], [300, 36, 400]]", "30 x 30 x 2"))
    end = pieces["T"].shape.ends[0]
    assert (end.cut, end.stands_on) == ("plane", "L1")
    assert pieces["T"].shape.length == pytest.approx(394.0, abs=1e-6)
    leaning = made(rail, tube("T", "[[300, 36, 0], [500, 36, 400]]", "30 x 30 x 2"))["T"].shape.ends[0]
    assert (leaning.cut, leaning.stands_on) == ("plane", "L1")
    named = made(rail, tube("T", "[[300, 36, 6], [300, 36, 400]]", "30 x 30 x 2") + 'start = { onto = "L1" }\n')
    assert named["T"].shape.ends[0].stands_on == "L1"
    assert not [
        text for text in spoken(rail, tube("T", "[[300, 36, 0], [300, 36, 400]]", "30 x 30 x 2")) if "stop" in text
    ]


def test_a_tube_that_names_a_profile_which_it_misses() -> None:
    rail = profile("L1", "[[0, 0, 0], [600, 0, 0]]", "angle 60 x 60 x 6")
    with pytest.raises(JobError, match="stands on no flat face of L1"):
        made(rail, tube("T", "[[300, 136, 0], [300, 136, 400]]", "30 x 30 x 2") + 'start = { onto = "L1" }\n')


# -- welds -------------------------------------------------------------------------------------
def test_welds_are_as_long_as_what_meets() -> None:
    """A face: the width over it; a mitre: half of what the two have in common."""
    post = tube("T", "[[0, 0, -300], [0, 0, 300]]", "60 x 60 x 3")
    own = part(made(post, profile("L", "[[0, -20, 0], [500, -20, 0]]"))["L"])
    assert own.ends[0].weld == pytest.approx(80.0, abs=0.1)
    beside = part(made(post, profile("L", "[[0, 0, 0], [500, 0, 0]]"))["L"])
    assert beside.ends[0].weld == pytest.approx(70.0, abs=4.0)  # leg b reaches past the tube, whose corner is round
    corner = part(made(*frame(("left", "back", "right", "front")))["L1"])
    assert corner.ends[1].weld == pytest.approx((40.0 + 40.0 * math.sqrt(2.0)) / 2.0, abs=0.1)


def test_a_steel_tube_under_an_aluminium_angle_is_said() -> None:
    post = tube("T", "[[0, 0, -300], [0, 0, 300]]", "60 x 60 x 3")
    angle = profile("L", "[[0, -20, 0], [500, -20, 0]]") + 'material = "6082-T6"\n'
    assert [text for text in spoken(post, angle) if "aluminium cannot be welded to steel" in text]


# -- sizes and metals as they are sold ----------------------------------------------------------
def test_an_extruded_angle_has_sharp_corners() -> None:
    """Two rectangles: 40 x 4 and 36 x 4, of aluminium at 2700 kg/m3."""
    text = profile("L", "[[0, 0, 0], [1000, 0, 0]]") + 'material = "6082-T6"\n'
    assert made(text)["L"].mass == pytest.approx(0.304 * 2.7, rel=2e-3)


@pytest.mark.parametrize(
    ("section", "words"),
    [
        ("angle 2 x 2 x 1/4 in", ""),
        ("angle 2 x 2 x 0.25", 'meant "2 x 2 x 0.25 in"'),
        ("flat 900 x 10", "no usual size"),
    ],
)
def test_a_size_that_nobody_sells_is_asked_back(section: str, words: str) -> None:
    more = "" if section.startswith("flat") else 'legs = ["top", "left"]'
    told = [text for text in spoken(profile("L", "[[0, 0, 0], [1000, 0, 0]]", section, more)) if "section-size" in text]
    assert bool(told) == bool(words)
    assert all(words in text for text in told)
