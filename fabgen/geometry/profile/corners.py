"""Outlines with the corners that some of their arcs round off."""

from __future__ import annotations

import math
from collections.abc import Callable

from fabgen.geometry.plane.outline import Edge, Outline, Vertex, Xy, without_repeats
from fabgen.geometry.profile.cross_section import CrossSection


def tangent_corner(edge: Edge) -> Xy:
    """Where the tangents at the two ends of an arc meet, mm.

    Args:
        edge: an arc of less than half a turn.
    """
    way = edge.radius * math.tan(abs(edge.sweep) / 2.0)
    heading = edge.heading_in
    return edge.start[0] + way * math.cos(heading), edge.start[1] + way * math.sin(heading)


def sharpened(outline: Outline, which: Callable[[Edge], bool]) -> Outline:
    """The outline with a sharp corner in place of some of its arcs.

    Args:
        outline: mm.
        which: whether an arc is made a corner; it is asked of arcs of less than half a turn alone.
    """
    edges = list(outline.edges())
    taken = [edge.is_arc and abs(edge.sweep) < math.pi - 0.1 and which(edge) for edge in edges]
    vertices: list[Vertex] = []
    for i, edge in enumerate(edges):
        if taken[i]:
            vertices.append(Vertex(*tangent_corner(edge)))
        elif not taken[i - 1]:  # what follows an arc that is taken begins at its corner now
            vertices.append(Vertex(*edge.start, edge.bulge))
    return Outline(without_repeats(vertices))


def with_sharp_toes(section: CrossSection) -> Outline:
    """A section's outline with its toes sharp; a folded heel, whose radius is more than the thickness, stays round.

    A notch is cut to this: straight to the corner, as it is marked, and not round a toe's radius.

    Args:
        section: angle, channel, T or flat.
    """
    assert isinstance(section.outline, Outline)
    thinnest = min(face.thickness for face in section.faces)
    return sharpened(section.outline, lambda edge: edge.bulge > 0.0 and edge.radius <= thinnest)


def with_sharp_roots(outline: Outline) -> Outline:
    """The outline with the inner corners that its root radii fill.

    Args:
        outline: of a section, mm.
    """
    return sharpened(outline, lambda edge: edge.bulge < 0.0)
