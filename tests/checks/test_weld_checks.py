"""Notes on tight heels and open sides, firing and silent."""

import math
from typing import Any

from fabgen.checks.finding import Finding, together
from fabgen.checks.welds import check_welds
from fabgen.job.definitions import Definitions
from fabgen.parts.tube import pieces

MAIN = {"mark": "T1", "section": "60.3 x 3.2", "route": [[-500, 0, 0], [500, 0, 0]]}


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def found(*tubes: dict[str, Any], **limits: float) -> list[Finding]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return check_welds(pieces(job), **limits)


PLATE = tube("T1", (-500, 0, 0), (500, 0, 0), section="200 x 200 x 8")
"""A main with a face far wider than the branch: the surfaces meet as on a plate."""


def test_square_and_60_degrees_on_a_flat_face_are_silent() -> None:
    assert found(PLATE, tube("T2", (0, 0, 0), (0, 700, 0))) == []
    assert found(PLATE, tube("T2", (0, 0, 0), (400.0, 692.82032, 0))) == []


def test_45_degrees_on_a_flat_face() -> None:
    """The heel has the joint's angle, the toe the rest of 180."""
    (finding,) = found(PLATE, tube("T2", (0, 0, 0), (500, 500, 0)))
    assert (finding.level, finding.mark, finding.rule) == ("note", "T2", "weld-angle")
    assert finding.text.startswith(
        "48.3 x 3.2 on 200 x 200 x 8, 45°: round the heel the surfaces close to 45°, and over "
    )
    assert "; at the toe they open to 135°, and over " in finding.text
    assert "under 30°" not in finding.text
    assert finding.source == "EN 1993-1-8:2005, 4.3.2.1(1) to (3), clauses from memory"
    assert "safe" not in finding.text


def test_the_open_sides_of_a_square_tee() -> None:
    """At the sides the normals differ by 90 degrees less asin(d / D), and psi is the rest of 180."""
    (finding,) = found(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)))
    widest = 90.0 + math.degrees(math.asin(48.3 / 60.3))
    assert f"at the sides they open to {widest:.0f}°" in finding.text
    assert "heel" not in finding.text


def test_under_30_degrees_says_so() -> None:
    (finding,) = found(MAIN, tube("T2", (0, 0, 0), (700, 300, 0)))
    assert "it is under 30°" in finding.text
    assert "AWS D1.1" in finding.source


def test_another_limit() -> None:
    brace = tube("T2", (0, 0, 0), (500, 500, 0))
    assert "round the heel" not in found(PLATE, brace, limit=0.7)[0].text
    assert "under 92°" in found(PLATE, tube("T2", (0, 0, 0), (0, 700, 0)), limit=1.6)[0].text


def test_like_joints_are_told_alike() -> None:
    """Both ends of three rungs: one text, once a tube."""
    rails = [tube(mark, (-500, y, 0), (500, y, 0), section="60.3 x 3.2") for mark, y in (("L", 300), ("R", -300))]
    rungs = [tube(f"C{i}", (100 * i, 300, 0), (100 * i, -300, 0), section="33.7 x 2.6") for i in (-3, 0, 3)]
    notes = found(*rails, *rungs)
    assert [note.mark for note in notes] == ["C-3", "C0", "C3"]
    assert [finding.mark for finding in together(notes)] == ["C-3, C0, C3"]


def test_each_main_of_an_end_is_told_of() -> None:
    notes = found(
        MAIN,
        tube("T2", (0, 0, 0), (0, 700, 0), section="42.4 x 2.6"),
        tube("T3", (0, 0, 0), (500, 500, 0), start={"onto": ["T1", "T2"]}),
    )
    assert {note.text.split(":")[0] for note in notes if note.mark == "T3"} == {
        "48.3 x 3.2 on 60.3 x 3.2, 45°",
        "48.3 x 3.2 on 42.4 x 2.6, 45°",
    }


def test_a_sharp_mitre_is_told_of_its_inside_corner() -> None:
    notes = found(
        tube("T1", (-400, 0, 0), (0, 0, 0), finish={"cut": "mitre"}),
        tube("T2", (0, 0, 0), (-400, 400, 0), start={"cut": "mitre"}),
    )
    assert [note.mark for note in notes] == ["T1", "T2"]
    assert (
        "48.3 x 3.2 mitred with 48.3 x 3.2, 45°: at the inside of the corner the surfaces close to 45°" in notes[0].text
    )
    assert "120°" not in notes[0].text
