"""Every size of a flat can be derived from the dimensions on its sheet, and none is there twice.

`made_from_the_sheet.py` makes each flat again from its figures alone.  The worked cases below show that it would not
manage without a figure that is needed, and that it finds one that is not.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from documents.made_from_the_sheet import Made, Reader, made_from_sheet, sheet_of

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.drawing.flat.drawn_sizes import DrawnSize
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Text
from fabgen.geometry.plane.outline import Circle, Corner, Outline
from fabgen.job.reader import Job, read_job
from fabgen.parts.piece import FlatPart, Hole, Piece, to_make

ROOT = Path(__file__).parents[2]
JOBS = sorted([*(ROOT / "sample_parts").glob("*.toml"), *(ROOT / "templates").glob("*.toml")])
QUICK = ("plates", "covers")
ROUNDED = 0.1
"""Figures are to 0.05 mm; corners that follow from several may be off by so much, mm."""


@cache
def worked(path: Path) -> tuple[Job, list[Piece]]:
    loaded = with_own_images(read_job(path))
    return loaded, built(loaded)


def flats(path: Path) -> list[Piece]:
    return [piece for piece in to_make(worked(path)[1]) if piece.flat_part is not None]


def faults(made: Made) -> list[str]:
    found = [f"{made.free} unknowns are not fixed"] if made.free else []
    found += [f"a corner comes out {made.off:.2f} mm off"] if made.off > ROUNDED else []
    found += [f"twice: {text}" for text in made.doubled]
    found += [f"leads to nothing: {text}" for text in made.unread]
    return found + [f"wrong: {text}" for text in made.wrong]


@pytest.mark.parametrize(
    "job", [p if p.stem in QUICK else pytest.param(p, marks=pytest.mark.slow) for p in JOBS], ids=lambda p: p.stem
)
def test_every_flat_can_be_made_from_its_sheet(job: Path) -> None:
    found = {}
    for piece in flats(job):
        assert piece.flat_part is not None
        if told := faults(made_from_sheet(piece.flat_part)):
            found[piece.mark] = told
    assert found == {}


@pytest.mark.parametrize(
    "job", [p if p.stem in QUICK else pytest.param(p, marks=pytest.mark.slow) for p in JOBS], ids=lambda p: p.stem
)
def test_every_size_is_printed(job: Path) -> None:
    """What the view keeps as data is on the paper: a figure or a table's row, at whatever scale it came out."""
    loaded, _ = worked(job)
    for piece in flats(job):
        assert piece.flat_part is not None
        if loaded.definitions.job.units == "in":
            continue  # the reader reads millimetres
        pages = drawing_pages([piece], loaded.definitions.job, paper.A4)
        printed = " ".join(item.text for page in pages for item in page.picture.items if isinstance(item, Text)).split()
        for size in sheet_of(piece.flat_part)[0]:
            missing = [word for word in size.text.strip("()").split() if not any(word in each for each in printed)]
            assert not missing, (piece.mark, size)


PLATE = FlatPart(
    3.0,
    Outline.from_corners(
        [Corner(0, 0, radius=10), Corner(100, 0, chamfer=12), Corner(100, 40), Corner(70, 60), Corner(0, 60)]
    ),
    (Hole(Circle(30.0, 20.0, 9.0)),),
)


def without(part: FlatPart, text: str) -> Made:
    """What comes of a flat whose sheet lacks one figure."""
    sizes, tables = sheet_of(part)
    assert text in {size.text for size in sizes}
    return Reader(part, [size for size in sizes if size.text != text], tables).solve()


def test_a_plate_is_fixed_by_its_sizes() -> None:
    assert faults(made_from_sheet(PLATE)) == []


@pytest.mark.parametrize("text", ["100", "60", "70", "40", "30", "20", "R10", "12 x 45°"])
def test_without_one_of_them_it_is_not(text: str) -> None:
    assert without(PLATE, text).free >= 1


def test_a_figure_too_much_is_found() -> None:
    sizes, tables = sheet_of(PLATE)
    again = DrawnSize("x", ((30.0, 20.0), (100.0, 0.0)), "70")
    assert "x 70" in Reader(PLATE, [*sizes, again], tables).solve().doubled


def test_a_wrong_figure_is_found() -> None:
    sizes, tables = sheet_of(PLATE)
    wrong = [replace(size, text="31") if size.text == "30" else size for size in sizes]
    assert Reader(PLATE, wrong, tables).solve().off == pytest.approx(1.0, abs=0.1)


def test_the_end_of_a_strap_has_its_radius_in_brackets() -> None:
    """Hole and width fix it: 18 from the edge to the centre of a round end is its radius."""
    strap = FlatPart(3.0, Outline.stadium(140.0, 36.0).moved(70.0, 18.0), (Hole(Circle(25.0, 18.0, 9.0)),))
    sizes, _ = sheet_of(strap)
    assert all(size.reference for size in sizes if size.kind == "radius")
    assert faults(made_from_sheet(strap)) == []
