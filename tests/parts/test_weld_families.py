"""Joints alike told together, and where round a joint the surfaces open."""

import math
from typing import Any

import pytest
from jobs import checked, definitions

from fabgen.job.tables.definitions import Definitions
from fabgen.parts.build import all_pieces
from fabgen.parts.shape.welds.weld_families import WeldFamily, weld_families


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def families(*tubes: dict[str, Any]) -> list[WeldFamily]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return weld_families(all_pieces(job))


RAILS = [tube(mark, (-500, y, 0), (500, y, 0), section="60.3 x 3.2") for mark, y in (("L", 300), ("R", -300))]


def test_both_ends_of_like_rungs_are_one_family() -> None:
    (family,) = families(*RAILS, *(tube(f"C{i}", (100 * i, 300, 0), (100 * i, -300, 0)) for i in (-3, 0, 3)))
    assert family.joint("mm") == "48.3 x 3.2 on 60.3 x 3.2, 90°"
    assert [member.name for member in family.members][:2] == ["C-3 start on L", "C-3 finish on R"]
    assert len(family.members) == 6
    assert family.open_side == "at the sides"


def test_another_angle_is_another_family() -> None:
    found = families(*RAILS, tube("A", (0, 300, 0), (0, -300, 0)), tube("B", (200, 300, 0), (500, -200, 0)))
    assert [family.joint("mm") for family in found] == [
        "48.3 x 3.2 on 60.3 x 3.2, 90°",
        "48.3 x 3.2 on 60.3 x 3.2, 59°",
    ]


def test_shares_on_a_flat_face() -> None:
    """A round branch at 45 degrees on a wide flat face: psi = arccos(cos 45 cos phi); under 60 degrees
    where cos phi > cos 60 / cos 45, a quarter of the angle round, and as far over 120 at the toe."""
    plate = tube("T1", (-500, 0, 0), (500, 0, 0), section="200 x 200 x 8")
    (family,) = families(plate, tube("T2", (0, 0, 0), (500, 500, 0), section="20 x 2"))
    assert family.weld.run.least == pytest.approx(math.radians(45.0), abs=1e-3)
    assert family.weld.run.greatest == pytest.approx(math.radians(135.0), abs=1e-3)
    assert family.share_under() == pytest.approx(family.share_over(), abs=1e-3)
    assert family.open_side == "at the toe"


def test_a_mitre() -> None:
    (family,) = families(
        tube("T1", (-400, 0, 0), (0, 0, 0), finish={"cut": "mitre"}),
        tube("T2", (0, 0, 0), (0, 400, 0), start={"cut": "mitre"}),
    )
    assert family.joint("mm") == "48.3 x 3.2 mitred with 48.3 x 3.2, 90° between them"
    assert [member.name for member in family.members] == ["T1 finish with T2", "T2 start with T1"]


def test_in_inches_the_sections_are_the_trades() -> None:
    place = {"at": [0, 20, 0], "along": [1, 0, 0], "of": [2, 2], "up": [0, -1, 0]}
    tubes = [
        tube("M", (-20, 0, 0), (20, 0, 0), section="2 x 2 x 0.120"),
        tube("B", (0, 0, 0), (0, 20, 0), section="1.5 x 0.120"),
    ]
    plate = {"mark": "P", "thickness": 0.25, "rectangle": [4, 4], "place": place}
    of = checked(definitions({"units": "in"}, tube=tubes, plate=[plate]))
    on_tube, on_plate = (family.joint("in") for family in weld_families(of.pieces))
    assert on_tube == '1 1/2 x 0.120" on 2 x 2 x 0.120", 90°'
    assert on_plate == '1 1/2 x 0.120" on 1/4" [6.35 mm] plate, 90°'
