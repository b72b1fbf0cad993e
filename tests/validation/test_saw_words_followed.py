"""The words of a saw sheet, followed with a blade and a bar, against the plane that two routes part at.

A bar lies on its bottom face along x, its TOP up, its left toward +y.  The blade begins square to it.  As the words
say it is turned about the upright until the side named is the longer, then leaned about its own slot, the line in
which it meets the table, until the other side named is.  The plane of the mitre is worked out from the routes alone:
it halves the two directions.  The bar is cut by both as a solid (manifold3d) too.
"""

from __future__ import annotations

import math
import re
from typing import Any

import manifold3d as m3
import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from fabgen.documents.lists.saw_sheet import saw_words
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece

Array = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
READ = math.radians(0.12)
"""Figures are printed to a tenth of a degree, two of them."""


def job(way: Array, other: Array, turn: float, at: str, section: str = "60 x 40 x 3") -> list[Piece]:
    """A tube that ends at the origin, at its start or its finish, and another mitred with it there."""
    ends = [[0.0, 0.0, 0.0], (600.0 * way).tolist()]
    here, far = {"cut": "mitre"}, {"cut": "plain"}
    one: dict[str, Any] = {"mark": "A", "section": section, "turn": turn}
    if at == "start":
        one |= {"route": ends, "start": here, "finish": far}
    else:
        one |= {"route": ends[::-1], "start": far, "finish": here}
    two = {"mark": "B", "section": section, "route": [[0.0, 0.0, 0.0], (600.0 * other).tolist()], "start": here}
    head = {"title": "t", "number": "1", "units": "mm", "date": "2026-01-01"}
    return all_pieces(Definitions.model_validate({"job": head, "tube": [one, two]}, context={}))


def turned(v: Array, axis: Array, angle: float) -> Array:
    """Rodrigues' rotation."""
    c, s = math.cos(angle), math.sin(angle)
    return np.asarray(v * c + np.cross(axis, v) * s + axis * (axis @ v) * (1.0 - c))


def longer(normal: Array, at: str, side: Array) -> bool:
    """Whether a cut leaves the bar longer on that side: there it lies farther out along the bar."""
    x = -(side @ normal) / normal[0]  # where the plane through the origin meets the bar's line at that side
    return bool(x < 0.0) if at == "start" else bool(x > 0.0)


SIDES = {"left": np.array([0.0, 1.0, 0.0]), "right": np.array([0.0, -1.0, 0.0]), "top": UP, "bottom": -UP}
COMPOUND = re.compile(r"swing ([\d.]+)° (left|right) longer, tilt ([\d.]+)° (top|bottom) longer")
SINGLE = re.compile(r"(swing|tilt) ([\d.]+)°")


def blade(words: str, at: str) -> list[Array]:
    """Normals of the blade set as the words say: one, or two where they leave the side to the piece itself."""
    square = np.array([1.0, 0.0, 0.0])
    if found := COMPOUND.search(words):
        swing, first, tilt, second = found.groups()
        set_up = [turned(square, UP, sign * math.radians(float(swing))) for sign in (1.0, -1.0)]
        (swung,) = [normal for normal in set_up if longer(normal, at, SIDES[first])]
        slot = np.cross(UP, swung)  # level, and in the blade
        leaned = [turned(swung, slot, sign * math.radians(float(tilt))) for sign in (1.0, -1.0)]
        return [normal for normal in leaned if longer(normal, at, SIDES[second])]
    if found := SINGLE.search(words):
        axis = UP if found[1] == "swing" else np.array([0.0, 1.0, 0.0])
        return [turned(square, axis, sign * math.radians(float(found[2]))) for sign in (1.0, -1.0)]
    return [square]


def in_the_bar(piece: Piece, direction: Array) -> Array:
    """A direction of the job as the bar lies on the saw."""
    part = piece.length_part
    assert part is not None
    assert part.frame is not None
    return np.array([direction @ axis for axis in (part.frame.x, part.frame.y, part.frame.z)])


def heading(way: tuple[float, float]) -> Array:
    turn, rise = (math.radians(v) for v in way)
    return np.array([math.cos(turn) * math.cos(rise), math.sin(turn) * math.cos(rise), math.sin(rise)])


WAYS = st.tuples(st.floats(-180.0, 180.0), st.floats(-70.0, 70.0))


@settings(max_examples=60, deadline=None)
@given(WAYS, WAYS, st.floats(-180.0, 180.0), st.sampled_from(["start", "finish"]))
@example((161.75, 24.5), (52.0, 3.5), 101.75, "finish")  # a swing of a few hundredths, which is none
def test_the_blade_ends_where_the_mitre_lies(
    way: tuple[float, float], other: tuple[float, float], turn: float, at: str
) -> None:
    d, e = heading(way), heading(other)
    assume(math.degrees(math.acos(np.clip(d @ e, -1.0, 1.0))) > 25.0)
    piece = next(piece for piece in job(d, e, turn, at) if piece.mark == "A")
    words = saw_words([piece], "mm")["A"].split(" / ")
    said = words[0] if at == "start" else words[-1]
    normals = blade(said, at)
    assert normals
    true = in_the_bar(piece, d - e)
    true = true / np.linalg.norm(true) * np.sign(true[0])
    off = min(math.acos(min(1.0, abs(float(normal @ true)))) for normal in normals)
    assert off < READ, said


