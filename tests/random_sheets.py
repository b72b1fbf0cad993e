"""Random jobs of flat parts with holes, for the tests and benches of nesting; the same seed gives the same job."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence

import shapely
from shapely import Polygon

from fabgen.geometry.plane.outline import Circle, Corner, Loop, Outline
from fabgen.parts.piece import FlatPart, Grain, Hole, Piece
from fabgen.plan.plan import PlacedPart, SheetPlan

FINE = 0.002


def random_part(dice: random.Random, grain: Grain | None = None) -> FlatPart:
    """An L, triangle, disc, ring, plate with a hole, C or an irregular polygon, some 40 to 400 mm."""
    size = dice.uniform(40.0, 260.0)
    outline: Loop
    holes: tuple[Hole, ...] = ()
    match dice.choice(["L", "triangle", "disc", "ring", "irregular", "plate", "C"]):
        case "L":
            leg, high = size * dice.uniform(0.25, 0.5), size * dice.uniform(0.6, 1.6)
            corners = [(0, 0, 3), (size, 0, 3), (size, leg, 5), (leg, leg, 5), (leg, high, 3), (0, high, 3)]
            outline = Outline.from_corners([Corner(*corner) for corner in corners])
        case "triangle":
            top = Corner(size * dice.uniform(0.0, 0.8), size * dice.uniform(0.5, 1.0), 5)
            outline = Outline.from_corners([Corner(0, 0), Corner(size, 0, 5), top])
        case "disc":
            outline = Circle(0.0, 0.0, size)
        case "ring":
            outline = Circle(0.0, 0.0, size + 120.0)
            holes = (Hole(Circle(0.0, 0.0, size * 0.8 + 40.0)),)
        case "plate":
            high = size * dice.uniform(0.3, 1.5)
            outline = Outline.rectangle(size, high, 5.0)
            holes = (Hole(Circle(size / 2.0, high / 2.0, min(size, high) * dice.uniform(0.2, 0.8))),)
        case "C":
            leg = size / 4.0
            corners = [(0, 0, 4), (size, 0, 4), (size, leg, 0), (leg, leg, 4)]
            outline = Outline.from_corners(
                [Corner(*c) for c in corners + [(x, size - y, r) for x, y, r in corners[::-1]]]
            )
        case _:
            count = dice.randint(5, 9)
            radii = [size / 2.0 * dice.uniform(0.45, 1.0) for _ in range(count)]
            turns = [2.0 * math.pi * i / count for i in range(count)]
            outline = Outline.polygon([(r * math.cos(a), r * math.sin(a)) for r, a in zip(radii, turns, strict=True)])
    x, y = outline.bounds[:2]
    return FlatPart(3.0, outline.moved(-x, -y), tuple(Hole(hole.shape.moved(-x, -y)) for hole in holes), grain=grain)


def random_pieces(seed: int, marks: int, most: int = 4, grains: Sequence[Grain | None] = (None,)) -> list[Piece]:
    """`marks` pieces of 3 mm S235, 1 to `most` of each."""
    dice = random.Random(seed)
    return [
        Piece(f"P{i}", "plate", dice.randint(1, most), "S235", 1.0, random_part(dice, dice.choice(grains)))
        for i in range(marks)
    ]


def parts_of(pieces: Sequence[Piece]) -> dict[str, FlatPart]:
    return {piece.mark: piece.shape for piece in pieces if isinstance(piece.shape, FlatPart)}


def lying(part: FlatPart, place: PlacedPart) -> Polygon:
    """The metal of a part on its sheet, arcs as chords within 0.002 mm; by shapely's own turns and moves."""
    metal = Polygon(part.outline.points(FINE), [hole.shape.points(FINE) for hole in part.holes])
    return shapely.affinity.translate(shapely.affinity.rotate(metal, place.turn, origin=(0, 0)), place.x, place.y)


def room_to_spare(sheet: SheetPlan, parts: Mapping[str, FlatPart], gap: float, margin: float) -> float:
    """How much more than the gap and the margin the tightest place on a sheet has, mm; minus: too near, or outside."""
    # The edge's own chords lie inside its arcs: they must not count as too little room.
    whole = Polygon(sheet.outline.points(1e-7)) if sheet.outline else shapely.box(0.0, 0.0, *sheet.size)
    shapes = [lying(parts[place.mark], place) for place in sheet.placed]
    if not shapely.covers(whole, shapes).all():
        return -math.inf
    spare = float(shapely.distance(shapes, whole.exterior).min()) - margin
    tree = shapely.STRtree(shapes)
    pairs = [(i, j) for i, j in tree.query(shapes, predicate="dwithin", distance=gap + 1.0).T.tolist() if i < j]
    return min([spare, *(shapely.distance(shapes[i], shapes[j]) - gap for i, j in pairs)])
