"""Outlines of flat parts from their definition: a rectangle, a disc, a stadium or corners."""

from __future__ import annotations

from fabgen.geometry.plane.outline import Circle, Corner, Loop, Outline, OutlineError
from fabgen.geometry.plane.regions import crossing
from fabgen.job.errors import Path, Problem
from fabgen.job.tables.flat_tables import CornerGiven, OutlineKeys
from fabgen.wording.figures import figure


def outline_from(keys: OutlineKeys, path: Path, problems: list[Problem]) -> Loop | None:
    """The outline that `keys` give.

    Args:
        path: of the table that holds the keys; faults are added to `problems`.
    Returns: the outline in its own coordinates, mm; None where there was a fault.
    """
    round_shape = "disc" if keys.disc is not None else "stadium" if keys.stadium is not None else ""
    if round_shape and (keys.corner_radius or keys.corner_chamfer):
        key = "corner_radius" if keys.corner_radius else "corner_chamfer"
        problems.append(Problem((*path, key), f"a {round_shape} has no corners", f"leave `{key}` out"))
        return None
    if keys.disc is not None:
        return Circle(0.0, 0.0, keys.disc)
    try:
        if keys.stadium is not None:
            return Outline.stadium(keys.stadium[0], keys.stadium[1])
        outline = Outline.from_corners(_corners(keys))
    except OutlineError as error:
        problems.append(Problem(_corner_path(keys, path, error), error.said, _accepted(keys)))
        return None
    if keys.corners is not None and (what := crossing_words(outline)):
        accepted = "corners in the order in which one walks round the part"
        problems.append(Problem((*path, "corners"), what, accepted))
        return None
    return outline


def crossing_words(outline: Loop, name: str = "the outline") -> str:
    """Where the outline crosses or touches itself, as a fault says it; '' when it does not."""
    spot = crossing(outline)
    return "" if spot is None else f"{name} crosses or touches itself near ({figure(spot[0])}, {figure(spot[1])})"


def rectangle_corners(width: float, height: float, radius: float = 0.0, chamfer: float = 0.0) -> list[Corner]:
    """The corners of a rectangle from its lower left one, at (0, 0), counter-clockwise; all in mm."""
    places = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    return [Corner(x, y, radius, chamfer) for x, y in places]


def _corners(keys: OutlineKeys) -> list[Corner]:
    if keys.corners is None:
        width, height = keys.rectangle or (0.0, 0.0)
        return rectangle_corners(width, height, keys.corner_radius, keys.corner_chamfer)
    return [_corner(given, keys) for given in keys.corners]


def _corner(given: CornerGiven, keys: OutlineKeys) -> Corner:
    """The corner as given; one that says nothing of its own (not even 0) takes the outline's radius or chamfer."""
    own = given.model_fields_set & {"radius", "chamfer"}
    radius, chamfer = (given.radius, given.chamfer) if own else (keys.corner_radius, keys.corner_chamfer)
    return Corner(given.at[0], given.at[1], radius, chamfer)


def _corner_path(keys: OutlineKeys, path: Path, error: OutlineError) -> Path:
    if keys.stadium is not None:
        return (*path, "stadium")
    if keys.corners is not None:
        return (*path, "corners", *error.key)
    return (*path, "corner_radius" if keys.corner_radius else "corner_chamfer" if keys.corner_chamfer else "rectangle")


def _accepted(keys: OutlineKeys) -> str:
    if keys.stadium is not None:
        return "[length over all, width], the length the greater; for equal sizes a disc"
    return "corners apart from one another, with a radius or chamfer that leaves the edges between them some length"
