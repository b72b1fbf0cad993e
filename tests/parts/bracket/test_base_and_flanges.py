"""Base and flanges: random trees are folded back by their flats alone, and come out as asked.

What is asked is read from the job's own keys here, `refolding` reads the flat alone: the shape's
builder and its tree have no part in the check.
"""

import math
from typing import Any

import numpy as np
import pytest
from folded_holes import hole_axes
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from one_part import OnePart
from refolding import Folded, refold
from worded import fact_texts

from fabgen.geometry.sheet.folded import extent
from fabgen.job.errors import JobError
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.bracket import bracket
from fabgen.parts.piece import FlatPart

ENDS = {1: ((0, 0), (1, 0)), 2: ((1, 0), (1, 1)), 3: ((0, 1), (1, 1)), 4: ((0, 0), (0, 1))}
"""Left (lower) and right (upper) end of each edge of the base, in widths and heights."""
OUTWARD = {1: (0, -1), 2: (1, 0), 3: (0, 1), 4: (-1, 0)}
NO_ROOM = ("into the bend of", "overlap by", "overlap in the flat", "overlaps", "no length is left", "ends cross")


BRACKET = OnePart("bracket", mark="B1", thickness=3)
made, faults = BRACKET.flat, BRACKET.faults


# -- random trees -----------------------------------------------------------------
@st.composite
def trees(draw: st.DrawFn) -> dict[str, Any]:
    """A base with flanges on some of its edges, some of which carry another or a hem."""
    t = draw(st.sampled_from([1.0, 1.5, 2.0, 3.0, 4.0]))
    width, height = draw(st.floats(90, 220)), draw(st.floats(90, 160))
    flanges = []
    for edge in draw(st.sets(st.integers(1, 4), min_size=1)):
        length = width if edge % 2 else height
        flange = draw_flange(draw, t, length) | {"edge": edge}
        flange["flanges"] = [] if draw(st.booleans()) else [draw_lip(draw, t, flange, length)]
        # One hole well inside the flange, in the middle of what is left of it.
        flanges.append(flange)
    return {
        "thickness": t,
        "radius": draw(st.floats(0.0, 5.0)),
        "k": draw(st.floats(0.2, 0.5)),
        "measured": draw(st.sampled_from(["outside", "inside"])),
        "base": [width, height],
        "relief": draw(st.sampled_from(["round", "rectangular"])),
        "corner": draw(st.sampled_from(["open", "gap", "butt"])),
        "flanges": flanges,
    }


def draw_flange(draw: st.DrawFn, t: float, length: float) -> dict[str, Any]:
    flange: dict[str, Any] = {
        "height": draw(st.floats(45, 80)),
        "angle": draw(st.one_of(st.just(90.0), st.floats(15, 115))),
        "fold": draw(st.sampled_from(["up", "up", "down"])),
    }
    if draw(st.booleans()):
        flange["from"] = draw(st.floats(0.1, 0.35)) * length
    if draw(st.booleans()):
        flange["to"] = draw(st.floats(0.65, 0.9)) * length
    return flange


def draw_lip(draw: st.DrawFn, t: float, on: dict[str, Any], length: float) -> dict[str, Any]:
    if draw(st.integers(0, 3)) == 0:
        return {"hem": draw(st.floats(12, 20)), "gap": draw(st.sampled_from([0.0, 2.0]))}
    far = on.get("to", length) - on.get("from", 0.0)
    lip = {
        "height": draw(st.floats(25, 40)),
        "angle": draw(st.floats(20, 90)),
        "fold": draw(st.sampled_from(["up", "down"])),
    }
    if "from" in on and "to" in on and draw(st.booleans()):
        lip |= {"from": 0.2 * far, "to": 0.8 * far}
    return lip


