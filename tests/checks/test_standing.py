"""Which way a rectangular tube stands: what the words say against where the metal is, and the note."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from jobs import checked, definitions, tube

from fabgen.checks.registry import run_checks
from fabgen.checks.rule import Finding
from fabgen.documents.drawing.tube.tube_view import standing_words
from fabgen.geometry.tube.solids import distance
from fabgen.job.tables.part_tables import Tube
from fabgen.parts.shape.sections import section_solid

LEVEL, UPRIGHT = ((0, 0, 0), (900, 0, 0)), ((0, 0, 0), (0, 0, 900))


def notes(*tubes: dict[str, Any]) -> list[Finding]:
    return [each for each in run_checks(checked(definitions(tube=list(tubes)))) if each.rule == "which-way-up"]


def rect(mark: str = "A", section: str = "60 x 40 x 3", y: float = 0.0, **more: Any) -> dict[str, Any]:
    return tube(mark, (0, y, 0), (900, y, 0), section=section, **more)


class TestMetal:
    """A point 25 from the axis lies in the outline toward the first figure (30), not toward the second (20)."""

    @staticmethod
    def inside(route: Any, **more: Any) -> dict[str, bool]:
        of = checked(definitions(tube=[tube("A", *route, section="60 x 40 x 3", **more)]))
        part = of.tubes["A"]
        assert part.frame is not None
        solid = section_solid(part.section, part.frame)
        middle = np.mean(route, axis=0)
        ways = {"x": (25, 0, 0), "y": (0, 25, 0), "z": (0, 0, 25)}
        lean = math.radians(30.0)  # clockwise seen from start to finish, along +x: the top goes to the right, -y
        ways |= {"30 right of up": (0, -25 * math.sin(lean), 25 * math.cos(lean))}
        ways |= {"30 left of up": (0, 25 * math.sin(lean), 25 * math.cos(lean))}
        return {name: bool(distance(solid, (middle + way)[None, :])[0] < 0.0) for name, way in ways.items()}

    def test_the_first_figure_stands_upright(self) -> None:
        found = self.inside(LEVEL)
        assert found["z"]
        assert not found["y"]

    def test_along_x_on_a_vertical_tube(self) -> None:
        found = self.inside(UPRIGHT)
        assert found["x"]
        assert not found["y"]

    def test_90_lays_it_flat(self) -> None:
        found = self.inside(LEVEL, turn=90)
        assert found["y"]
        assert not found["z"]

    def test_a_turn_is_clockwise_seen_from_the_start(self) -> None:
        found = self.inside(LEVEL, turn=30)
        assert found["30 right of up"]
        assert not found["30 left of up"]


class TestNote:
    def test_once_for_all_of_a_job(self) -> None:
        (note,) = notes(rect(), rect("B", y=200), rect("C", "80 x 40 x 3", y=400))
        assert (note.level, note.marks) == ("note", ("A", "B", "C"))
        assert "60 x 40 x 3 its 60 mm and of 80 x 40 x 3 its 80 mm" in note.text
        assert "`turn = 90` lays it flat" in note.text

    @pytest.mark.parametrize("more", [{"turn": 0}, {"turn": 90}, {"section": "60 x 60 x 3"}, {"section": "48.3 x 3.2"}])
    def test_silent(self, more: dict[str, Any]) -> None:
        assert not notes(rect(**more))


def test_keys_and_drawing_say_it() -> None:
    assert "first figure stands upright" in (Tube.model_fields["section"].description or "")
    assert "clockwise seen from start to finish" in (Tube.model_fields["turn"].description or "")
    jobs = definitions(tube=[rect(), rect("B", y=200, turn=-30), rect("C", "60 x 60 x 3", y=400)])
    tubes = checked(jobs).tubes
    said = "Section: its first figure stands toward TOP; TOP is up in the job"
    assert standing_words(tubes["A"]) == f"{said}."
    assert standing_words(tubes["B"]) == f"{said}, turned 30° counter-clockwise seen from the start."
    assert standing_words(tubes["C"]) == ""
    (upright,) = checked(definitions(tube=[tube("A", *UPRIGHT, section="60 x 40 x 3")])).tubes.values()
    assert standing_words(upright) == "Section: its first figure stands toward TOP; TOP is along +x in the job."
