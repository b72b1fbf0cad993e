"""Folded brackets: the flat is folded back, by its bend lines alone, and comes out as asked.

`refold` knows nothing of the tree: it walks up the flat's height through the bend zones in the
plane square to the folds, so it proves both the flat pattern and the fold-up.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from folded_holes import hole_axes
from hypothesis import given, settings
from hypothesis import strategies as st
from one_part import OnePart
from worded import fact_texts

from fabgen.geometry.sheet.folded import extent, fold_up
from fabgen.parts.piece import FlatBend, FlatPart, Piece

T = st.sampled_from([1.0, 1.5, 2.0, 3.0, 5.0])
TURN = st.one_of(st.just(90.0), st.floats(10.0, 120.0))
COMMON = st.fixed_dictionaries(
    {"radius": st.floats(0.0, 8.0), "k": st.floats(0.2, 0.5), "measured": st.sampled_from(["outside", "inside"])}
)


BRACKET = OnePart("bracket", mark="B1", thickness=3, length=80)
made, faults = BRACKET.piece, BRACKET.faults


def flat_of(piece: Piece) -> FlatPart:
    assert piece.flat_part is not None
    return piece.flat_part


# -- folding back -------------------------------------------------------------
@dataclass
class Stretch:
    """A flat stretch of the section: from height `low` to `high` on the flat, where it begins
    (far skin), its direction and the direction to the viewer's side."""

    low: float
    high: float
    start: np.ndarray
    along: np.ndarray
    toward: np.ndarray

    def at(self, height: float, depth: float) -> np.ndarray:
        """A point `depth` above the far skin."""
        return self.start + self.along * (height - self.low) + self.toward * depth

    def skin(self, thickness: float, bend: FlatBend) -> np.ndarray:
        """A point on the outer skin of a bend."""
        return self.at(self.low, 0.0 if bend.up else thickness)


def refold(flat: FlatPart) -> list[Stretch]:
    """The section square to the folds, stretch by stretch up the flat."""
    stretches = []
    point, along = np.zeros(2), np.array([1.0, 0.0])
    low = 0.0
    for bend in [*sorted(flat.bends, key=lambda bend: bend.start[1]), None]:
        toward = np.array([-along[1], along[0]])
        high = bend.start[1] - bend.bend.allowance / 2 if bend else flat.outline.bounds[3]
        stretches.append(Stretch(low, high, point, along, toward))
        if bend is None:
            return stretches
        end = point + along * (high - low)
        sign = 1.0 if bend.up else -1.0
        centre = end + toward * (flat.thickness + bend.bend.radius if bend.up else -bend.bend.radius)
        c, s = math.cos(bend.bend.angle), sign * math.sin(bend.bend.angle)
        turn = np.array([[c, -s], [s, c]])
        point, along = centre + turn @ (end - centre), turn @ along
        low = high + bend.bend.allowance
    return stretches


def mould_point(one: Stretch, other: Stretch, bend: FlatBend, thickness: float) -> np.ndarray:
    """Where the outer skins of two stretches would meet."""
    a, b = one.skin(thickness, bend), other.skin(thickness, bend)
    share = np.linalg.solve(np.column_stack((one.along, -other.along)), b - a)
    return a + one.along * share[0]


def outside_sizes(flat: FlatPart) -> list[float]:
    """Each stretch's length between its mould points or free edges, up the flat."""
    stretches = refold(flat)
    bends = sorted(flat.bends, key=lambda bend: bend.start[1])
    corners = [mould_point(stretches[i], stretches[i + 1], bend, flat.thickness) for i, bend in enumerate(bends)]
    sizes = []
    for i, stretch in enumerate(stretches):
        start = stretch.start if i == 0 else corners[i - 1]
        end = stretch.at(stretch.high, 0.0) if i == len(bends) else corners[i]
        sizes.append(float((end - start) @ stretch.along))
    return sizes


