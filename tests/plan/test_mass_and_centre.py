"""Mass and centre of gravity of the whole."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from jobs import pieces_of, read

from fabgen.plan.mass_and_centre import mass_and_centre, tube_centre

HEAD = '[job]\ntitle = "W"\nnumber = "W"\nunits = "mm"\n'


def tube(mark: str, a: list[float], b: list[float], section: str = "40 x 3", more: str = "") -> str:
    return f'[[tube]]\nmark = "{mark}"\nsection = "{section}"\nroute = [{a}, {b}]\n{more}\n'


def test_plain_tubes_have_their_centres_in_the_middle() -> None:
    job = read(HEAD + tube("T1", [0, 0, 0], [1000, 0, 0]) + tube("T2", [0, 500, 100], [0, 1500, 100]))
    whole = mass_and_centre(pieces_of(job))
    assert whole.centre == pytest.approx((250.0, 500.0, 50.0), abs=1e-6)
    assert whole.placed_mass == pytest.approx(whole.mass)
    assert whole.unplaced == ()


def test_what_has_no_place_is_named_and_weighed() -> None:
    text = (
        HEAD
        + tube("T1", [0, 0, 0], [1000, 0, 0], more="quantity = 3")
        + '[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [100, 100]\nquantity = 2\n'
    )
    whole = mass_and_centre(pieces_of(read(text)))
    assert whole.unplaced == (("T1", 2), ("P1", 2))
    assert whole.centre == pytest.approx((500.0, 0.0, 0.0), abs=1e-6)
    assert whole.placed_mass == pytest.approx(1000 * math.pi / 4 * (40**2 - 34**2) * 7850e-9)
    assert whole.mass == pytest.approx(3 * whole.placed_mass + 2 * 5 * 100 * 100 * 7850e-9)


@pytest.mark.parametrize(("at", "unplaced"), [("", (("U1", 2),)), ("at = 250\n", (("U1", 1),))])
def test_a_bent_bar_counts_where_it_stands(at: str, unplaced: tuple[tuple[str, int], ...]) -> None:
    """Without `at` it has a drawing of its own, but no place in the job."""
    bar = '[[bar]]\nmark = "U1"\nshape = "U-bolt"\ndiameter = 12\naround = "T1"\nquantity = 2\n'
    job = read(HEAD + tube("T1", [0, 0, 500], [1000, 0, 500]) + bar + at)
    whole = mass_and_centre(pieces_of(job))
    assert whole.unplaced == unplaced
    assert whole.centre is not None
    assert (whole.centre[0] < 499.0) == bool(at)
    assert whole.centre[1:] == pytest.approx((0.0, 500.0), abs=1e-6 if not at else 10.0)


def test_no_place_no_centre() -> None:
    text = HEAD + '[[plate]]\nmark = "P1"\nthickness = 5\nrectangle = [100, 100]\n'
    assert mass_and_centre(pieces_of(read(text))).centre is None


@pytest.mark.parametrize(("section", "lean"), [("33.7 x 2.6", 60.0), ("33.7 x 2.6", 90.0), ("30 x 30 x 2", 50.0)])
def test_a_coped_tube_agrees_with_its_solid(section: str, lean: float) -> None:
    """The same tube made as a solid by manifold3d: branch less main, its centre by the mesh's volume integrals."""
    import manifold3d as m3

    c, s = math.cos(math.radians(lean)), math.sin(math.radians(lean))
    text = (
        HEAD
        + tube("T1", [-500, 0, 0], [500, 0, 0], "60.3 x 3.2")
        + tube("T2", [0, 0, 0], [200 * c, 0, 200 * s], section)
    )
    branch = pieces_of(read(text))[1]
    part = branch.length_part
    assert part is not None
    centre = tube_centre(part)
    assert centre is not None

    def cylinder(diameter: float, length: float) -> m3.Manifold:
        return m3.Manifold.cylinder(length, diameter / 2, diameter / 2, 720)

    if part.section.is_round:
        hollow = cylinder(33.7, 200) - cylinder(33.7 - 5.2, 200)
    else:
        outer = m3.CrossSection.square([30 - 8, 30 - 8], True).offset(4.0, m3.JoinType.Round, circular_segments=360)
        inner = m3.CrossSection.square([26 - 4, 26 - 4], True).offset(2.0, m3.JoinType.Round, circular_segments=360)
        hollow = m3.Manifold.extrude(outer - inner, 200)
    leant = hollow.rotate([0, 90.0 - lean, 0])
    main = cylinder(60.3, 1000).translate([0, 0, -500]).rotate([0, 90, 0])
    solid = leant - main
    mesh = solid.to_mesh()
    points = np.asarray(mesh.vert_properties)[:, :3].astype(float)
    a, b, d = (points[np.asarray(mesh.tri_verts)[:, k]] for k in range(3))
    volume = np.einsum("ij,ij->i", a, np.cross(b, d)) / 6.0
    expected = (volume[:, None] * (a + b + d) / 4.0).sum(axis=0) / volume.sum()
    assert branch.mass == pytest.approx(volume.sum() * 7850e-9, rel=0.01)
    assert np.allclose(centre, expected, atol=0.6)