def folds_as_asked(asked: dict[str, Any]) -> None:
    """Builds the bracket, folds its flat back, and compares every size that was asked."""
    holes = [{"face": "base", "at": [asked["base"][0] / 2, asked["base"][1] / 2], "diameter": 5}]
    wanted = []
    for i, flange in enumerate(asked["flanges"], 1):
        length = asked["base"][0 if flange["edge"] % 2 else 1]
        u = (flange.get("from", 0.0) + flange.get("to", length)) / 2
        wanted.append((i, flange, u, 24.0))
        holes.append({"face": f"flange {i}", "at": [u, 24.0], "diameter": 4})
    try:
        flat = made(**asked, holes=holes)
    except JobError as error:
        # Flanges leaning far out over a corner, or lips wider than what they hang on, can want one place on
        # the flat twice; and a bend that turns far takes a hole's place.  That is refused, and nothing to fold.
        words = [problem.what for problem in error.problems]
        assert all(any(each in word for each in (*NO_ROOM, "leaves face", "too short")) for word in words), words
        assume(False)
    folded = refold(flat)
    assert flat.tree is not None
    for index, (number, flange, u, v) in enumerate(wanted, 1):
        check_flange(folded, asked, flange, f"base / flange {number}", f"flange {number}")
        check_hole(folded, flat, asked, flange, index, number, u, v)
    axes = [axis.centre for axis in hole_axes(flat.tree, flat.thickness)]
    order = [folded.hole(flat, i)[0] for i in range(len(flat.holes))]
    offset = order[0] - axes[0]
    assert np.abs(np.array(axes) + offset - order).max() < 1e-6


def check_flange(folded: Folded, asked: dict[str, Any], flange: dict[str, Any], bend: str, name: str) -> None:
    """Its size over its bend, and the turn between it and what it hangs on."""
    outside = asked["measured"] == "outside"
    near, far = folded.joins[bend]
    turn = math.radians(flange["angle"])
    assert near.normal @ far.normal == pytest.approx(math.cos(turn), abs=1e-9)
    point, along = folded.mould(bend, outside)
    lips = [each for each in folded.joins if each.startswith(f"{name} / ")]
    if lips and "hem" not in flange["flanges"][0]:
        end, _ = folded.mould(lips[0], outside)
        reach = (end - point) @ along
    elif lips:
        # Over a hem: to the outermost line of its fold.
        hem = folded.bends[lips[0]].bend
        corners = folded.joins[lips[0]][0].corners(0.0)
        reach = ((corners - point) @ along).max() + hem.radius + hem.thickness
    else:
        reach = ((far.corners(0.0) - point) @ along).max()
    assert reach == pytest.approx(flange["height"], abs=1e-6)
    for lip, given_lip in zip(lips, flange["flanges"], strict=True):
        if "hem" not in given_lip:
            check_flange(folded, asked, given_lip | {"flanges": []}, lip, "no more")


def check_hole(
    folded: Folded,
    flat: FlatPart,
    asked: dict[str, Any],
    flange: dict[str, Any],
    index: int,
    number: int,
    u: float,
    v: float,
) -> None:
    """The hole lies u along the edge from its left end and v up the flange from its outside corner."""
    size = np.array(asked["base"])
    left, right = (np.array(end) * size for end in ENDS[flange["edge"]])
    base = folded.hole(flat, 0)[0] - np.array([*(size / 2), asked["thickness"] / 2])
    along = (right - left) / np.linalg.norm(right - left)
    mould, up = folded.mould(f"base / flange {number}", True)
    centre, normal = folded.hole(flat, index)
    # Along the edge it is where the base's own corner says.
    assert (centre - base)[:2] @ along - left @ along == pytest.approx(u, abs=1e-6)
    assert (centre - mould) @ up == pytest.approx(v, abs=1e-6)
    # The mould line itself lies over the edge as drawn: on it when sizes are outside.
    if asked["measured"] == "outside":
        out = np.array([*OUTWARD[flange["edge"]], 0.0])
        assert (mould - base) @ out == pytest.approx(np.array([*left, 0.0]) @ out, abs=1e-6)
    assert abs(normal @ np.array([*along, 0.0])) < 1e-9


