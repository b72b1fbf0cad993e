"""Edges of sheet parts that meet others, carried back to their flats: against corners worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, toml, tube, tubes_text

from fabgen.geometry.plane.outline import Xy
from fabgen.parts.shape.welds.welded_edge import WeldedEdge

BOX = tube("T1", (0, 0, 0), (800, 0, 0), section="100 x 100 x 4")
ROUND = tube("T1", (0, 0, 0), (800, 0, 0), section="48.3 x 3.2")
UP = tube("T1", (0, 0, 0), (0, 0, 200), section="76.1 x 2.9")
CHANNEL = {"mark": "B1", "shape": "channel", "thickness": 4, "web": 60, "flanges": [40, 40], "length": 80}
HOLE = [{"at": [50, 30], "bolt": "M10"}]


def plate(mark: str, at: tuple[float, ...], along: Any = (1, 0, 0), up: Any = (0, 0, 1), **keys: Any) -> dict[str, Any]:
    place = {"at": list(at), "along": list(along), "up": list(up)}
    return {"mark": mark, "thickness": 6, "rectangle": [100, 60], "place": place} | keys


def edges(mark: str, **tables: Any) -> tuple[WeldedEdge, ...]:
    return checked(definitions(**tables), planned=True).contacts.welded_edges.get(mark, ())


def ends(edge: WeldedEdge) -> tuple[Xy, Xy]:
    """The ends of a straight edge, within 0.2 mm, in the order in which it runs."""
    first, last = edge.line[0], edge.line[-1]
    return (round(first[0]), round(first[1])), (round(last[0]), round(last[1]))


@pytest.mark.parametrize("main", [BOX, ROUND], ids=["box", "round"])
def test_a_plate_on_edge_is_met_on_both_its_sides(main: dict[str, Any]) -> None:
    top = 50 if main is BOX else 24.15
    (edge,) = edges("P1", tube=[main], plate=[plate("P1", (100, 3, top), up=(0, -1, 0))])
    assert (edge.on, edge.side, edge.butts, edge.whole) == (("T1",), "both", False, False)
    assert ends(edge) == ((0, 0), (100, 0))


def test_a_bracket_with_two_feet_has_an_edge_of_each_leg_on_the_tube() -> None:
    """The flat is as wide as both legs, the web and two allowances; its first leg ends at 0, its second at its top."""
    stands = {"at": [300, 30, 90], "of": [0, 0], "along": [1, 0, 0], "up": [0, 0, -1]}
    tables = {"tube": [BOX], "bracket": [CHANNEL | {"place": stands}]}
    found = edges("B1", **tables)
    (piece,) = [each for each in checked(definitions(**tables), planned=True).pieces if each.mark == "B1"]
    assert piece.flat_part is not None
    height = piece.flat_part.size[1]
    assert sorted(ends(edge) for edge in found) == [((0, 0), (80, 0)), ((80, round(height)), (0, round(height)))]
    assert {(edge.on, edge.side) for edge in found} == {(("T1",), "both")}


def test_of_feet_that_stand_on_two_tubes_each_says_its_own() -> None:
    rails = [tube(f"T{n}", (0, y, 0), (800, y, 0), section="40 x 40 x 3") for n, y in ((1, 28), (2, -28))]
    stands = {"at": [300, 30, 60], "of": [0, 0], "along": [1, 0, 0], "up": [0, 0, -1]}
    found = edges("B1", tube=rails, bracket=[CHANNEL | {"place": stands}])
    assert sorted((edge.on, edge.line[0][1] > 60.0) for edge in found) == [(("T1",), False), (("T2",), True)]


def test_what_lies_on_a_plate_is_met_at_its_edges_and_not_the_plate_at_any_of_its_own() -> None:
    tables = {"plate": [plate("P1", (0, 0, 0)), plate("P2", (20, 10, 6), rectangle=[40, 30])]}
    assert not edges("P1", **tables)
    (edge,) = edges("P2", **tables)
    assert (edge.on, edge.side, edge.whole) == (("P1",), "arrow", True)


def test_what_lies_under_a_plate_is_met_on_the_other_side_of_its_flat() -> None:
    tables = {"plate": [plate("P1", (0, 0, 0)), plate("P2", (20, 10, -6), rectangle=[40, 30])]}
    (edge,) = edges("P2", **tables)
    assert (edge.side, edge.whole) == ("other", True)


def test_plates_that_butt_meet_at_an_edge_of_each() -> None:
    tables = {"plate": [plate("P1", (0, 0, 0)), plate("P2", (100, 0, 0))]}
    (one,), (other,) = edges("P1", **tables), edges("P2", **tables)
    assert (ends(one), ends(other)) == (((100, 0), (100, 60)), ((0, 60), (0, 0)))
    assert one.butts
    assert (one.on, other.on) == (("P2",), ("P1",))


def test_a_lid_within_the_wall_of_its_tube_is_met_all_round() -> None:
    (edge,) = edges("P1", tube=[UP], plate=[{"mark": "P1", "thickness": 3, "disc": 72, "place": {"at": [0, 0, 200]}}])
    assert edge.whole


def test_of_a_mirrored_pair_the_edges_are_mirrored() -> None:
    """The rail ends under the plate: of the image the edge begins as far from its other end."""
    rail = tube("T1", (0, 300, 0), (140, 300, 0), section="48.3 x 3.2")
    given = {"mark": "P1", "thickness": 6, "corners": [[0, 0], [100, 0], [70, 60], [0, 60]]}
    place = {"at": [100, 303, 24.15], "along": [1, 0, 0], "up": [0, -1, 0]}
    table = [f"{key} = {toml(value)}" for key, value in (given | {"place": place}).items()]
    text = "\n".join([tubes_text(rail), "[[plate]]", *table, "[[mirror]]", 'parts = ["T1", "P1"]', ""])
    found = checked(text, planned=True).contacts.welded_edges
    assert [(each.on, ends(each)) for each in found["P1"]] == [(("T1",), ((0, 0), (40, 0)))]
    assert [(each.on, ends(each)) for each in found["P1-R"]] == [(("T1-R",), ((60, 0), (100, 0)))]


def test_what_is_bolted_has_none() -> None:
    plates = [plate("P1", (0, 0, 0), holes=HOLE), plate("P2", (0, 0, 6), holes=HOLE)]
    bolt = {"thread": "M10", "through": ["P2", "P1"]}
    assert not edges("P1", plate=plates, bolt=[bolt])
    assert not edges("P2", plate=plates, bolt=[bolt])
