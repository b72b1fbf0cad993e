"""[[frame]] of angle iron and channel: a profile a side, by outside sizes, legs or toes in or out."""

from __future__ import annotations

import numpy as np
import pytest
from faulty_profiles import HEAD
from jobs import checked, findings, pieces_of

from fabgen.job.errors import JobError
from fabgen.job.expansion.written import written
from fabgen.job.reader import read_text
from fabgen.parts.piece import ProfilePart
from fabgen.parts.shape.over_all import over_all


def frame(**keys: str) -> str:
    given = {"mark": '"F"', "shape": '"rack"', "section": '"angle 50 x 30 x 4"', "size": "[900, 400]", "bars": "0"}
    given |= {"at": "[0, 0, 0]"} | keys
    return HEAD + "[[frame]]\n" + "\n".join(f"{key} = {value}" for key, value in given.items()) + "\n"


def parts(text: str) -> dict[str, ProfilePart]:
    pieces = pieces_of(read_text(text).definitions)
    return {piece.mark: piece.shape for piece in pieces if isinstance(piece.shape, ProfilePart)}


@pytest.mark.parametrize("legs", ["in", "out"])
@pytest.mark.parametrize(
    ("shape", "side"), [("rack", "bottom"), ("rack", "top"), ("panel", "left"), ("panel", "right")]
)
def test_it_is_as_large_as_it_is_said_to_be(shape: str, side: str, legs: str) -> None:
    text = frame(shape=f'"{shape}"', legs=f'"{legs}"', flat_leg=f'"{side}"')
    (whole,) = over_all(pieces_of(read_text(text).definitions))
    expected = (900.0, 400.0, 50.0) if shape == "rack" else (900.0, 50.0, 400.0)
    assert whole.size == pytest.approx(expected, abs=1e-6)
    assert whole.low == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    made = parts(text)
    assert sorted({round(part.length, 6) for part in made.values()}) == [400.0, 900.0]
    assert {end.kind for part in made.values() for end in part.ends} == {"mitre"}
    # Where the flat legs lie, across the plane of the frame: all of it within their thickness of that side.
    plane = 2 if shape == "rack" else 1
    for part in made.values():
        slab = next(face for face in part.cross.faces if face.name == "leg b outside")
        at = part.frame.outside(np.array([0.0, *slab.start]))[plane]
        assert at == pytest.approx(50.0 if side in ("top", "left") else 0.0, abs=1e-6)


def test_one_side_runs_on_where_that_is_asked() -> None:
    made = parts(frame(corners='"run on"'))
    assert [end.kind for end in made["F-R1"].ends] == ["plain", "plain"]
    assert {end.kind for end in made["F-E1"].ends} == {"notch"}


def test_bars_are_notched_to_its_sides() -> None:
    made = parts(frame(bars="2", inner_section='"angle 30 x 30 x 3"'))
    assert made["F-S1"].length == pytest.approx(400.0 - 2 * 4.0, abs=0.01)
    assert [end.onto for end in made["F-S2"].ends] == [("F-R1",), ("F-R2",)]


def test_changes_and_what_is_left_out() -> None:
    made = parts(frame(change='{ R1 = { title = "front" } }', leave_out='"E1"'))
    assert "F-E1" not in made