@settings(max_examples=60)
@given(trees())
def test_random_trees_fold_as_asked(asked: dict[str, Any]) -> None:
    folds_as_asked(asked)


@pytest.mark.slow
@settings(max_examples=1000)
@given(trees())
def test_a_thousand_random_trees_fold_as_asked(asked: dict[str, Any]) -> None:
    folds_as_asked(asked)


# -- single cases -------------------------------------------------------------------
PLAIN: dict[str, Any] = {"base": [100, 60]}
TRAY: dict[str, Any] = {
    "base": [90, 90],
    "thickness": 4,
    "radius": 2,
    "k": 0.5,
    "measured": "outside",
    "relief": "round",
    "corner": "open",
}


@pytest.mark.parametrize("to", [84, 83, 82, 80.16, 77, 76, 75, 60])
def test_a_notch_runs_on_to_a_corner_that_leaves_no_strip_beside_it(to: float) -> None:
    """The bend on edge 2 takes 6 mm: of the 9.84 mm beside a flange up to 80.16 a notch of 4 mm leaves none."""
    hemmed = [{"edge": edge, "height": 45, "angle": 90.0, "flanges": [{"hem": 12, "gap": 0.0}]} for edge in (1, 2)]
    folds_as_asked(TRAY | {"flanges": [*hemmed, {"edge": 3, "height": 45, "angle": 90.0, "to": to, "flanges": []}]})


def test_a_flange_that_ends_in_its_neighbour_s_bend_is_refused_by_name_and_size() -> None:
    (fault,) = faults(**TRAY, flanges=[{"edge": 2, "height": 45}, {"edge": 3, "height": 45, "to": 85}])
    assert 'flange "flange 2" runs 1 mm into the bend of "flange 1"' in fault.what
    assert "6 mm from the corner or more" in fault.what


def test_notches_that_overlap_are_named_with_how_far() -> None:
    base = {"base": [90, 11], "thickness": 3, "radius": 3, "relief": "round"}
    flanges = [{"edge": edge, "height": 45, "from": 20, "to": 70} for edge in (1, 3)]
    (fault,) = faults(**base, flanges=flanges)
    assert 'the notch of "flange 1" and the notch of "flange 2" overlap by 3.00 mm on face "base"' in fault.what


def face(flat: FlatPart, name: str) -> Any:
    assert flat.tree is not None
    return next(each for each in flat.tree.all_faces() if each.name == name)


def test_a_flange_along_a_whole_edge_is_an_angle() -> None:
    flat = made(**PLAIN, flanges=[{"edge": 3, "height": 40}])
    deduction = flat.bends[0].bend.deduction
    assert flat.outline.bounds == pytest.approx((0, 0, 100, 60 + 40 - deduction))
    assert len(flat.outline.vertices) == 4  # type: ignore[union-attr]
    assert dict(flat.sizes)["flange 1, outside"] == 40
    assert dict(flat.sizes)["over all, high"] == pytest.approx(40)


def test_edges_are_numbered_as_the_corners_are_listed() -> None:
    """The first edge lies between corner 1 and corner 2, whichever way round they go."""
    corners = [[0, 0], [100, 0], [120, 60], [0, 60]]
    there = made(
        base=corners, flanges=[{"edge": 2, "height": 30}], holes=[{"face": "base", "at": [50, 30], "diameter": 5}]
    )
    back = made(
        base=corners[::-1], flanges=[{"edge": 2, "height": 30}], holes=[{"face": "base", "at": [50, 30], "diameter": 5}]
    )
    assert there.outline.area == pytest.approx(back.outline.area)
    assert there.bends[0].start == pytest.approx(back.bends[0].start)