def hole_in_space(flat: FlatPart, index: int) -> np.ndarray:
    """Centre of a hole in mid-sheet: along the folds, then in the section."""
    x0, y0, x1, y1 = flat.holes[index].shape.bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    stretch = next(s for s in refold(flat) if s.low <= y <= s.high)
    return np.array([x, *stretch.at(y, flat.thickness / 2)])


# -- sizes come out as asked -----------------------------------------------------
@settings(max_examples=60)
@given(T, TURN, COMMON, st.floats(60, 120), st.floats(60, 120))
def test_angle_folds_to_size(t: float, turn: float, common: dict[str, Any], a: float, b: float) -> None:
    flat = flat_of(made(shape="angle", thickness=t, bend_angle=turn, legs=[a, b], **common))
    beyond = 0.0 if common["measured"] == "outside" else math.tan(math.radians(turn) / 2) * t
    assert outside_sizes(flat) == pytest.approx([a + beyond, b + beyond], abs=1e-6)
    sizes = dict(flat.sizes)
    assert (sizes["leg a, outside"], sizes["leg b, outside"]) == pytest.approx((a + beyond, b + beyond))
    assert (sizes[f"leg a, {common['measured']}"], sizes[f"leg b, {common['measured']}"]) == pytest.approx((a, b))


@settings(max_examples=60)
@given(
    T,
    st.one_of(st.just(90.0), st.floats(10, 95)),
    COMMON,
    st.floats(70, 150),
    st.tuples(st.floats(50, 90), st.floats(50, 90)),
)
def test_channel_folds_to_size(
    t: float, turn: float, common: dict[str, Any], web: float, flanges: tuple[float, float]
) -> None:
    keys = {"shape": "channel", "thickness": t, "bend_angle": turn, "web": web, "flanges": list(flanges)} | common
    flat = flat_of(made(**keys))
    beyond = 0.0 if common["measured"] == "outside" else math.tan(math.radians(turn) / 2) * t
    wanted = [flanges[0] + beyond, web + 2 * beyond, flanges[1] + beyond]
    assert outside_sizes(flat) == pytest.approx(wanted, abs=1e-6)


@settings(max_examples=60)
@given(T, st.one_of(st.just(90.0), st.floats(10, 90)), COMMON, st.floats(50, 150), st.floats(40, 90), st.floats(40, 60))
def test_hat_folds_to_size(
    t: float, turn: float, common: dict[str, Any], crown: float, side: float, brim: float
) -> None:
    keys = {"crown": crown, "sides": [side, side + 7], "brims": [brim, brim + 3]}
    flat = flat_of(made(shape="hat", thickness=t, bend_angle=turn, **keys, **common))
    beyond = 0.0 if common["measured"] == "outside" else math.tan(math.radians(turn) / 2) * t
    wanted = [brim + beyond, side + 2 * beyond, crown + 2 * beyond, side + 7 + 2 * beyond, brim + 3 + beyond]
    assert outside_sizes(flat) == pytest.approx(wanted, abs=1e-6)


def test_right_angle_sizes_can_be_put_a_tape_to() -> None:
    """Over all of a channel and a hat, by extremes of the folded metal."""
    channel = flat_of(made(shape="channel", web=60, flanges=[45, 40]))
    assert channel.tree is not None
    assert extent(channel.tree, 3.0) == pytest.approx((80, 60, 45))
    hat = flat_of(made(shape="hat", crown=60, sides=[40, 40], brims=[25, 25]))
    assert hat.tree is not None
    # Brims are measured from the inner skin of the sides: 60 + 2 (25 - 3) over all.
    assert extent(hat.tree, 3.0) == pytest.approx((80, 104, 40))
    inside = flat_of(made(shape="hat", measured="inside", crown=60, sides=[40, 40], brims=[25, 25]))
    assert inside.tree is not None
    # 60 under the crown, 40 from there to the brims' tops: 66 wide and 46 high over all, 25 of brim to either side.
    assert extent(inside.tree, 3.0) == pytest.approx((80, 116, 46))
    assert dict(hat.sizes)["over all, along the crown"] == pytest.approx(104)
    assert dict(hat.sizes)["over all, square to the crown"] == pytest.approx(40)


