"""Shared by all tests: hand-made pieces that need no job file."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import settings

from fabgen.geometry.frame import Frame
from fabgen.geometry.outline import Circle, Outline
from fabgen.parts.piece import CutLine, FlatPart, Hole, Joint, LengthPart, Piece, WorkedEnd
from fabgen.shop.section import Section

settings.register_profile("fabgen", deadline=None, derandomize=True)
settings.load_profile("fabgen")


def plain_line(section: Section) -> CutLine:
    phi = np.radians(np.arange(360.0))
    return CutLine(phi, phi * section.width / 2.0, np.zeros(360))


def cope_line(section: Section, main: float, angle: float) -> CutLine:
    """Outer skin of a round branch on a round main of diameter `main`, by the closed form."""
    phi = np.radians(np.arange(360.0))
    r = section.width / 2.0
    y, z = r * np.cos(phi), r * np.sin(phi)
    return CutLine(phi, phi * r, (y * math.cos(angle) + np.sqrt((main / 2.0) ** 2 - z**2)) / math.sin(angle))


def make_tube(mark: str = "T1", length: float = 812.0, quantity: int = 1) -> Piece:
    section = Section("round", 48.3, 48.3, 3.2)
    x, y, z = np.eye(3)
    start = Frame(np.zeros(3), x, y, z)
    finish = Frame(np.array([length, 0.0, 0.0]), -x, y, -z)
    angle = math.radians(60.0)
    ends = (
        WorkedEnd("start", "cope", cope_line(section, 60.3, angle), start, math.pi / 2, (Joint("T9", angle, 0.0),)),
        WorkedEnd("finish", "plain", plain_line(section), finish, -math.pi / 2),
    )
    return Piece(mark, "tube", quantity, "S355", 2.9, LengthPart(section, length, length, ends, start))


def make_plate(mark: str = "P1", width: float = 120.0, height: float = 80.0, quantity: int = 1) -> Piece:
    holes = (Hole(Circle(30.0, 30.0, 11.0), "Ø11 for M10", "M10"), Hole(Outline.stadium(30.0, 9.0).moved(80.0, 40.0)))
    return Piece(mark, "plate", quantity, "S275", 0.5, FlatPart(6.0, Outline.rectangle(width, height, 8.0), holes))


@pytest.fixture(autouse=True)
def no_settings_of_the_user(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands run as for someone who has never corrected a printer."""
    monkeypatch.setenv("FABGEN_SETTINGS", str(tmp_path_factory.getbasetemp() / "no" / "settings.toml"))
