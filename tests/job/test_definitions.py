"""The tables of a job file, built straight from values."""

import datetime as dt
import math

import pytest
from pydantic import ValidationError

from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.definitions import Definitions, Header, OwnMaterial, Stock
from fabgen.job.tables.fields import Context, Point
from fabgen.job.tables.flat_tables import HoleGiven, Plate
from fabgen.job.tables.link_tables import Link
from fabgen.job.tables.part_tables import Tube
from fabgen.job.values.quantity import Quantity
from fabgen.shop.section import Section

JOB = {"title": "t", "number": 7, "units": "mm"}


def faults(model: type, **keys: object) -> str:
    with pytest.raises(ValidationError) as caught:
        model(**keys)
    return str(caught.value)


def test_values_arrive_in_mm_and_rad() -> None:
    tube = Tube(mark=3, section="2 x 1 x 1/8 in", route=[[0, 0, 0], [0, "1 ft", 0]], turn="90 deg")
    assert tube.mark == "3"
    assert tube.section == Section("rectangular", 50.8, 25.4, 3.175, 6.35)
    assert tube.route[1] == Point(0.0, 304.8, 0.0)
    assert tube.turn == pytest.approx(math.pi / 2)
    assert (tube.start.cut, tube.start.onto, tube.finish.extend) == ("auto", None, 0.0)


def test_context_gives_units_and_names() -> None:
    context = Context("in", {"a": Quantity(10.0, length=1)}, {"A": Point(1, 2, 3, "A")}, {"myalloy": "My alloy"})
    plate = Plate.model_validate(
        {"mark": "P", "thickness": 1, "rectangle": ["a", "a + 1"], "material": "MY ALLOY"}, context=context
    )
    assert (plate.thickness, plate.rectangle, plate.material) == (25.4, [10.0, 35.4], "My alloy")
    link = {"mark": "L", "section": "1 x .1", "between": ["A", [0, 0, 0]], "rod_ends": ["M12", {"thread": "M12"}]}
    assert Link.model_validate(link, context=context).between[0] == Point(1, 2, 3, "A")


def test_a_corner_is_a_pair_or_a_table() -> None:
    plate = Plate(mark="P", thickness=3, corners=[[0, 0], {"at": [9, 0], "radius": "1/8 in"}, [9, "9 mm"]])
    assert [(c.at, c.radius) for c in plate.corners] == [([0.0, 0.0], 0.0), ([9.0, 0.0], 3.175), ([9.0, 9.0], 0.0)]


@pytest.mark.parametrize("date", ["2026-03-14", dt.date(2026, 3, 14), dt.datetime(2026, 3, 14, 5)])
def test_dates(date: object) -> None:
    assert Header(**JOB, date=date).date == dt.date(2026, 3, 14)


def test_materials() -> None:
    job = Definitions(
        job=JOB,
        material=[{"name": "Rack steel", "like": "S235", "density": 7800}, {"name": "Odd sheet", "like": "5754"}],
    )
    assert (job.find_material("rack STEEL").density, job.find_material("Rack steel").group) == (7800.0, "mild steel")
    assert job.find_material("Odd sheet").density == 2700.0
    assert job.find_material("S355").name == "S355"
    with pytest.raises(ValueError, match="nearest: S355"):
        job.find_material("S345")
    assert "known already" in faults(OwnMaterial, name="s355", like="S235")


def test_rules_between_keys() -> None:
    end = {"mark": "T", "section": "48 x 3"}
    assert "no bend_radius" in faults(Tube, **end, route=[[0, 0, 0], [1, 0, 0], [1, 1, 0]])
    assert "bend_radius goes with" in faults(Tube, **end, route=[[0, 0, 0], [1, 0, 0]], bend_radius=90)
    assert "onto goes with" in faults(Tube, **end, route=[[0, 0, 0], [1, 0, 0]], start={"cut": "plain", "onto": ["T2"]})
    link = {"mark": "L", "section": "20 x 2", "rod_ends": ["M12", "M12"]}
    assert "no between or length" in faults(Link, **link)
    assert "between and length" in faults(Link, **link, length=9, between=[[0, 0, 0], [1, 0, 0]])
    assert "no bolt or diameter" in faults(HoleGiven, at=[0, 0])
    assert "fit goes with bolt" in faults(HoleGiven, at=[0, 0], diameter=3, fit="close")
    assert "row or grid or circle" in faults(
        HoleGiven, at=[0, 0], diameter=3, row={"count": 2, "pitch": 3}, circle={"count": 2, "diameter": 3}
    )
    plate = {"mark": "P", "thickness": 3}
    assert "exactly one of rectangle" in faults(Plate, **plate)
    assert "disc, stadium" in faults(Plate, **plate, disc=3, rectangle=[1, 2])
    assert "corner_radius or corner_chamfer" in faults(Plate, **plate, disc=3, corner_radius=1, corner_chamfer=1)
    assert "face goes with brackets" in faults(
        Plate, **plate, disc=3, holes=[{"at": [0, 0], "bolt": "M8", "face": "a"}]
    )
    hole = {"at": [0, 0], "bolt": "M8", "face": "lef"}
    bracket = {"mark": "B", "thickness": 3, "length": 50, "shape": "channel"}
    assert "no web and no flanges" in faults(Bracket, **bracket)
    assert "legs goes with" in faults(Bracket, **bracket, web=40, flanges=[20, 20], legs=[1, 2])
    assert "nearest: left" in faults(Bracket, **bracket, web=40, flanges=[20, 20], holes=[hole])
    cover = {"mark": "C", "thickness": 1}
    assert "exactly one of rectangle" in faults(Cover, **cover, shape="cap")
    assert "disc goes with" in faults(Cover, **cover, shape="cone", bottom=9, top=5, height=4, disc=3)
    assert "cut_out goes with" in faults(Cover, **cover, shape="cap", disc=9, cut_out={"diameter": 3})
    assert "weld_gap or overlap" in faults(Cover, **cover, shape="cap", disc=9, weld_gap=1, overlap=2)
    assert "bars need lengths" in faults(Stock, section="48 x 3")
    assert "sheets need" in faults(Stock, thickness=3)
    assert "exactly one of section" in faults(Stock, lengths=[6000])


def test_broken_rules_and_faulty_keys_are_told_together() -> None:
    said = faults(Plate, mark="no good", thickness=-1, disc=3, rectangle=[1, 2])
    assert "not a valid mark" in said
    assert "not above zero" in said
    assert "exactly one of rectangle" in said


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("quantity", True),
        ("quantity", 0),
        ("quantity", 10_001),
        ("quantity", 1.0),
        ("quantity", "2"),
        ("title", 1.5),
        ("title", ["x"]),
        ("title", "x" * 201),
        ("title", "two\nlines"),
        ("title", "bell\x07"),
        ("mark", ""),
        ("mark", "../etc"),
        ("mark", ".hidden"),
        ("mark", "a/b"),
        ("mark", "x" * 25),
        ("thickness", 0),
        ("thickness", math.nan),
        ("thickness", "60 deg"),
        ("material", "kryptonite"),
        ("corner_radius", "-1 mm"),
        ("unheard_of", 1),
    ],
)
def test_bad_values(key: str, value: object) -> None:
    faults(Plate, **({"mark": "P", "thickness": 3, "disc": 50} | {key: value}))