@pytest.mark.parametrize("shape", ["angle", "channel", "hat"])
def test_flat_is_the_legs_less_the_deductions(shape: str) -> None:
    sizes: dict[str, Any] = {
        "angle": {"legs": [50, 40]},
        "channel": {"web": 60, "flanges": [45, 40]},
        "hat": {"crown": 60, "sides": [30, 40], "brims": [25, 25]},
    }[shape]
    legs = sum(sum(v) if isinstance(v, list) else v for v in sizes.values())
    flat = flat_of(made(shape=shape, **sizes))
    deductions = sum(bend.bend.deduction for bend in flat.bends)
    assert flat.outline.bounds == pytest.approx((0, 0, 80, legs - deductions))
    assert len(flat.outline.vertices) == 4  # type: ignore[union-attr]


# -- bends --------------------------------------------------------------------
def test_bends_by_default() -> None:
    (bend,) = flat_of(made(shape="angle", legs=[50, 40])).bends
    assert (bend.bend.radius, bend.bend.angle, bend.bend.k) == (
        pytest.approx(0.16 * 8 * 3),
        pytest.approx(math.pi / 2),
        pytest.approx(0.41 + 0.02 * 0.28),
    )
    assert bend.up
    assert bend.name == "a / b"


def test_k_from_the_rule_the_group_and_the_part() -> None:
    def k(**keys: Any) -> float:
        return flat_of(made(shape="angle", legs=[50, 40], radius=3, **keys)).bends[0].bend.k

    assert k(material="304") == pytest.approx(0.45)
    assert k(header={"bend_rule": "din6935"}) == pytest.approx(0.325)
    assert k(header={"bend_rule": "din6935"}, k=0.4) == 0.4
    facts = fact_texts(made(shape="angle", legs=[50, 40], header={"bend_rule": "din6935"}).facts)
    assert "DIN 6935" in facts["bends"]


def test_hat_turns_its_brims_back() -> None:
    bends = flat_of(made(shape="hat", crown=60, sides=[30, 40], brims=[25, 25])).bends
    ups = {bend.name: bend.up for bend in bends}
    assert ups == {
        "crown / left side": True,
        "left side / left brim": False,
        "crown / right side": True,
        "right side / right brim": False,
    }


def test_over_90_degrees_says_where_sizes_run_to() -> None:
    facts = fact_texts(made(shape="angle", legs=[60, 60], bend_angle=120, radius=3).facts)
    assert "4.39 mm beyond the metal" in facts["sizes over 90°"]
    assert "nearly closed" not in facts["sizes over 90°"]
    assert "nearly closed" in fact_texts(made(shape="angle", legs=[200, 200], bend_angle=160).facts)["sizes over 90°"]
    assert "sizes over 90°" not in fact_texts(made(shape="angle", legs=[60, 60]).facts)
    flat = flat_of(made(shape="angle", legs=[60, 60], bend_angle=120, radius=3))
    assert flat.tree is not None
    # Over its bend leg a reaches that much less than its 60 mm.
    assert extent(flat.tree, 3.0)[1] == pytest.approx(60 - 6 * (math.sqrt(3) - 1), abs=1e-4)