BENT = '[[tube]]\nmark = "H1"\nsection = "{section}"\nroute = {route}\nbend_radius = {radius}\n'


def bent_centre(section: str, route: object, radius: float, before: str = "") -> np.ndarray:
    job = read(HEAD + before + BENT.format(section=section, route=route, radius=radius))
    part = next(piece for piece in pieces_of(job) if piece.mark == "H1").length_part
    assert part is not None
    centre = tube_centre(part)
    assert centre is not None
    return centre


def test_a_hoop_worked_by_hand() -> None:
    # Legs of 850, a crown of 700, two quarter bends of 150, each with its centre of gravity 2 r / pi from its centre
    # both ways.
    turn, off = 150 * math.pi / 2, 2 * 150 / math.pi
    length = 2 * 850 + 700 + 2 * turn
    height = (2 * 850 * 425 + 700 * 1000 + 2 * turn * (850 + off)) / length
    centre = bent_centre("44.5 x 2.6", [[0, 500, 0], [0, 500, 1000], [0, -500, 1000], [0, -500, 0]], 150)
    assert centre == pytest.approx((0.0, 0.0, height), abs=1e-6)


@pytest.mark.parametrize(
    "route",
    [
        [[0, 0, 0], [600, 0, 0], [900, 250, 100], [1000, 260, 700]],
        # An offset, its ends opposite one another as those of a straight tube.
        [[0, 0, 0], [400, 0, 0], [700, 200, 0], [1200, 200, 0]],
    ],
)
def test_a_bent_tube_agrees_with_dense_points_on_its_route(route: list[list[float]]) -> None:
    """Points every fraction of a millimetre: legs cut back by r tan(a / 2), bends as circles by their tangents."""
    points, radius = np.array(route, dtype=float), 120.0
    samples: list[np.ndarray] = []
    weights: list[np.ndarray] = []
    ways = [(b - a) / np.linalg.norm(b - a) for a, b in pairwise(points)]
    backs = [0.0]
    for one, other in pairwise(ways):
        backs.append(radius * math.tan(math.acos(float(one @ other)) / 2))
    backs.append(0.0)
    for i, way in enumerate(ways):
        begin, end = points[i] + backs[i] * way, points[i + 1] - backs[i + 1] * way
        t = (np.arange(4000) + 0.5) / 4000
        samples.append(begin + t[:, None] * (end - begin))
        weights.append(np.full(4000, np.linalg.norm(end - begin) / 4000))
        if i + 1 < len(ways):
            angle = math.acos(float(way @ ways[i + 1]))
            inward = ways[i + 1] - (ways[i + 1] @ way) * way
            inward /= np.linalg.norm(inward)
            a = t * angle
            arc = end + radius * (np.sin(a)[:, None] * way + (1 - np.cos(a))[:, None] * inward)
            samples.append(arc)
            weights.append(np.full(4000, radius * angle / 4000))
    expected = np.average(np.vstack(samples), axis=0, weights=np.concatenate(weights))
    assert bent_centre("38 x 2.5", route, radius) == pytest.approx(expected, abs=1e-3)


def test_the_coped_end_of_a_bent_tube_counts() -> None:
    """Near to a square cut at the main's skin, 30.15 mm short; the same whichever end is coped."""
    main = tube("M1", [0, -300, 0], [0, 300, 0], "60.3 x 3.2")
    coped = bent_centre("33.7 x 2.6", [[0, 0, 0], [800, 0, 0], [1200, 300, 0]], 150, main)
    plain = bent_centre("33.7 x 2.6", [[0, 0, 0], [800, 0, 0], [1200, 300, 0]], 150)
    length = 800 + 500 - 2 * 150 * math.tan(math.atan2(300, 400) / 2) + 150 * math.atan2(300, 400)
    y = plain[1] * length / (length - 30.15)
    assert coped[1] == pytest.approx(y, rel=3e-3)
    assert coped[0] > plain[0] + 10.0
    back = bent_centre("33.7 x 2.6", [[1200, 300, 0], [800, 0, 0], [0, 0, 0]], 150, main)
    assert back == pytest.approx(coped, abs=0.01)


def test_bent_tubes_have_a_place() -> None:
    text = HEAD + BENT.format(section="44.5 x 2.6", route=[[0, 0, 0], [500, 0, 0], [500, 500, 0]], radius=150)
    whole = mass_and_centre(pieces_of(read(text)))
    assert whole.unplaced == ()
    assert whole.placed_mass == pytest.approx(whole.mass)
