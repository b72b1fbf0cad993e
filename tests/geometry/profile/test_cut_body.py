"""Bodies of profiles with both ends cut: closed, and of the volume that their section and length give."""

from __future__ import annotations

import math

import manifold3d as m3
import numpy as np
import pytest

from fabgen.geometry.profile.corners import with_sharp_toes
from fabgen.geometry.profile.cross_section import CrossSection
from fabgen.geometry.profile.cut_body import cut_body, parted
from fabgen.geometry.profile.end_cut import SawnPlane, notched_end, sawn_end
from fabgen.geometry.profile.limbs import marked_limbs
from fabgen.geometry.profile.notch import notch_lines
from fabgen.geometry.profile.prism import ProfilePrism
from fabgen.geometry.profile.shapes import angle, channel, flat, tee
from fabgen.geometry.space.frame import Frame
from fabgen.geometry.space.mesh import EdgedMesh

HALF = math.sqrt(0.5)


def solid(mesh: EdgedMesh) -> m3.Manifold:
    """As the library takes it: closed, or it says so."""
    body = m3.Manifold(m3.Mesh(mesh.vertices.astype(np.float32), mesh.triangles.astype(np.uint32)))
    assert body.status() == m3.Error.NoError
    return body


def volume(mesh: EdgedMesh) -> float:
    a, b, c = np.moveaxis(mesh.corners, 1, 0)
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


SECTIONS = [angle(40, 60, 4), channel(80, 45, 6, 8), tee(50, 50, 6, 6), flat(40, 5)]


@pytest.mark.parametrize("section", SECTIONS, ids=["angle", "channel", "tee", "flat"])
@pytest.mark.parametrize("normal", [(1.0, 0.0, 0.0), (HALF, HALF, 0.0), (HALF, 0.0, -HALF), (0.8, 0.48, 0.36)])
def test_a_sawn_bar_has_the_volume_along_its_centroid(
    section: CrossSection, normal: tuple[float, float, float]
) -> None:
    """A plane through the datum cuts the centroid's line at -(ny y + nz z) / nx: area times what is left of it."""
    start = sawn_end(marked_limbs(section), SawnPlane(0.0, normal))
    mesh = cut_body(section, start, sawn_end(marked_limbs(section.flipped()), SawnPlane(0.0)), 300.0)
    y, z = section.centroid
    assert volume(mesh) == pytest.approx(section.area * (300.0 + (normal[1] * y + normal[2] * z) / normal[0]), rel=1e-6)
    solid(mesh)


@pytest.mark.parametrize(
    "section", [angle(40, 60, 4, root=4, heel=8), channel(80, 45, 5, 5, root=5, heel=10)], ids=["angle", "channel"]
)
@pytest.mark.parametrize("lean", [0.0, HALF])
def test_the_bends_of_a_folded_section_are_there(section: CrossSection, lean: float) -> None:
    """A plane that leans along z cuts the centroid's line of the finish at its height."""
    limbs = marked_limbs(section), marked_limbs(section.flipped())
    ends = SawnPlane(0.0), SawnPlane(0.0, (math.sqrt(1.0 - lean**2), 0.0, lean))
    mesh = cut_body(section, *(sawn_end(each, plane) for each, plane in zip(limbs, ends, strict=True)), 300.0)
    long = 300.0 + lean / ends[1].normal[0] * section.centroid[1]
    assert volume(mesh) == pytest.approx(section.area * long, rel=2e-3)
    solid(mesh)


def test_a_notched_body_clears_its_main_at_both_ends() -> None:
    """An angle flush between two: what is cut off it is 40 of the flat leg, and of the upright one a corner."""
    section = angle(40, 40, 4, 6, 3)
    cut_to = with_sharp_toes(section)
    near = Frame(np.zeros(3), np.array([-1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, -1.0]))
    far = Frame(np.array([0, 500.0, 0]), np.array([1.0, 0, 0]), np.array([0, -1.0, 0]), np.array([0, 0, -1.0]))
    start = Frame(np.array([100.0, 0, 0]), np.array([0, 1.0, 0]), np.array([1.0, 0, 0]), np.array([0, 0, -1.0]))
    finish = Frame(np.array([100.0, 500, 0]), -start.x, -start.y, start.z)
    ends = [
        notched_end(notch_lines(marked_limbs(seen), frame, [ProfilePrism(main, cut_to)]))
        for seen, frame, main in ((section, start, near), (section.flipped(), finish, far))
    ]
    mesh = cut_body(section, ends[0], ends[1], 500.0)
    # The flat leg over 500 - 2 * 40 and the upright one, mitred at the heel; a root is drawn empty.
    flat_leg = 4.0 * (40.0 * 420.0 - 4.0 / 2.0 * 420.0)
    upright = 4.0 * (500.0 * 40.0 - 2.0 * (4.0 * 30.0 + 7.0 * 6.0 + 40.0 * 4.0)) - 4.0 * 4.0 / 2.0 * 420.0
    assert volume(mesh) == pytest.approx(flat_leg + upright, rel=1e-4)
    for frame in (near, far):
        long = Frame(frame.origin - 200.0 * np.abs(frame.x), frame.x, frame.y, frame.z)
        bar = m3.Manifold.extrude(m3.CrossSection([section.outline.points(0.01)]), 800.0).translate([0, 0, -400.0])
        main = bar.transform(np.column_stack((frame.y, frame.z, frame.x, long.origin)))
        assert (solid(mesh.in_frame(start)) ^ main).volume() < 0.5


def test_seen_from_its_finish_a_section_has_its_limbs_the_other_way_round() -> None:
    for section in SECTIONS[:2]:
        there = [limb.name for limb in marked_limbs(section)]
        assert [limb.name for limb in marked_limbs(section.flipped())] == there[::-1]


@pytest.mark.parametrize("section", SECTIONS[:3], ids=["angle", "channel", "tee"])
def test_a_body_parted_into_its_flats_is_the_same_metal(section: CrossSection) -> None:
    start = sawn_end(marked_limbs(section), SawnPlane(0.0, (0.8, 0.48, 0.36)))
    mesh = cut_body(section, start, sawn_end(marked_limbs(section.flipped()), SawnPlane(0.0)), 300.0)
    flats = solid(parted(mesh, section)).decompose()
    assert len(flats) == len(section.slabs)
    assert sum(each.volume() for each in flats) == pytest.approx(volume(mesh), rel=1e-5)
