"""Straps rolled back from their flats: lengths by the mean diameter, places of holes by a reckoning of its own."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from faulty_straps import BOLTED, strap_job
from hypothesis import given
from hypothesis import strategies as st
from jobs import read
from shapely import affinity
from typer.testing import CliRunner

from fabgen.cli import app
from fabgen.job.errors import JobError
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Band, FlatPart, Piece
from fabgen.parts.shape.band_body import on_band
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.plan.job_plan import plan_job


def made(keys: str) -> Piece:
    return next(piece for piece in all_pieces(read(strap_job(keys))) if piece.mark == "S1")


def parts(keys: str) -> tuple[FlatPart, Band]:
    part = made(keys).flat_part
    assert part is not None
    assert part.band is not None
    return part, part.band


def ears(keys: str) -> np.ndarray:
    """Middles of the two ears' holes in the made strap, (2, 3)."""
    part, band = parts(keys)
    middles = [((h.shape.bounds[0] + h.shape.bounds[2]) / 2.0, part.size[1] / 2.0) for h in part.holes[:2]]
    return on_band(part, band, np.array(middles), 0.0)


@given(st.floats(20.0, 400.0), st.floats(1.0, 350.0), st.floats(1.5, 8.0))
def test_a_plain_arc_is_as_long_as_its_mean_diameter_says(around: float, arc: float, thick: float) -> None:
    """Mean diameter x pi x angle / 360 (common practice)."""
    part, _ = parts(
        f'round = {around}\nwidth = 30\nthickness = {thick}\nshape = "arc"\narc = {arc}\nends = "plain"\n'
        "straights = [5, 7]"
    )
    assert part.size[0] == pytest.approx(12.0 + (around + thick) * math.pi * arc / 360.0)
    assert part.bends == ()


@pytest.mark.parametrize("gap", [3.0, 8.0])
def test_the_ears_of_a_band_lie_side_by_side(gap: float) -> None:
    holes = ears(BOLTED + f"squeeze = {gap}\nradius = 5")
    # Mid-thickness of an ear lies half the gap and half the sheet from the middle; its bend ends where the
    # triangle of the two arcs' middles has its height: 30.15 + 2 and 5 + 2.
    beside, far = gap / 2.0 + 2.0, 32.15 + 7.0
    high = math.sqrt(far**2 - (beside + 7.0) ** 2) + 20.0
    assert sorted(holes[:, 0]) == pytest.approx([-beside, beside])
    assert holes[:, 1] == pytest.approx([high, high])
    assert holes[:, 2] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_the_ears_of_a_half_lie_half_the_gap_from_the_middle() -> None:
    holes = ears(BOLTED + 'shape = "half band"\nsqueeze = 4\nradius = 5\nquantity = 2')
    beside = math.sqrt(39.15**2 - (2.0 + 2.0 + 7.0) ** 2) + 20.0
    assert holes[:, 1] == pytest.approx([-4.0, -4.0])
    assert sorted(holes[:, 0]) == pytest.approx([-beside, beside])


def test_a_saddle_lies_on_what_the_tube_lies_on() -> None:
    holes = ears(BOLTED + 'shape = "saddle"\nradius = 5')
    assert holes[:, 1] == pytest.approx([30.15 - 2.0] * 2)
    beside = 32.15 + 7.0 + 20.0
    assert sorted(holes[:, 0]) == pytest.approx([-beside, beside])


def test_joggled_ends_are_set_out_by_their_step() -> None:
    part, band = parts('shape = "arc"\narc = 180\nends = "joggled"\njoggle = 6\near = 40\nradius = 5')
    ends = on_band(part, band, np.array([[0.0, 20.0], [part.size[0], 20.0]]), 0.0)
    assert sorted(ends[:, 0]) == pytest.approx([-38.15, 38.15])
    assert len(part.bends) == 4


@pytest.mark.parametrize("shape", ["band", "half band", "saddle"])
def test_the_body_has_the_metal_of_the_flat_and_lies_on_its_arc(shape: str) -> None:
    part, band = parts(BOLTED + f'shape = "{shape}"\nquantity = 2\nradius = 5')
    points = sheet_body(part, 0.02).vertices
    away = np.hypot(points[:, 0], points[:, 1])
    assert away.min() == pytest.approx(30.15, abs=0.05)
    assert band.inside == pytest.approx(60.3)
    assert np.ptp(points[:, 2]) == pytest.approx(40.0)


def test_the_flat_file_is_the_strip(tmp_path: Path) -> None:
    job = tmp_path / "s.toml"
    job.write_text(strap_job(BOLTED), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(tmp_path / "out")])
    assert result.exit_code == 0, result.output
    (file,) = (tmp_path / "out" / "s" / "flat").glob("S1*.dxf")
    space = ezdxf.readfile(file).modelspace()
    holes = sorted(hole.dxf.center.x for hole in space.query("CIRCLE"))
    part, _ = parts(BOLTED)
    (outline,) = space.query('LWPOLYLINE[layer=="CUT"]')
    xs = [point[0] for point in outline.get_points("xy")]
    assert max(xs) - min(xs) == pytest.approx(part.size[0], abs=1e-3)
    assert holes == pytest.approx([20.0, part.size[0] - 20.0], abs=1e-3)


def test_it_is_sawn_from_flat_bar_where_that_is_sold() -> None:
    job = read(strap_job(BOLTED))
    plan = plan_job(job, all_pieces(job))
    assert {cut.mark for bar in plan.bars for cut in bar.cuts} == {"S1", "T1"}
    assert not plan.sheets
    for keys in (BOLTED + 'cut_from = "sheet"', BOLTED + "width = 41\nthickness = 4"):
        job = read(strap_job(keys))
        plan = plan_job(job, all_pieces(job))
        assert {cut.mark for bar in plan.bars for cut in bar.cuts} == {"T1"}
        assert plan.sheets