# -- holes --------------------------------------------------------------------
@settings(max_examples=60)
@given(T, COMMON, st.floats(50, 120), st.floats(50, 80), st.floats(15, 65), st.floats(20, 35))
def test_holes_through_both_flanges_of_a_channel_are_in_line(
    t: float, common: dict[str, Any], web: float, flange: float, u: float, v: float
) -> None:
    holes = [{"face": face, "at": [u, v], "diameter": 8} for face in ("left", "right")]
    flat = flat_of(made(shape="channel", thickness=t, web=web, flanges=[flange, flange + 9], holes=holes, **common))
    left, right = (hole_in_space(flat, i) for i in range(2))
    outer = web if common["measured"] == "outside" else web + 2 * t
    # The axis is square to both flanges: same place along the folds, same height over the web.
    root = next(s for s in refold(flat) if abs(s.high - s.low) > 0 and s.low > 0)
    assert left[0] == pytest.approx(right[0], abs=1e-6)
    assert left[0] == pytest.approx(u, abs=1e-6)
    assert (left[1:] - right[1:]) @ root.toward == pytest.approx(0.0, abs=1e-6)
    assert abs((left[1:] - right[1:]) @ root.along) == pytest.approx(outer - t, abs=1e-6)
    # v counts from the outside of the web.
    assert (left[1:] - root.start) @ root.toward == pytest.approx(v, abs=1e-6)
    assert flat.tree is not None
    axes = hole_axes(flat.tree, t)
    assert abs(axes[0].direction @ axes[1].direction) == pytest.approx(1.0)
    across = axes[1].centre - axes[0].centre
    assert np.linalg.norm(np.cross(across, axes[0].direction)) < 1e-6


@settings(max_examples=60)
@given(st.floats(20, 70), st.floats(14, 26))
def test_brim_holes_of_a_hat_are_level_and_mirrored(u: float, v: float) -> None:
    holes = [{"face": f"{hand} brim", "at": [u, v], "diameter": 6} for hand in ("left", "right")]
    flat = flat_of(made(shape="hat", crown=60, sides=[40, 40], brims=[35, 35], bend_angle=70, holes=holes, length=90))
    assert flat.tree is not None
    left, right = hole_axes(flat.tree, 3.0)
    assert left.centre[[0, 2]] == pytest.approx(right.centre[[0, 2]])
    assert (left.centre[1] + right.centre[1]) / 2 == pytest.approx(30)  # the root's y counts from its outside
    assert abs(left.direction[2]) == pytest.approx(1.0)


def test_v_of_an_angle_counts_from_its_outside_corner() -> None:
    holes = [{"face": face, "at": [20, 25], "bolt": "M8"} for face in ("a", "b")]
    flat = flat_of(made(shape="angle", legs=[50, 40], holes=holes))
    assert flat.tree is not None
    a, b = hole_axes(flat.tree, 3.0)
    # Outside corner of the folded angle: over a's bend, at y = 44 + 6, on the far skin z = 0.
    assert a.centre == pytest.approx((20, 50 - 25, 1.5))
    assert b.centre == pytest.approx((20, 50 - 1.5, 25))


def test_web_counts_from_the_outside_of_the_left_flange() -> None:
    hole = {"face": "web", "at": [30, 20], "diameter": 6}
    flat = flat_of(made(shape="channel", web=60, flanges=[40, 40], holes=[hole]))
    assert flat.tree is not None
    (axis,) = hole_axes(flat.tree, 3.0)
    outside = np.vstack([f.points for f in fold_up(flat.tree, 3.0)])[:, 1].min()
    assert axis.centre[1] - outside == pytest.approx(20)


def test_slots_keep_their_direction_on_every_face() -> None:
    def slot(face: str) -> tuple[float, float]:
        hole = {"face": face, "at": [40, 25], "diameter": 6, "length": 20, "turn": 30}
        flat = flat_of(made(shape="channel", web=60, flanges=[45, 45], holes=[hole]))
        side = next(edge for edge in flat.holes[0].shape.edges() if not edge.is_arc)  # type: ignore[union-attr]
        (x0, y0), (x1, y1) = sorted((side.start, side.end))
        return x1 - x0, y1 - y0

    # Up the flat v grows on the right flange and falls on the left one: the slot is mirrored.
    (lx, ly), (rx, ry) = slot("left"), slot("right")
    assert (lx, -ly) == pytest.approx((rx, ry))
    assert ry > 0