def test_from_and_to_count_from_the_left_and_from_below() -> None:
    flanges = [{"edge": edge, "height": 30, "from": 10, "to": 30} for edge in (1, 2, 3, 4)]
    flat = made(**PLAIN, flanges=flanges, holes=[{"face": "base", "at": [50, 30], "diameter": 5}])
    folded = refold(flat)
    for number, axis in ((1, 0), (2, 1), (3, 0), (4, 1)):
        far = folded.joins[f"base / flange {number}"][1].corners(0.0)
        base = folded.hole(flat, 0)[0][:2] - np.array([50, 30])
        span = far[:, axis] - base[axis]
        assert (span.min(), span.max()) == pytest.approx((10, 30))


def test_a_closed_hem_takes_043_of_the_thickness_from_its_legs() -> None:
    """Flat = legs over the fold less 0.43 t: the rule (common practice) that its K of 0.5 stands for."""
    flat = made(**PLAIN, thickness=2, flanges=[{"edge": 3, "hem": 12}])
    assert flat.outline.bounds[3] == pytest.approx(60 + 12 - 0.43 * 2, abs=0.005)
    assert extent(flat.tree, 2.0)[1:] == pytest.approx((60, 4))  # type: ignore[arg-type]


def test_an_open_hem_keeps_its_gap() -> None:
    flat = made(**PLAIN, thickness=2, flanges=[{"edge": 3, "hem": 12, "gap": 3}])
    assert extent(flat.tree, 2.0)[1:] == pytest.approx((60, 7))  # type: ignore[arg-type]
    bend = flat.bends[0].bend
    assert bend.allowance == pytest.approx(math.pi * (1.5 + bend.k * 2))
    assert flat.outline.bounds[3] == pytest.approx(60 + 12 - 2 * 3.5 + bend.allowance)


def test_flanges_on_the_sides_of_a_flange() -> None:
    """Their u counts from the outside corner of the flange's own fold."""
    side = {"edge": "right", "height": 20, "from": 15, "to": 40}
    flat = made(
        **PLAIN,
        flanges=[{"edge": 1, "height": 50, "from": 20, "to": 80, "flanges": [side]}],
        holes=[
            {"face": "base", "at": [50, 30], "diameter": 5},
            {"face": "flange 1.1", "at": [27.5, 12], "diameter": 5},
        ],
    )
    folded = refold(flat)
    mould, up = folded.mould("base / flange 1", True)
    far = folded.joins["flange 1 / flange 1.1"][1]
    reach = (far.corners(0.0) - mould) @ up
    assert (reach.min(), reach.max()) == pytest.approx((15, 40))
    assert (folded.hole(flat, 1)[0] - mould) @ up == pytest.approx(27.5)


def test_notches_are_as_wide_and_deep_as_told() -> None:
    keys = {"relief_width": 4, "relief_depth": 3, "flanges": [{"edge": 3, "height": 40, "from": 30, "to": 70}]}
    cut = made(**PLAIN, relief="rectangular", **keys)
    rounded = made(**PLAIN, relief="round", **keys)
    torn = made(**PLAIN, relief="none", **{k: v for k, v in keys.items() if k == "flanges"})
    setback = cut.bends[0].bend.setback
    assert torn.outline.area - cut.outline.area == pytest.approx(2 * 4 * (setback + 3))
    # Rounded at the bottom with half the width: a square less the half disc in it, twice.
    assert rounded.outline.area - cut.outline.area == pytest.approx(2 * (4 * 2 - math.pi * 2**2 / 2))
    arcs = [edge for edge in rounded.outline.edges() if edge.is_arc]  # type: ignore[union-attr]
    assert [arc.radius for arc in arcs] == pytest.approx([2, 2])


def test_a_strip_narrower_than_a_notch_is_cut_away() -> None:
    near = made(**PLAIN, relief_width=4, flanges=[{"edge": 3, "height": 40, "from": 7}])
    reached = face(near, "base").outline
    assert reached.bounds == pytest.approx((0, 0, 100, 60 - near.bends[0].bend.setback))
    far = made(**PLAIN, relief_width=4, flanges=[{"edge": 3, "height": 40, "from": 8}])
    assert face(far, "base").outline.bounds[3] == pytest.approx(60)


