"""Notes on tight heels and open sides, firing and silent."""

from typing import Any

import pytest
from jobs import checked, definitions, findings, tube

from fabgen.checks.rule import Finding, merged
from fabgen.checks.welds import RULES, heavy_fillet

MAIN = {"mark": "T1", "section": "60.3 x 3.2", "route": [[-500, 0, 0], [500, 0, 0]]}


def found(*tubes: dict[str, Any]) -> list[Finding]:
    return findings(checked(definitions(tube=list(tubes))), RULES)


PLATE = tube("T1", (-500, 0, 0), (500, 0, 0), section="200 x 200 x 8")
"""A main with a face far wider than the branch: the surfaces meet as on a plate."""


def test_square_and_60_degrees_on_a_flat_face_are_silent() -> None:
    assert found(PLATE, tube("T2", (0, 0, 0), (0, 700, 0))) == []
    assert found(PLATE, tube("T2", (0, 0, 0), (400.0, 692.82032, 0))) == []


def rules(*tubes: dict[str, Any]) -> list[tuple[str, str]]:
    return [(finding.mark, finding.rule) for finding in found(*tubes)]


def test_45_degrees_on_a_flat_face() -> None:
    """The heel has the joint's angle, the toe the rest of 180."""
    tight, wide = found(PLATE, tube("T2", (0, 0, 0), (500, 500, 0)))
    assert (tight.level, tight.mark, tight.rule) == ("note", "T2", "tight-heel")
    assert tight.text.startswith(
        "a joint of it closes to under 60°, round its heel (the sharper side) or inside a mitre: "
    )
    assert (wide.level, wide.mark, wide.rule) == ("note", "T2", "open-side")
    assert tight.source == "EN 1993-1-8:2005, 4.3.2.1(1) to (3), clauses from memory"
    assert "safe" not in tight.text + wide.text


def test_the_open_sides_of_a_square_tee() -> None:
    """At the sides the normals differ by 90 degrees less asin(d / D), and psi is the rest of 180: 120 degrees
    for a branch half as wide as its main."""
    assert rules(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), section="30.2 x 2.6")) == [("T2", "open-side")]
    assert rules(MAIN, tube("T2", (0, 0, 0), (0, 700, 0), section="30.1 x 2.6")) == []


def test_under_30_degrees_says_so() -> None:
    assert ("T2", "tight-root") in rules(MAIN, tube("T2", (0, 0, 0), (700, 300, 0)))
    assert ("T2", "tight-root") not in rules(MAIN, tube("T2", (0, 0, 0), (500, 500, 0)))


def test_it_is_told_once_for_all_tubes() -> None:
    rails = [tube(mark, (-500, y, 0), (500, y, 0), section="60.3 x 3.2") for mark, y in (("L", 300), ("R", -300))]
    rungs = [tube(f"C{i}", (100 * i, 300, 0), (100 * i, -300, 0)) for i in (-3, 0, 3)]
    brace = tube(
        "B", (-300, 300, 0), (300, -300, 0), section="33.7 x 2.6", start={"onto": ["L"]}, finish={"onto": ["R"]}
    )
    notes = merged(found(*rails, *rungs, brace))
    assert [(note.mark, note.rule) for note in notes] == [("B", "tight-heel"), ("C-3, C0, C3, B", "open-side")]


def test_a_sharp_mitre() -> None:
    notes = rules(
        tube("T1", (-400, 0, 0), (0, 0, 0), finish={"cut": "mitre"}),
        tube("T2", (0, 0, 0), (-400, 400, 0), start={"cut": "mitre"}),
    )
    assert notes == [("T1", "tight-heel"), ("T2", "tight-heel")]


def fillets(second: dict[str, Any], **weld: Any) -> list[Finding]:
    """On an 8 mm main."""
    given = {"parts": ["T2", "T1"], **weld}
    return findings(checked(definitions(tube=[PLATE, second], weld=[given])), [heavy_fillet])


TEE = tube("T2", (0, 0, 0), (0, 700, 0))


@pytest.mark.parametrize("size", [{"throat": 3.2}, {"leg": 4.5}, {"type": "square", "depth": 8.0}])
def test_a_fillet_no_thicker_than_the_thinner_wall_is_silent(size: dict[str, Any]) -> None:
    """4.5 mm of leg is 3.18 mm of throat."""
    assert fillets(TEE, **size) == []


@pytest.mark.parametrize(
    ("size", "words"),
    [({"throat": 10.0}, "a throat of 10 mm"), ({"leg": 5.0}, "a leg of 5 mm, so 3.5 mm throat")],
)
def test_a_fillet_heavier_than_the_thinner_wall(size: dict[str, Any], words: str) -> None:
    (finding,) = fillets(TEE, **size)
    assert (finding.level, finding.mark, finding.rule) == ("warn", "T2", "heavy-fillet")
    assert f"its fillet on T1 has {words}, and T2 is only 3.2 mm thick" in finding.text
    assert finding.text.endswith("usual, 2.2 mm")


def test_solid_bar_is_as_thick_as_it_is() -> None:
    """Then the 8 mm wall of the main is the thinner."""
    bar = tube("T2", (0, 0, 0), (0, 700, 0), section="20 solid")
    assert fillets(bar, throat=8.0) == []
    assert "T1 is only 8 mm thick" in fillets(bar, throat=9.0)[0].text
