"""The files and data of marking: saw set-ups beside the templates, wraps and holes in the folder and in job.json."""

from __future__ import annotations

from typing import Any

import pytest

from fabgen.documents.data.piece_json import hole_data, saw_data
from fabgen.documents.dxf.machine_files import wrap_files
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Text
from fabgen.documents.templates.templates import template_pages
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece


def tube(mark: str, *route: tuple[float, float, float], section: str = "48.3 x 3.2", **keys: Any) -> dict[str, Any]:
    return {"mark": mark, "section": section, "route": [list(p) for p in route], **keys}


@pytest.fixture(scope="module")
def pieces() -> list[Piece]:
    tubes = [
        tube("T1", (-500, 0, 0), (500, 0, 0), section="60.3 x 3.2"),
        tube("T2", (0, 0, 0), (0, 700, 0), start={"opens": True}),
        tube("T3", (0, 0, 0), (300, 500, 0), section="33.7 x 2.6"),
    ]
    return all_pieces(Definitions.model_validate({"job": {"title": "t", "number": "1", "units": "mm"}, "tube": tubes}))


def said(pieces: list[Piece], card: bool) -> str:
    header = Header.model_validate({"title": "t", "number": "1", "units": "mm"})
    pages = template_pages(pieces, header, paper.A4, card=card)
    texts = [item.text for page in pages for item in page.picture.items if isinstance(item, Text)]
    return " ".join(texts)


def test_each_template_says_how_it_is_sawn(pieces: list[Piece]) -> None:
    text = said(pieces, True)
    assert "longer at this end, hole saw 60 mm (2 3/8 in), square, axis centred, 18.0 mm beyond that saw cut" in text
    assert "the end sits on T1 and T2: no single saw cut makes it, cut by the template" in text
    # Where the sizes come from is said once, on the card; without a card beside each.
    assert "they are sold in, from memory, check yours" in text
    assert "saw sizes from memory, check yours" in said(pieces, False)


def test_every_wrap_and_hole_is_there_as_dxf_and_svg(pieces: list[Piece]) -> None:
    files = wrap_files(pieces)
    assert list(files) == [
        f"wrap/{name}.{kind}" for name in ("T2-start", "T3-start", "T1-hole-T2") for kind in ("dxf", "svg")
    ]
    assert files == wrap_files(pieces)


def test_job_json_has_saw_and_hole(pieces: list[Piece]) -> None:
    main, branch = (piece.length_part for piece in pieces[:2])
    assert main is not None
    assert branch is not None
    saw = saw_data(branch.ends[0].saw)["saw"]
    assert (saw["method"], saw["hole_saw_ready_in"], saw["from_square_deg"]) == ("hole saw", "2 3/8 in", 0.0)
    assert "tilt_deg" not in saw
    assert "brief" not in saw
    assert saw_data(None) == {}
    (hole,) = main.holes
    told = hole_data(hole)
    assert told["centre_mm"] == pytest.approx([-47.3595, 500.0], abs=1e-3)
    assert (told["for"], told["at"], told["dxf"]) == ("T2", "start", "wrap/T1-hole-T2.dxf")
    assert len(told["edge"]) == 360