def test_a_hole_of_the_job_is_counted_from_the_middle() -> None:
    part, band = parts(BOLTED + "holes = [{ at = [0, 0], diameter = 6 }]")
    at = part.holes[2].shape.bounds
    point = on_band(part, band, np.array([[(at[0] + at[2]) / 2.0, 20.0]]), 0.0)[0]
    assert point == pytest.approx([0.0, -32.15, 0.0], abs=1e-9)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ('round = "T9"', "T9"),
        ('shape = "arc"', "an arc needs its angle"),
        ("arc = 90", "arc has no meaning"),
        (BOLTED + "squeeze = 60", "wider than what it goes round"),
        ('bolt = "3/8"', "key bolt"),
        ('cut_from = "bar"\nwidth = 41\nthickness = 4', "no flat bar"),
        (BOLTED + "holes = [{ at = [0, 19], diameter = 6 }]", "leaves the outline"),
    ],
)
def test_what_cannot_be_is_refused(keys: str, said: str) -> None:
    with pytest.raises(JobError, match=said):
        made(keys)


@pytest.mark.parametrize(
    ("keys", "apart"),
    [
        # From the middle, as above: half the round and half the sheet, the ear's bend, half the ear.
        ('shape = "saddle"\nradius = 5', 2.0 * (32.15 + 7.0 + 20.0)),
        ('shape = "half band"\nsqueeze = 4\nradius = 5', 2.0 * (math.sqrt(39.15**2 - 11.0**2) + 20.0)),
    ],
)
def test_it_says_how_far_apart_the_holes_of_its_ears_come(keys: str, apart: float) -> None:
    (said,) = (each.text for each in made(BOLTED + keys).facts if each.key == "ear_holes")
    assert said.words("mm") == f"{apart:.1f} mm middle to middle when it is rolled"
    assert f"{apart / 25.4:.3f}" in said.words("in")


@pytest.mark.parametrize("keys", [BOLTED + 'shape = "band"', 'shape = "saddle"\near = 40'])
def test_ears_side_by_side_or_without_holes_say_nothing_of_it(keys: str) -> None:
    assert not [each for each in made(keys).facts if each.key == "ear_holes"]


@pytest.mark.parametrize(
    ("arc", "straights", "thick"), [(200.0, (0.0, 0.0), 4.0), (90.0, (30.0, 30.0), 5.0), (300.0, (25.0, 60.0), 3.0)]
)
def test_rolled_back_from_its_file_it_is_the_made_strap(
    arc: float, straights: tuple[float, float], thick: float, tmp_path: Path
) -> None:
    """The length of the DXF laid along straight, arc of the mean diameter, straight, by shapely alone: what that
    covers is what the made strap covers, seen from its end."""
    keys = f"shape = 'arc'\nends = 'plain'\narc = {arc}\nstraights = {list(straights)}\nthickness = {thick}\nwidth = 40"
    job = tmp_path / "s.toml"
    job.write_text(strap_job(keys), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(job), "--out", str(tmp_path / "out")])
    assert result.exit_code in (0, 1), result.output
    (file,) = (tmp_path / "out" / "s" / "flat").glob("S1*.dxf")
    (outline,) = ezdxf.readfile(file).modelspace().query('LWPOLYLINE[layer=="CUT"]')
    long = float(np.ptp([point[0] for point in outline.get_points("xy")]))
    mean, sweep = 60.3 / 2.0 + thick / 2.0, math.radians(arc)
    assert long == pytest.approx(sum(straights) + sweep * mean, abs=0.02)
    turn = np.linspace(0.0, sweep, 400)
    line = np.column_stack((mean * np.cos(turn), mean * np.sin(turn))).tolist()
    first = (line[0][0], line[0][1] - straights[0])
    last = (line[-1][0] - straights[1] * math.sin(sweep), line[-1][1] + straights[1] * math.cos(sweep))
    wanted = shapely.LineString([first, *line, last]).buffer(thick / 2.0, cap_style="flat", join_style="mitre")
    part, _ = parts(keys)
    body = sheet_body(part, 0.008)
    corners = body.vertices[body.triangles][:, :, :2]
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
    seen = shapely.union_all(shapely.polygons(corners[area > 1e-9]), grid_size=1e-6)
    apart = []
    for flipped in (wanted, affinity.scale(wanted, 1.0, -1.0, origin=(0.0, 0.0))):
        here, there = (math.atan2(each.centroid.y, each.centroid.x) for each in (flipped, seen))
        turned = affinity.rotate(flipped, there - here, origin=(0.0, 0.0), use_radians=True)
        apart.append(turned.symmetric_difference(seen).area)
    assert min(apart) < 0.005 * wanted.area


@pytest.mark.parametrize(
    ("thread", "bolt", "nut"),
    [("5/16-18 UNC", "5/16-18 UNC x ", "5/16-18 UNC"), ("5/16-24 UNF", "5/16-24 UNF x ", "5/16-24 UNF"),
     ("M8", "M8 x ", "M8"), ("M8 x 1", "M8 x 1 x ", "M8 x 1")],
)  # fmt: skip
def test_the_bolt_of_a_band_is_bought_by_its_thread(thread: str, bolt: str, nut: str) -> None:
    """Coarse and fine threads of one size must not be taken for each other."""
    of = {each.item: each.goods.name for each in made(BOLTED.replace("M8", thread)).hardware}
    assert of["bolt"].startswith(bolt)
    assert of["lock nut"] == nut