@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        ({**PLAIN, "flanges": [{"height": 30}]}, ("flanges", 0), "does not say which edge"),
        ({**PLAIN, "flanges": [{"edge": 5, "height": 30}]}, ("flanges", 0, "edge"), "no edge 5"),
        ({**PLAIN, "flanges": [{"edge": "left", "height": 30}]}, ("flanges", 0, "edge"), "which edge of the base"),
        ({**PLAIN, "flanges": [{"edge": 1, "height": 5}]}, ("flanges", 0, "height"), "5 mm is too short for its bend"),
        (
            {**PLAIN, "flanges": [{"edge": 1, "height": 30, "flanges": [{"edge": 2, "height": 20}]}]},
            ("flanges", 0, "flanges", 0, "edge"),
            "a flange has no edge 2",
        ),
        ({**PLAIN, "flanges": [{"edge": 1, "height": 30, "to": 101}]}, ("flanges", 0, "to"), "ends at 100 mm"),
        ({**PLAIN, "flanges": [{"edge": 1, "height": 30, "from": 50, "to": 40}]}, ("flanges", 0, "to"), "no length"),
        (
            {**PLAIN, "flanges": [{"edge": 1, "height": 30, "name": "x"}, {"edge": 2, "height": 30, "name": "x"}]},
            ("flanges", 1, "name"),
            'another face "x"',
        ),
        (
            {
                **PLAIN,
                "flanges": [{"edge": 1, "height": 30}],
                "holes": [{"face": "flang 1", "at": [1, 1], "bolt": "M6"}],
            },
            ("holes", 0, "face"),
            'no face "flang 1"',
        ),
        (
            {"base": [[0, 0], [60, 60], [60, 0], [0, 60]], "flanges": [{"edge": 1, "height": 30}]},
            ("base",),
            "crosses or touches itself",
        ),
        (
            {
                "base": [[0, 0], [90, 0], [90, 40], [40, 40], [40, 90], [0, 90]],
                "flanges": [{"edge": 3, "height": 30}, {"edge": 4, "height": 30}],
            },
            (),
            "meet at an inside corner",
        ),
        (
            {**PLAIN, "flanges": [{"edge": 1, "height": 30, "to": 60}, {"edge": 1, "height": 30, "from": 40}]},
            (),
            "overlaps flange",
        ),
        (
            {
                "base": [{"at": [0, 0], "radius": 8}, [90, 0], [90, 60], [0, 60]],
                "flanges": [{"edge": 1, "height": 30}],
            },
            ("base",),
            "cannot be rounded or cut off",
        ),
    ],
)
def test_faults_name_the_key(keys: dict[str, Any], path: tuple[str | int, ...], words: str) -> None:
    (problem,) = faults(**keys)
    assert problem.path == ("bracket", 0, *path)
    assert words in problem.what
    assert problem.accepted


def test_corners_of_the_base_are_worked_unless_a_flange_reaches_them() -> None:
    keys = {"corner_radius": 8, "flanges": [{"edge": 1, "height": 30}]}
    assert sum(e.is_arc for e in face(made(**PLAIN, **keys), "base").outline.edges()) == 2
    sharp = [[0, 0], [100, 0], {"at": [100, 60], "radius": 0}, [0, 60]]
    assert sum(e.is_arc for e in face(made(base=sharp, **keys), "base").outline.edges()) == 1


def test_corners_and_notches_are_told() -> None:
    job = {"job": {"title": "x", "number": "x", "units": "mm"}}
    table = {"mark": "B1", "thickness": 3, "shape": "box", "base": [90, 70], "height": 30, "corner": "butt"}
    (piece,) = bracket.pieces(Definitions.model_validate(job | {"bracket": [table]}))
    facts = fact_texts(piece.facts)
    assert facts["corners"] == "butted: front and back run over the other's end, 0 mm between"
    assert facts["notches"].startswith("round, 3 mm wide, 1.5 mm past the bend")