def test_labels_go_with_their_holes() -> None:
    holes = [
        {"face": "right", "at": [20, 25], "diameter": 5},
        {"face": "web", "at": [40, 30], "bolt": "M8"},
        {"face": "left", "at": [60, 25], "bolt": "M6"},
        {"face": "right", "at": [60, 25], "diameter": 7},
    ]
    flat = flat_of(made(shape="channel", web=60, flanges=[45, 45], holes=holes))
    assert [(hole.label, round(hole.shape.bounds[2] - hole.shape.bounds[0], 3)) for hole in flat.holes] == [
        ("9 for M8", 9.0),
        ("6.6 for M6", 6.6),
        ("5", 5.0),
        ("7", 7.0),
    ]


def test_mass_and_corners() -> None:
    plain = made(shape="angle", legs=[50, 40])
    flat = flat_of(plain)
    assert plain.mass == pytest.approx(flat.outline.area * 3 * 7850e-9)
    rounded = flat_of(made(shape="angle", legs=[50, 40], corner_radius=10))
    assert flat.outline.area - rounded.outline.area == pytest.approx((4 - math.pi) * 100)
    cut = flat_of(made(shape="channel", web=60, flanges=[40, 40], corner_chamfer=10))
    full = flat_of(made(shape="channel", web=60, flanges=[40, 40]))
    assert full.outline.area - cut.outline.area == pytest.approx(200)


# -- faults -------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "path", "words"),
    [
        ({"shape": "angle", "legs": [50, 6]}, ("legs", 1), "6 mm is too short for its bend"),
        ({"shape": "channel", "web": 12, "flanges": [40, 40]}, ("web",), "12 mm is too short for its bends"),
        ({"shape": "channel", "web": 60, "flanges": [4, 40]}, ("flanges", 0), "too short"),
        ({"shape": "hat", "crown": 60, "sides": [30, 10], "brims": [20, 20]}, ("sides", 1), "too short"),
        ({"shape": "hat", "crown": 60, "sides": [30, 30], "brims": [2, 20]}, ("brims", 0), "too short"),
        ({"shape": "angle", "legs": [50, 40], "corner_radius": 45}, ("corner_radius",), 'too large for face "a"'),
        ({"shape": "angle", "legs": [50, 20], "corner_chamfer": 30}, ("corner_chamfer",), 'too large for face "b"'),
        ({"shape": "angle", "legs": [50, 40], "holes": [{"at": [20, 20], "diameter": 5}]}, ("holes", 0), "which face"),
        (
            {"shape": "angle", "legs": [50, 40], "holes": [{"face": "b", "at": [20, 8], "bolt": "M8"}]},
            ("holes", 0),
            '9 for M8 at (20, 8) leaves face "b"',
        ),
        (
            {
                "shape": "angle",
                "legs": [50, 40],
                "holes": [{"face": "b", "at": [20, 25], "bolt": "M8"}, {"face": "b", "at": [26, 25], "bolt": "M8"}],
            },
            ("holes", 1),
            "crosses the hole",
        ),
        (
            {"shape": "angle", "legs": [50, 40], "holes": [{"face": "b", "at": [20, 25], "bolt": "M88"}]},
            ("holes", 0, "bolt"),
            "no bolt size",
        ),
    ],
)
def test_faults_name_the_key(keys: dict[str, Any], path: tuple[str | int, ...], words: str) -> None:
    (problem,) = faults(**keys)
    assert problem.path == ("bracket", 0, *path)
    assert words in problem.what
    assert problem.accepted


def test_all_faults_at_once() -> None:
    found = faults(shape="channel", web=10, flanges=[4, 4], holes=[{"at": [1, 1], "diameter": 2}])
    assert [problem.path[2:] for problem in found] == [("web",), ("flanges", 0), ("flanges", 1), ("holes", 0)]