def test_it_is_written_out_as_what_it_becomes() -> None:
    loaded = read_text(frame(bars="1"))
    text = HEAD + written(loaded.expanded)
    again = {piece.mark: piece.shape.length for piece in pieces_of(read_text(text).definitions)}
    assert again == pytest.approx({mark: part.length for mark, part in parts(frame(bars="1")).items()})


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"shape": '"box"', "size": "[900, 400, 300]"}, "a box is made of tubes"),
        ({"inner_section": '"UPN 80"'}, "angle iron has UPN 80 in it"),
        ({"inner_section": '"bar 12"'}, "angle iron has bar 12 in it"),
        ({"section": '"UPN 80"', "inner_section": '"flat 40 x 5"'}, "channel has flat 40 x 5 in it"),
        ({"section": '"UPN 80"', "flat_leg": '"top"'}, "channel has no flat leg"),
        ({"section": '"T 40"'}, "not made of T 40 x 40 x 5 by itself"),
        ({"section": '"hexagon bar 17"'}, "not made of hexagon bar 17 by itself"),
        ({"inner_section": '"40 x 40 x 3"'}, "angle iron has 40 x 40 x 3 in it"),
        ({"size": "[50, 40]"}, "leave no room"),
        ({"flat_leg": '"left"'}, "are not on its left"),
        ({"section": '"40 x 40 x 3"', "legs": '"in"'}, "legs has no meaning here"),
        ({"section": '"40 x 40 x 3"', "inner_section": '"angle 30 x 30 x 3"'}, "tubes alone"),
        ({"leave_out": '"Q1"'}, "no profile .Q1."),
    ],
)
def test_one_clear_error(keys: dict[str, str], words: str) -> None:
    with pytest.raises(JobError, match=words):
        read_text(frame(**keys).replace("bars = 0\n", "") if "shape" in keys else frame(**keys))


@pytest.mark.parametrize("legs", ["in", "out"])
@pytest.mark.parametrize("shape", ["rack", "panel"])
def test_a_frame_of_channel_is_as_large_as_it_is_said_to_be(shape: str, legs: str) -> None:
    text = frame(shape=f'"{shape}"', legs=f'"{legs}"', section='"UPN 80"')
    (whole,) = over_all(pieces_of(read_text(text).definitions))
    assert whole.size == pytest.approx((900.0, 400.0, 80.0) if shape == "rack" else (900.0, 80.0, 400.0), abs=1e-6)
    assert whole.low == pytest.approx([0.0, 0.0, 0.0], abs=1e-6)
    made = parts(text)
    assert {end.kind for part in made.values() for end in part.ends} == {"mitre"}
    assert sorted({round(part.length, 6) for part in made.values()}) == [400.0, 900.0]


def test_a_bar_of_channel_fits_between_the_webs() -> None:
    made = parts(frame(section='"UPN 100"', inner_section='"UPN 80"', bars="1"))
    assert made["F-S1"].length == pytest.approx(400.0 - 2 * 6.0)
    assert {end.kind for end in made["F-S1"].ends} == {"face"}
    assert all(end.bevels for end in made["F-S1"].ends)


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize(("inner", "high"), [('"flat 40 x 5 mm"', 5.0), ('"square bar 16 mm"', 16.0)])
@pytest.mark.parametrize("side", ["bottom", "top"])
def test_slats_lie_on_the_flat_legs(inner: str, high: float, side: str, units: str) -> None:
    """In an angle 50 x 30 x 5 of root radius 5 a slat is 2 (5 + 5) shorter than the frame is wide."""
    text = frame(
        section='"angle 50 x 30 x 5 mm"',
        size='["900 mm", "400 mm"]',
        inner_section=inner,
        bars="2",
        flat_leg=f'"{side}"',
    ).replace('units = "mm"', f'units = "{units}"')
    job = read_text(text).definitions
    slat = {piece.mark: piece.shape for piece in pieces_of(job)}["F-S1"]
    assert isinstance(slat, ProfilePart)
    assert slat.length == pytest.approx(400.0 - 2 * 10.0)
    heights = slat.frame.outside(np.array([[0.0, y, z] for y, z in slat.cross.outline.points(0.1)]))[:, 2]
    low = 5.0 if side == "bottom" else 50.0 - 5.0 - high
    assert (heights.min(), heights.max()) == pytest.approx((low, low + high))
    assert not [each for each in findings(checked(job)) if each.level != "note"]


def test_slats_between_legs_that_point_out_butt_on_their_backs() -> None:
    """Sawn square at both ends: a plane that only touches the back at one edge is no face to saw to."""
    made = parts(
        frame(section='"angle 40 x 40 x 4"', inner_section='"square bar 16"', legs='"out"', flat_leg='"top"', bars="3")
    )
    for mark in ("F-S1", "F-S2", "F-S3"):
        assert made[mark].length == pytest.approx(400.0 - 2 * 40.0)
        assert [(end.kind, end.is_square) for end in made[mark].ends] == [("face", True)] * 2
