"""Notes on tight heels, firing and silent."""

from typing import Any

from fabgen.checks.finding import Finding
from fabgen.checks.welds import check_welds
from fabgen.job.definitions import Definitions
from fabgen.parts.tube import pieces

MAIN = {"mark": "T1", "section": "60.3 x 3.2", "route": [[-500, 0, 0], [500, 0, 0]]}


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


def found(*tubes: dict[str, Any], **limits: float) -> list[Finding]:
    job = Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": list(tubes)})
    return check_welds(pieces(job), **limits)


def test_square_and_60_degrees_are_silent() -> None:
    assert found(MAIN, tube("T2", (0, 0, 0), (0, 700, 0))) == []
    assert found(MAIN, tube("T2", (0, 0, 0), (400.0, 692.82032, 0))) == []


def test_45_degrees() -> None:
    (finding,) = found(MAIN, tube("T2", (0, 0, 0), (500, 500, 0)))
    assert (finding.level, finding.mark, finding.rule) == ("note", "T2", "tight-heel")
    assert finding.text.startswith(
        "at the heel of its start the surfaces meet at under 60° (on T1 45° at least, along "
    )
    assert "under 30°" not in finding.text
    assert finding.source == "EN 1993-1-8:2005, 4.3.2.1(1) and (2), clause from memory"
    assert "safe" not in finding.text


def test_under_30_degrees_says_so() -> None:
    (finding,) = found(MAIN, tube("T2", (0, 0, 0), (700, 300, 0)))
    assert "it is under 30°" in finding.text
    assert "AWS D1.1" in finding.source


def test_another_limit() -> None:
    assert found(MAIN, tube("T2", (0, 0, 0), (500, 500, 0)), limit=0.7) == []
    assert len(found(MAIN, tube("T2", (0, 0, 0), (0, 700, 0)), limit=1.6)) == 1


def test_one_note_an_end_whatever_it_sits_on() -> None:
    notes = found(
        MAIN, tube("T2", (0, 0, 0), (0, 700, 0)), tube("T3", (0, 0, 0), (500, 500, 0), start={"onto": ["T1", "T2"]})
    )
    assert [note.mark for note in notes] == ["T3"]
    assert "on T1 " in notes[0].text
    assert "; on T2 " in notes[0].text


def test_a_sharp_mitre_is_told_of_its_inside_corner() -> None:
    notes = found(
        tube("T1", (-400, 0, 0), (0, 0, 0), finish={"cut": "mitre"}),
        tube("T2", (0, 0, 0), (-400, 400, 0), start={"cut": "mitre"}),
    )
    assert [note.mark for note in notes] == ["T1", "T2"]
    assert "at the inside of the corner of its finish" in notes[0].text
    assert "with T2 45° at least" in notes[0].text
