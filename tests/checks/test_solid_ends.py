"""Solid bar square on a round tube: told, not given a template of zeros, coped by fit outside."""

from __future__ import annotations

import math
from typing import Any

import pytest
from jobs import checked, definitions, findings

from fabgen.checks.checked import Checked
from fabgen.checks.tube.ends.tube_ends import solid_square
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Text
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Header


def built(**keys: Any) -> Checked:
    tubes = [
        {"mark": "M", "section": "60.3 x 3.2", "route": [[0, 0, 0], [900, 0, 0]]},
        {"mark": "V", "section": "25 solid", "route": [[400, 0, 0], [400, 200, 200]], **keys},
    ]
    return checked(definitions(tube=tubes))


def templates(of: Checked) -> str:
    header = Header.model_validate({"title": "t", "number": "1", "units": "mm"})
    pages = template_pages(of.pieces, header, paper.A4)
    return " ".join(item.text for page in pages for item in page.picture.items if isinstance(item, Text))


def told(of: Checked) -> list[str]:
    return [finding.text for finding in findings(of, [solid_square])]


def test_sawn_square_it_is_told_and_has_no_template() -> None:
    (text,) = told(built())
    assert f"leaves {math.hypot(30.15, 12.5) - 30.15:.1f} mm open at the sides of M" in text
    assert 'start = { fit = "outside" }' in text
    assert "V start" not in templates(built())


@pytest.mark.parametrize("start", [{"fit": "outside"}, {"cut": "plain"}])
def test_coped_or_plain_it_is_not_told(start: dict[str, str]) -> None:
    assert told(built(start=start)) == []


def test_coped_by_fit_outside_it_has_a_template() -> None:
    said = templates(built(start={"fit": "outside"}))
    assert "V start" in said
    assert "wrap it printed side out" in said
