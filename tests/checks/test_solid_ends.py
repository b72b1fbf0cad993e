"""Solid bar square on a round tube: told, not given a template of zeros, coped by fit outside."""

from __future__ import annotations

import math
from typing import Any

import pytest

from fabgen.checks.tube.solid_ends import check_solid_ends
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Text
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece


def built(**keys: Any) -> list[Piece]:
    tubes = [
        {"mark": "M", "section": "60.3 x 3.2", "route": [[0, 0, 0], [900, 0, 0]]},
        {"mark": "V", "section": "25 solid", "route": [[400, 0, 0], [400, 200, 200]], **keys},
    ]
    return all_pieces(Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes}))


def templates(pieces: list[Piece]) -> str:
    header = Header.model_validate({"title": "t", "number": "1", "units": "mm"})
    pages = template_pages(pieces, header, paper.A4)
    return " ".join(item.text for page in pages for item in page.picture.items if isinstance(item, Text))


def findings(pieces: list[Piece]) -> list[str]:
    parts = {piece.mark: part for piece in pieces if (part := piece.length_part)}
    return [finding.text for finding in check_solid_ends(parts)]


def test_sawn_square_it_is_told_and_has_no_template() -> None:
    (text,) = findings(built())
    assert f"leaves {math.hypot(30.15, 12.5) - 30.15:.1f} mm open at the sides of M" in text
    assert 'start = { fit = "outside" }' in text
    assert "V start" not in templates(built())


@pytest.mark.parametrize("start", [{"fit": "outside"}, {"cut": "plain"}])
def test_coped_or_plain_it_is_not_told(start: dict[str, str]) -> None:
    assert findings(built(start=start)) == []


def test_coped_by_fit_outside_it_has_a_template() -> None:
    said = templates(built(start={"fit": "outside"}))
    assert "V start" in said
    assert "wrap it printed side out" in said
