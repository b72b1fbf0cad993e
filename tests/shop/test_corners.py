"""Corners of rectangular tube by how its metal is made into tube."""

from __future__ import annotations

import math

import pytest
from jobs import definitions, pieces_of, tube

from fabgen.documents.render.words import corners_by
from fabgen.job.tables.definitions import Definitions
from fabgen.job.values.section_text import parse_section
from fabgen.parts.piece import LengthPart
from fabgen.shop.corners import as_sold
from fabgen.shop.materials import find
from fabgen.shop.section import Section


def section(job: Definitions) -> Section:
    part = pieces_of(job)[0].shape
    assert isinstance(part, LengthPart)
    return part.section


def made(text: str, material: str, **header: str) -> Section:
    return section(definitions(header, tube=[tube("T1", (0, 0, 0), (900, 0, 0), section=text, material=material)]))


def test_extruded_aluminium_has_sharp_corners() -> None:
    """EN 755-9 (from memory): 0.6 mm at most; cold formed steel of the same size has 2 t, 6 mm."""
    alloy, steel = made("60 x 40 x 3", "6060-T66"), made("60 x 40 x 3", "S235")
    assert (alloy.corner, steel.corner) == (0.5, 6.0)
    assert alloy.perimeter == pytest.approx(200.0 - (8.0 - 2.0 * math.pi) * 0.5)
    assert alloy.perimeter - steel.perimeter == pytest.approx(9.44, abs=0.01)
    assert alloy.area == pytest.approx(60 * 40 - 54 * 34 - (4.0 - math.pi) * 0.25)


def test_the_job_s_own_corner_goes_first_and_its_material_counts() -> None:
    assert made("60 x 40 x 3 r 2", "6060-T66").corner == 2.0
    by_job = definitions({"material": "6082-T6"}, tube=[tube("T1", (0, 0, 0), (900, 0, 0), section="60 x 40 x 3")])
    assert section(by_job).corner == 0.5
    own = definitions(
        material=[{"name": "extrusion", "like": "6060-T66"}],
        tube=[tube("T1", (0, 0, 0), (900, 0, 0), section="2 x 2 x 1/8 in", material="extrusion")],
    )
    assert section(own).corner == 0.5


def test_round_tube_and_solid_bar_stay_as_they_are() -> None:
    for text in ("40 x 3", "40 x 10 solid"):
        assert as_sold(parse_section(text), find("6060-T66")) == parse_section(text)


def test_whose_corners_they_are_is_said() -> None:
    assert corners_by(made("60 x 40 x 3", "S235")) == ", as EN 10219-2 has them: measure yours"
    assert corners_by(made("60 x 40 x 3", "6060-T66")) == ", as extruded aluminium has them: measure yours"
    assert corners_by(made("60 x 40 x 3 r 4", "S235")) == ", as the job gives it"
