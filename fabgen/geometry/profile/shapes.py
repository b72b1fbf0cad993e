"""The cross-sections that profiles are sold in, one function a shape; origin and axes are those of the trade's datum.

Lengths in mm, axes (y, z).  Radii: `root` between two flats on the inside, `toe` at their inner edges.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from fabgen.geometry.plane.outline import Circle, Corner, Edge, Outline, Xy
from fabgen.geometry.profile.cross_section import CrossSection, Face


def angle(a: float, b: float, t: float, root: float = 0.0, toe: float = 0.0, heel: float = 0.0) -> CrossSection:
    """An angle: its heel at the origin, leg a up along z, leg b along y.

    Args:
        a: leg a over all.
        b: leg b over all.
        t: thickness of both.
        root: radius between the legs.
        toe: radius at the inner edge of both toes.
        heel: radius at the heel, of a folded one root + t.
    Source: EN 10056-1, the shape its section properties are calculated with.
    """
    corners = [
        Corner(0.0, 0.0, heel),
        Corner(b, 0.0),
        Corner(b, t, toe),
        Corner(t, t, root),
        Corner(t, a, toe),
        Corner(0.0, a),
    ]
    names = {
        0: ("leg b outside", t),
        1: ("toe b", b),
        2: ("leg b inside", t),
        3: ("leg a inside", t),
        4: ("toe a", a),
        5: ("leg a outside", t),
    }
    slabs = (_box(0.0, 0.0, t, a), _box(t, 0.0, b, t))
    return _section(corners, names, slabs)


def channel(
    h: float, b: float, web: float, flange: float, root: float = 0.0, toe: float = 0.0, slope: float = 0.0,
    at: float = 0.5, heel: float = 0.0,
) -> CrossSection:  # fmt: skip
    """A channel: the middle of the back of its web at the origin, its height along z, its toes along +y.

    Args:
        h: over its flanges.
        b: width of a flange, the web counted.
        web: its thickness.
        flange: its thickness, of a tapered one at `at`.
        root: radius between web and flanges.
        toe: radius at the inner edges of the toes.
        slope: of the flanges' inside to their outside, a ratio; 0 where they are parallel.
        at: where `flange` is measured, as a share of b from the back.
        heel: radius at the two corners of the back, of a folded one root + web.
    Source: DIN 1026-1 for the tapered form (from memory), flange thickness in the middle of b, slope 8 %.
    """
    half = h / 2.0
    at_web, at_toe = flange + (at * b - web) * slope, flange - (1.0 - at) * b * slope
    corners = [
        Corner(0.0, -half, heel),
        Corner(b, -half),
        Corner(b, -half + at_toe, toe),
        Corner(web, -half + at_web, root),
        Corner(web, half - at_web, root),
        Corner(b, half - at_toe, toe),
        Corner(b, half),
        Corner(0.0, half, heel),
    ]
    names = {
        0: ("flange b outside", flange),
        1: ("toe b", b),
        2: ("flange b inside", flange),
        3: ("web inside", web),
        4: ("flange a inside", flange),
        5: ("toe a", b),
        6: ("flange a outside", flange),
        7: ("web outside", web),
    }
    slabs = (
        _box(0.0, -half, web, half),
        ((web, -half), (b, -half), (b, -half + at_toe), (web, -half + at_web)),
        ((web, half - at_web), (b, half - at_toe), (b, half), (web, half)),
    )
    return _section(corners, names, slabs)


def tee(
    h: float, b: float, flange: float, stem: float, root: float = 0.0, flange_toe: float = 0.0, stem_toe: float = 0.0,
    slope: float = 0.0,
) -> CrossSection:  # fmt: skip
    """A T: the middle of its flange's outside at the origin, its flange along y, its stem down along -z.

    Args:
        h: over all, flange and stem.
        b: width of the flange.
        flange: its thickness, of a tapered one at a quarter of b.
        stem: its thickness, of a tapered one at half of h.
        root: radius between flange and stem.
        flange_toe: radius at the inner edges of the flange.
        stem_toe: radius at the stem's two edges.
        slope: of the flange's inside and of both sides of the stem, a ratio; 0 where they are parallel.
    Source: EN 10055 for the tapered form, slope 2 % (from memory).
    """
    half, edge = b / 2.0, flange - b / 4.0 * slope
    low = stem / 2.0 - h / 2.0 * slope
    # Where the stem's side meets the flange's inside: y = low + (h + z) s and z = -edge - (half - y) s.
    y = (low + (h - edge - half * slope) * slope) / (1.0 - slope * slope)
    z = -edge - (half - y) * slope
    corners = [
        Corner(half, 0.0),
        Corner(-half, 0.0),
        Corner(-half, -edge, flange_toe),
        Corner(-y, z, root),
        Corner(-low, -h, stem_toe),
        Corner(low, -h, stem_toe),
        Corner(y, z, root),
        Corner(half, -edge, flange_toe),
    ]
    names = {
        0: ("flange outside", flange),
        1: ("toe a", b),
        2: ("flange inside a", flange),
        3: ("stem side a", stem),
        4: ("stem toe", h),
        5: ("stem side b", stem),
        6: ("flange inside b", flange),
        7: ("toe b", b),
    }
    slabs = (
        ((half, 0.0), (-half, 0.0), (-half, -edge), (-y, z), (y, z), (half, -edge)),
        ((-y, z), (-low, -h), (low, -h), (y, z)),
    )
    return _section(corners, names, slabs)


def flat(width: float, thickness: float) -> CrossSection:
    """A flat bar: its middle at the origin, its width along z, its wide faces looking along y and -y.

    Args:
        width: over all.
        thickness: over all.
    """
    y, z = thickness / 2.0, width / 2.0
    corners = [Corner(-y, -z), Corner(y, -z), Corner(y, z), Corner(-y, z)]
    names = {0: ("edge b", width), 1: ("face a", thickness), 2: ("edge a", width), 3: ("face b", thickness)}
    return _section(corners, names, (_box(-y, -z, y, z),))


def round_bar(diameter: float) -> CrossSection:
    """A round bar, its middle at the origin.

    Args:
        diameter: over all.
    """
    return CrossSection(Circle(0.0, 0.0, diameter))


def hexagon(across_flats: float) -> CrossSection:
    """A hexagon bar, its middle at the origin, two of its flats looking along z and -z.

    Args:
        across_flats: over two flats.
    """
    r = across_flats / math.sqrt(3.0)
    corners = [Corner(r * math.cos(math.pi * i / 3.0), r * math.sin(math.pi * i / 3.0)) for i in range(6)]
    names = {i: (f"flat {i + 1}", across_flats) for i in range(6)}
    return _section(corners, names, ())


def _box(y0: float, z0: float, y1: float, z1: float) -> tuple[Xy, ...]:
    return (y0, z0), (y1, z0), (y1, z1), (y0, z1)


def _section(
    corners: Sequence[Corner], names: dict[int, tuple[str, float]], slabs: tuple[tuple[Xy, ...], ...]
) -> CrossSection:
    """The section of corners, counter-clockwise, whose flat face of a number runs from that corner to the next."""
    outline = Outline.from_corners(corners)
    straight = [edge for edge in outline.edges() if not edge.is_arc]
    faces = []
    for i, (here, there) in enumerate(pairwise([*corners, corners[0]])):
        edge = next((edge for edge in straight if _lies_on(edge, here, there)), None)
        if edge is not None:
            faces.append(Face(names[i][0], edge.start, edge.end, names[i][1]))
    return CrossSection(outline, tuple(faces), slabs)


def _lies_on(edge: Edge, here: Corner, there: Corner) -> bool:
    """Whether an edge is what the radii at its two corners leave of the line between them: two toes of a channel lie on
    one line, but not between the same corners."""
    dx, dy = there.x - here.x, there.y - here.y
    length = math.hypot(dx, dy)

    def off(point: Xy) -> float:
        return abs(dx * (point[1] - here.y) - dy * (point[0] - here.x)) / length

    def along(point: Xy) -> float:
        return (dx * (point[0] - here.x) + dy * (point[1] - here.y)) / length

    on_line = off(edge.start) < 1e-7 and off(edge.end) < 1e-7
    return on_line and along(edge.start) > -1e-7 and along(edge.end) < length + 1e-7
