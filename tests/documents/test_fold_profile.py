"""The folded end view, worked out from the flat alone, against sizes known beforehand and the folded solid."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import pieces_of, read

from fabgen.documents.drawing.flat.fold_profile import folded_profiles
from fabgen.geometry.plane.outline import Outline
from fabgen.geometry.sheet.folded import extent
from fabgen.geometry.sheet.folds import Bend
from fabgen.parts.piece import FlatBend, FlatPart


def strip(outside: list[float], bends: list[Bend], ups: list[bool], upright: bool = False) -> FlatPart:
    """A strip whose folded faces have these outside sizes: the flat by outside sizes less deductions."""
    position, lines = 0.0, []
    for size, bend, up in zip(outside, bends, ups, strict=False):
        position += size - bend.deduction / 2.0
        lines.append((position, bend, up))
        position -= bend.deduction / 2.0
    total = sum(outside) - sum(b.deduction for b in bends)
    if upright:
        folds = [FlatBend((0.0, p), (50.0, p), b, up) for p, b, up in lines]
        return FlatPart(bends[0].thickness, Outline.rectangle(50.0, total), bends=tuple(folds))
    folds = [FlatBend((p, 0.0), (p, 50.0), b, up) for p, b, up in lines]
    return FlatPart(bends[0].thickness, Outline.rectangle(total, 50.0), bends=tuple(folds))


@given(
    st.floats(1.0, 6.0),
    st.floats(1.0, 8.0),
    st.floats(math.radians(20.0), math.radians(140.0)),
    st.lists(st.floats(60.0, 120.0), min_size=2, max_size=4),
    st.booleans(),
)
def test_outside_sizes_come_back(t: float, r: float, angle: float, outside: list[float], upright: bool) -> None:
    bend = Bend(t, r, angle, 0.42)
    count = len(outside) - 1
    part = strip(outside, [bend] * count, [True] * count, upright)
    (profile,) = folded_profiles(part)
    assert [profile.outside_size(i)[2] for i in range(len(outside))] == pytest.approx(outside, abs=1e-6)


def test_a_z_shape_measures_its_web_over_both_skins() -> None:
    """Bends of opposite hand: the web's outside size is the part's height over all."""
    bend = Bend(3.0, 3.0, math.pi / 2.0, 0.42)
    # Web from the lower skin of one leg to the upper skin of the other: two half deductions as ever.
    part = strip([40.0, 60.0, 30.0], [bend, bend], [True, False])
    (profile,) = folded_profiles(part)
    sizes = [profile.outside_size(i)[2] for i in range(3)]
    assert sizes == pytest.approx([40.0, 60.0, 30.0])
    heights = [p[1] for p in profile.points]
    widths = [p[0] for p in profile.points]
    assert sorted([max(widths) - min(widths), max(heights) - min(heights)]) == pytest.approx(sorted([60.0, 67.0]))


def test_a_hem_takes_its_outermost_line() -> None:
    part = FlatPart(
        2.0,
        Outline.rectangle(100.0, 50.0),
        bends=(FlatBend((80.0, 0.0), (80.0, 50.0), Bend(2.0, 1.0, math.pi, 0.4), True),),
    )
    (profile,) = folded_profiles(part)
    assert all(math.isfinite(size) for size in profile.sizes)


JOB = """
[job]
title = "brackets"
number = "X-1"
units = "mm"
[[bracket]]
mark = "B1"
shape = "channel"
thickness = 4
length = 90
web = 80
flanges = [50, 45]
[[bracket]]
mark = "B2"
shape = "hat"
thickness = 2
length = 200
crown = 50
sides = [30, 32]
brims = [25, 20]
[[bracket]]
mark = "B3"
shape = "angle"
thickness = 3
length = 60
legs = [45, 40]
bend_angle = "75 deg"
"""


@pytest.mark.parametrize("index", [0, 1, 2])
def test_the_profile_is_as_large_as_the_folded_solid(index: int) -> None:
    """`extent` turns the faces in space and knows nothing of the profile; the two agree in width and height."""
    part = pieces_of(read(JOB))[index].flat_part
    assert part is not None
    assert part.tree is not None
    (profile,) = folded_profiles(part)
    size = extent(part.tree, part.thickness)
    flat = part.outline.bounds
    along = {flat[2] - flat[0], flat[3] - flat[1]}
    across = sorted(float(v) for v in size if all(abs(float(v) - a) > 1e-6 for a in along))
    assert sorted(profile.sizes[-2:])[: len(across)] == pytest.approx(across, abs=0.01)


def test_flanges_in_two_directions_give_two_profiles() -> None:
    bend = Bend(2.0, 2.0, math.pi / 2.0, 0.42)
    part = FlatPart(
        2.0,
        Outline.rectangle(100.0, 80.0),
        bends=(
            FlatBend((20.0, 20.0), (20.0, 60.0), bend, True),
            FlatBend((80.0, 20.0), (80.0, 60.0), bend, True),
            FlatBend((20.0, 20.0), (80.0, 20.0), bend, True),
        ),
    )
    first, second = folded_profiles(part)
    assert (len(first.bends), len(second.bends)) == (2, 1)


@pytest.mark.parametrize(
    ("shape", "sizes"),
    [
        ("angle", [50.0, 40.0]),
        ("channel", [45.0, 60.0, 40.0]),
        ("zed", [45.0, 60.0, 40.0]),
        ("hat", [25.0, 45.0, 60.0, 40.0, 26.0]),
    ],
)
@pytest.mark.parametrize("measured", ["outside", "inside"])
def test_the_view_has_the_sizes_as_the_job_gives_them(shape: str, sizes: list[float], measured: str) -> None:
    """One rule for every shape: what is written is what the view is dimensioned with, from skin to skin as measured."""
    keys = {
        "angle": "legs = [50, 40]",
        "channel": "web = 60\nflanges = [45, 40]",
        "zed": "web = 60\nlegs = [45, 40]",
        "hat": "crown = 60\nsides = [45, 40]\nbrims = [25, 26]",
    }
    part = made_of(shape, keys[shape], measured)
    (profile,) = folded_profiles(part)
    assert [profile.size(i)[2] for i in range(len(sizes))] == pytest.approx(sizes)
    extra = [0.0 if measured == "outside" else 3.0 * (1 if i in (0, len(sizes) - 1) else 2) for i in range(len(sizes))]
    assert [profile.outside_size(i)[2] for i in range(len(sizes))] == pytest.approx(
        [size + more for size, more in zip(sizes, extra, strict=True)]
    )


def made_of(shape: str, keys: str, measured: str) -> FlatPart:
    text = '[job]\ntitle = "x"\nnumber = "1"\nunits = "mm"\n[[bracket]]\nmark = "B1"\nthickness = 3\nlength = 80\n'
    (piece,) = pieces_of(read(text + f'shape = "{shape}"\nmeasured = "{measured}"\n{keys}\n'))
    assert piece.flat_part is not None
    return piece.flat_part
