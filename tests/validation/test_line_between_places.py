"""A cut line between its places: what a wrap draws straight from one place to the next, against rays.

Skin points are taken every 0.1 mm round the section, worked out here from its sizes; below each a fan
of rays through the wall runs back along the tube to the mains, which are cylinders and boxes in closed
form.  Nothing of the code under test but the piece's own line and the place of its end is used.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.part_tables import TubeEnd
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import LengthPart, WorkedEnd
from fabgen.parts.tube.tube import pieces
from fabgen.shop.section import Section

Array = NDArray[np.float64]
WITHIN = 0.02
"""mm; the manual claims a gap of 0.05 mm at most."""
PITCH = 0.1
DEPTHS = 33
MOST_PLACES = 800
"""A wrap stays small: a line has so many places at most."""

DIAGONAL = [620.0, 0.0, 480.0]


def job(*tubes: dict[str, Any]) -> Definitions:
    head = {"title": "t", "number": "1", "units": "mm", "date": "2026-01-01"}
    return Definitions.model_validate({"job": head, "tube": list(tubes)})


def tube(mark: str, section: Section, *route: list[float], **more: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": list(route), **more}


def box(width: float, depth: float, wall: float, corner: float) -> Section:
    return Section("rectangular", width, depth, wall, corner)


def pipe(diameter: float, wall: float) -> Section:
    return Section("round", diameter, diameter, wall)


ROUND_MAIN = tube("M", pipe(76.1, 3.2), [-800.0, 0.0, 0.0], [800.0, 0.0, 0.0])
BOX_MAIN = tube("M", box(80.0, 80.0, 4.0, 8.0), [-800.0, 0.0, 0.0], [800.0, 0.0, 0.0], turn=30.0)
SECOND = tube("N", pipe(60.3, 2.9), [0.0, -700.0, -25.0], [0.0, 700.0, 30.0], start={"cut": "plain"})
NODE = [0.0, 0.0, 0.0]
AWAY = [400.0, 300.0, 480.0]
OPEN = TubeEnd.model_validate({"opens": True}, context={})
ON_BOTH = {"onto": ["M", "N"]}
MITRED = {"cut": "mitre"}

COPES = {
    "box on round": job(ROUND_MAIN, tube("B", box(60.0, 60.0, 3.0, 4.5), NODE, DIAGONAL, turn=20.0)),
    "small corners": job(ROUND_MAIN, tube("B", box(70.0, 30.0, 2.0, 2.5), [0.0, 3.0, 0.0], [300.0, 250.0, 480.0])),
    "sharp corners": job(ROUND_MAIN, tube("B", box(50.0, 50.0, 3.0, 0.0), NODE, [300.0, 80.0, 480.0], turn=11.0)),
    "box on box": job(BOX_MAIN, tube("B", box(60.0, 40.0, 3.0, 4.5), NODE, [500.0, 90.0, 480.0], turn=35.0)),
    "round on box": job(BOX_MAIN, tube("B", pipe(48.3, 3.2), NODE, [500.0, 60.0, 480.0])),
    "equal rounds": job(ROUND_MAIN, tube("B", pipe(76.1, 3.2), NODE, [60.0, 0.0, 480.0])),
    "round on two": job(ROUND_MAIN, SECOND, tube("B", pipe(48.3, 3.2), NODE, AWAY, start=ON_BOTH)),
    "box on two": job(ROUND_MAIN, SECOND, tube("B", box(50.0, 50.0, 3.0, 4.5), NODE, AWAY, start=ON_BOTH)),
}

MITRES = {
    f"three {name}": job(
        tube("A", section, NODE, [600.0, 0.0, 0.0], start=MITRED),
        tube("B", section, NODE, [-300.0, 520.0, 40.0], start=MITRED),
        tube("C", section, NODE, [-250.0, -480.0, 260.0], start=MITRED),
    )
    for name, section in (("rounds", pipe(60.3, 2.9)), ("boxes", box(60.0, 60.0, 3.0, 4.5)))
}


# -- the section round its outside -----------------------------------------------------------
def around(section: Section) -> tuple[Array, Array, Array, Array]:
    """Skin (n, 2) with the first figure along axis 0, inward normals (n, 2), depth of wall (n,) and length round (n,),
    counter-clockwise from axis 0."""
    if section.is_round:
        radius = section.width / 2.0
        t = np.arange(math.ceil(section.perimeter / PITCH)) * 2.0 * math.pi / math.ceil(section.perimeter / PITCH)
        out = np.column_stack((np.cos(t), np.sin(t)))
        return radius * out, -out, np.full(len(t), section.wall), radius * t
    a, b, r = section.width / 2.0, section.depth / 2.0, section.corner
    skins, outs, depths, lengths = [], [], [], []
    done = 0.0
    # From the middle of the +axis 0 face: half of it, then corner, face, ... and the other half.
    runs = [(b - r), r, 2 * (a - r), r, 2 * (b - r), r, 2 * (a - r), r, (b - r)]
    sides = [np.array(v, dtype=float) for v in ((1, 0), (0, 1), (-1, 0), (0, -1), (1, 0))]
    reach = [a, b, a, b, a]
    for k, run in enumerate(runs):
        out = sides[k // 2]
        along = np.array([-out[1], out[0]])
        if k % 2 == 0:
            count = max(2, math.ceil(run / PITCH))
            s = (np.arange(count) + 0.5) / count * run
            start = 0.0 if k == 0 else -(reach[(k // 2 + 1) % 4] - r)
            skins.append(reach[k // 2] * out + (start + s)[:, None] * along)
            outs.append(np.tile(out, (count, 1)))
            depths.append(np.full(count, section.wall))
            lengths.append(done + s)
            done += run
        elif r > 0.0:
            count = max(12, math.ceil(r * math.pi / 2.0 / PITCH))
            t = (np.arange(count) + 0.5) / count * math.pi / 2.0
            normal = np.cos(t)[:, None] * out + np.sin(t)[:, None] * along
            centre = (reach[k // 2] - r) * out + (reach[(k // 2 + 1) % 4] - r) * along
            skins.append(centre + r * normal)
            outs.append(normal)
            depths.append(np.full(count, min(section.wall, r)))
            lengths.append(done + r * t)
            done += r * math.pi / 2.0
    return np.vstack(skins), -np.vstack(outs), np.concatenate(depths), np.concatenate(lengths)


def places(part: LengthPart, end: WorkedEnd) -> tuple[Array, Array, Array, Array]:
    """Skin points and inward normals in space (n, 3), depths, and stations from phi = 0."""
    skin, inward, depth, length = around(part.section)
    c, s = math.cos(end.top), math.sin(end.top)
    first, second = c * end.frame.y + s * end.frame.z, c * end.frame.z - s * end.frame.y
    angle = np.unwrap(np.arctan2(skin[:, 1], skin[:, 0]))
    # Where phi = 0 lies round from the first figure's middle.
    zero = np.interp((-end.top) % (2.0 * math.pi), angle, length)
    station = (length - zero) % part.section.perimeter
    across = np.vstack((first, second))
    return end.frame.origin + skin @ across, inward @ across, depth, station


# -- mains as rays meet them ---------------------------------------------------------------------
def farthest(main: LengthPart, points: Array, along: Array) -> Array:
    """Greatest x at which points + x along lie in an endless main; -inf where they never do."""
    frame = main.frame
    assert frame is not None
    p = np.column_stack(((points - frame.origin) @ frame.z, (points - frame.origin) @ frame.y))
    d = np.array([along @ frame.z, along @ frame.y])
    if main.section.is_round:
        return leaves_circle(p, d, np.zeros(2), main.section.width / 2.0)
    a, b, r = main.section.width / 2.0, main.section.depth / 2.0, main.section.corner
    found = [leaves_box(p, d, a, b - r), leaves_box(p, d, a - r, b)]
    for i, j in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        found.append(leaves_circle(p, d, np.array([i * (a - r), j * (b - r)]), r))
    return np.max(found, axis=0)


def leaves_circle(p: Array, d: Array, centre: Array, radius: float) -> Array:
    q = p - centre
    a, b, c = float(d @ d), q @ d, (q * q).sum(axis=1) - radius**2
    inside = b * b - a * c
    return np.where(inside >= 0.0, (-b + np.sqrt(np.maximum(inside, 0.0))) / a, -np.inf)


def leaves_box(p: Array, d: Array, a: float, b: float) -> Array:
    low, high = np.full(len(p), -np.inf), np.full(len(p), np.inf)
    for i, half in enumerate((a, b)):
        if abs(d[i]) < 1e-12:
            low = np.where(np.abs(p[:, i]) <= half, low, np.inf)
            continue
        one, two = (-half - p[:, i]) / d[i], (half - p[:, i]) / d[i]
        low, high = np.maximum(low, np.minimum(one, two)), np.minimum(high, np.maximum(one, two))
    return np.where(low <= high, high, -np.inf)


# -- the checks ---------------------------------------------------------------------------------------
def errors(part: LengthPart, end: WorkedEnd, true: Array, station: Array) -> Array:
    """How far the line, straight from place to place, lies off, mm along the tube."""
    drawn = np.interp(station, end.line.station, end.line.x, period=part.section.perimeter)
    return np.abs(drawn - true)


@pytest.mark.parametrize("name", COPES)
def test_a_cope_drawn_straight_from_place_to_place(name: str) -> None:
    made = {piece.mark: piece.length_part for piece in pieces(COPES[name])}
    part = made["B"]
    assert part is not None
    end = part.ends[0]
    assert end.cut == "cope"
    assert not end.line.misses
    skin, inward, depth, station = places(part, end)
    true = np.full(len(skin), -np.inf)
    for joint in end.joints:
        main = made[joint.onto]
        assert main is not None
        for share in np.linspace(0.0, 1.0, DEPTHS):
            points = skin + share * depth[:, None] * inward
            true = np.maximum(true, farthest(main, points, end.frame.x))
    assert errors(part, end, true, station).max() < WITHIN
    assert len(end.line.x) <= MOST_PLACES


@pytest.mark.parametrize("name", MITRES)
def test_a_mitre_of_three_drawn_straight_from_place_to_place(name: str) -> None:
    made = [part for piece in pieces(MITRES[name]) if (part := piece.length_part) is not None]
    for part in made:
        end = part.ends[0]
        skin, _, _, station = places(part, end)
        own = end.frame.x
        true = np.full(len(skin), -np.inf)
        for other in made:
            if other is not part:
                normal = own - other.ends[0].frame.x
                true = np.maximum(true, -(skin @ normal) / (own @ normal))
        assert errors(part, end, true, station).max() < WITHIN
        assert len(end.line.x) <= MOST_PLACES


@pytest.mark.parametrize("bore", ["box on round", "small corners", "round on box"])
def test_the_edge_of_a_hole_drawn_straight_from_place_to_place(bore: str) -> None:
    """On a round main the station is radius times angle; on a box its faces alone are held against rays."""
    given = COPES[bore]
    opened = given.model_copy(update={"tube": [given.tube[0], given.tube[1].model_copy(update={"start": OPEN})]})
    made = {piece.mark: piece.length_part for piece in all_pieces(opened)}
    main, branch = made["M"], made["B"]
    assert main is not None
    assert branch is not None
    (hole,) = main.holes
    drawn = shapely.LinearRing(np.column_stack((hole.edge.station, hole.edge.along)))
    skin, inward, _, _ = places(branch, branch.ends[0])
    bored = skin + branch.section.wall * inward
    frame = main.frame
    assert frame is not None
    points = bored + farthest(main, bored, branch.ends[0].frame.x)[:, None] * branch.ends[0].frame.x
    own = np.column_stack(tuple((points - frame.origin) @ axis for axis in (frame.x, frame.y, frame.z)))
    if main.section.is_round:
        station = main.section.width / 2.0 * np.arctan2(-own[:, 1], own[:, 2])
    else:
        half, corner = main.section.width / 2.0, main.section.corner
        top = (own[:, 2] > half - 1e-6) & (np.abs(own[:, 1]) < main.section.depth / 2.0 - corner)
        own, station = own[top], -own[top, 1]
    away = shapely.distance(drawn, shapely.points(station, own[:, 0]))
    assert len(away) > 500
    assert away.max() < WITHIN
    assert len(hole.edge.station) <= MOST_PLACES