FOUR_WAYS = [(at, i, j) for at in ("start", "finish") for i in (1.0, -1.0) for j in (1.0, -1.0)]


@pytest.mark.parametrize(("at", "i", "j"), FOUR_WAYS)
def test_the_bar_cut_so_is_the_bar_that_fits(at: str, i: float, j: float) -> None:
    """As solids, on all four corners; leaned about the bar instead of the slot the blade would be degrees off."""
    d, e = np.array([1.0, 0.0, 0.0]), np.array([-0.2, i * 0.8, j * 0.7])
    e /= np.linalg.norm(e)
    piece = next(piece for piece in job(d, e, 0.0, at) if piece.mark == "A")
    words = saw_words([piece], "mm")["A"].split(" / ")
    said = words[0] if at == "start" else words[-1]
    assert COMPOUND.search(said), said
    (normal,) = blade(said, at)
    bar = m3.Manifold.cube((400.0, 40.0, 60.0), True)
    true = in_the_bar(piece, d - e)
    true = true / np.linalg.norm(true) * np.sign(true[0])
    kept = 1.0 if at == "start" else -1.0
    ours, theirs = (bar.trim_by_plane(tuple(kept * n), 0.0) for n in (normal * np.sign(normal[0]), true))
    wrong = (ours - theirs).volume() + (theirs - ours).volume()
    assert wrong < 0.002 * ours.volume()

    swing, _, tilt, _ = COMPOUND.search(said).groups()  # type: ignore[union-attr]
    swung = turned(np.array([1.0, 0.0, 0.0]), UP, math.radians(float(swing)))
    about_the_bar = turned(swung, np.array([1.0, 0.0, 0.0]), math.radians(float(tilt)))
    slot = np.cross(UP, swung)
    about_the_slot = turned(swung, slot, math.radians(float(tilt)))
    assert math.degrees(math.acos(about_the_bar @ about_the_slot)) > 3.0


def test_a_bar_square_to_the_fence_is_cut_by_the_rest() -> None:
    """What is said of angles over 45: the bar turned a quarter about the upright, the blade swung by what is named."""
    d, e = np.array([1.0, 0.0, 0.0]), heading((50.0, 0.0))
    piece = next(piece for piece in job(d, e, 0.0, "start", "48.3 x 3.2") if piece.mark == "A")
    said = saw_words([piece], "mm")["A"]
    assert "65° from square (over 45°)" in said
    fact = next(fact for fact in piece.facts if fact.key == "saw").text.words("mm")
    rest = re.search(
        r"over 45°, which few saws reach: clamp it square to the fence, on a block, and swing ([\d.]+)°", fact
    )
    assert rest is not None
    bar = turned(np.array([1.0, 0.0, 0.0]), UP, math.radians(90.0))
    normal = turned(np.array([1.0, 0.0, 0.0]), UP, math.radians(float(rest[1])))
    assert math.degrees(math.acos(abs(bar @ normal))) == pytest.approx(65.0, abs=0.06)


def test_a_tube_laid_on_its_side_has_the_angles_named_for_that() -> None:
    """Swung 48 and leaned 30 on its bottom face, few saws can; on its side both are under 45."""
    lean, swing = math.radians(30.0), math.radians(48.0)
    normal = np.array([math.cos(lean) * math.cos(swing), -math.cos(lean) * math.sin(swing), math.sin(lean)])
    d = np.array([1.0, 0.0, 0.0])
    e = d - 2.0 * (d @ normal) * normal
    piece = next(piece for piece in job(d, e, 0.0, "start") if piece.mark == "A")
    fact = next(fact for fact in piece.facts if fact.key == "saw").text.words("mm")
    assert "swing 48.0° (right longer) and tilt 30.0° (top longer)" in fact
    side = re.search(r"lay it on its side: swing ([\d.]+)° \(top longer\) and tilt ([\d.]+)° \(right longer\)", fact)
    assert side is not None
    swing, tilt = (math.radians(float(figure)) for figure in side.groups())
    assert max(swing, tilt) < math.radians(45.0)
    # On its left side what was its left is down: the upright is along its right.
    upright, along = SIDES["right"], np.array([1.0, 0.0, 0.0])
    (swung,) = [n for sign in (1.0, -1.0) if longer(n := turned(along, upright, sign * swing), "start", UP)]
    slot = np.cross(upright, swung)
    (leaned,) = [n for sign in (1.0, -1.0) if longer(n := turned(swung, slot, sign * tilt), "start", SIDES["right"])]
    assert math.acos(min(1.0, float(leaned @ normal))) < READ
