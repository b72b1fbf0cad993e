"""Discs, caps and foot plates on ends of tubes: found there, and put back from the printed figures alone."""

from __future__ import annotations

import io
import math
import random
import re
from pathlib import Path

import numpy as np
import pypdf
import pytest
from random_seeds import first_seed, how_many

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.documents.render.paper import A4
from fabgen.documents.set_out.set_out_pdf import set_out_pdf
from fabgen.geometry.space.frame import Array, upright
from fabgen.job.reader import read_text
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.standing import by_points, on_ends

HEAD = '[job]\ntitle = "Ends"\nnumber = "E-1"\nunits = "mm"\nmaterial = "S235"\n'
TUBE = '[[tube]]\nmark = "T1"\nsection = "40 x 40 x 3"\nroute = [[0, 0, 0], [600, 0, 0]]\n'
ROUND = '[[tube]]\nmark = "T1"\nsection = "48.3 x 3.2"\nroute = [[0, 0, 0], [600, 0, 0]]\n'
CAP = '[[plate]]\nmark = "P1"\nthickness = 3\n'
NUMBER = r"-?\d+(?:\.\d+)?"


def made(text: str) -> list[Piece]:
    return list(built(with_own_images(read_text(HEAD + text, Path("job.toml")))))


def text_of(pieces: list[Piece]) -> str:
    header = read_text(HEAD + TUBE, Path("job.toml")).definitions.job
    paper = set_out_pdf(header, pieces, 0.0, A4)
    assert paper is not None
    pages = pypdf.PdfReader(io.BytesIO(paper)).pages
    return "\n".join(page.extract_text(extraction_mode="layout") for page in pages)


def rows(pieces: list[Piece]) -> list[list[str]]:
    """The cells of the table of ends."""
    lines = text_of(pieces).splitlines()
    return [re.split(r" {2,}", line.strip()) for line in lines if re.search(r"'s (start|finish) end", line)]


@pytest.mark.parametrize(
    ("tube", "plate", "expected"),
    [
        # A cap of the tube's own size on the finish.
        (TUBE, "rectangle = [40, 40]\nplace = { at = [600, -20, -20], along = [0, 1, 0], up = [1, 0, 0] }",
         ["P1", "T1's finish end", "its back", "0", "0", "0", "0", "270°"]),
        # A foot plate under the start, lying with its front on it, 10 past the skin on all sides.
        (TUBE, "rectangle = [60, 60]\nplace = { at = [-3, -30, -30], along = [0, 1, 0], up = [1, 0, 0] }",
         ["P1", "T1's start end", "its front", "10", "10", "10", "10", "270°"]),
        # A disc on a round tube, 6.1 past it all round.
        (ROUND, "disc = 60.5\nplace = { at = [600, 0, 0], along = [0, 1, 0], up = [1, 0, 0] }",
         ["P1", "T1's finish end", "its back", "6.1", "6.1", "6.1", "6.1", "any way"]),
        # A disc let into the bore, its front flush with the end.
        (ROUND, "disc = 41.1\nplace = { at = [597, 0, 0], along = [0, 1, 0], up = [1, 0, 0] }",
         ["P1", "in T1's finish end", "its front", "-3.6", "-3.6", "-3.6", "-3.6", "any way"]),
        # Off the middle: 4 in toward TOP, 14 past it below.
        (TUBE, "rectangle = [50, 50]\nplace = { at = [600, -25, -34], along = [0, 1, 0], up = [1, 0, 0] }",
         ["P1", "T1's finish end", "its back", "-4", "5", "14", "5", "270°"]),
    ],
)  # fmt: skip
def test_what_lies_on_an_end_is_set_out_on_it(tube: str, plate: str, expected: list[str]) -> None:
    pieces = made(f"{tube}{CAP}{plate}\n")
    assert rows(pieces) == [expected]
    assert not by_points(pieces)


@pytest.mark.parametrize(
    "plate",
    [
        "rectangle = [40, 40]\nplace = { at = [602, -20, -20], along = [0, 1, 0], up = [1, 0, 0] }",  # 2 off the end
        "rectangle = [40, 40]\nplace = { at = [600, 30, -20], along = [0, 1, 0], up = [1, 0, 0] }",  # beside it
        "disc = 40\nplace = { at = [700, 0, 0], along = [0, 1, 0], up = [1, 0, 0] }",  # in the air
    ],
)
def test_what_lies_on_none_stays_by_points(plate: str) -> None:
    pieces = made(f"{TUBE}{CAP}{plate}\n")
    assert not on_ends(pieces)
    assert [each.name for each in by_points(pieces)] == ["P1"]


def test_a_disc_by_points_is_given_by_its_middle_and_rim_not_by_corners_in_the_air() -> None:
    text = text_of(made(f"{TUBE}{CAP}disc = 40\nplace = {{ at = [700, 0, 0], along = [0, 1, 0], up = [1, 0, 0] }}\n"))
    assert "lower left" not in text
    assert re.search(r"P1 +middle +700 +0 +0\n", text)
    assert re.search(r"rim at its right +700 +20 +0\n", text)


def test_own_mirror_images_by_points_find_what_they_touch_on_either_side() -> None:
    tube = TUBE.replace("[0, 0, 0], [600, 0, 0]", "[0, 300, 0], [600, 300, 0]")
    flat = "rectangle = [100, 30]\nplace = { at = [200, 285, 20], along = [1, 0, 0], up = [0, 0, 1] }\n"
    cap = "rectangle = [40, 40]\nplace = { at = [600, 280, -20], along = [0, 1, 0], up = [1, 0, 0] }\n"
    pieces = made(
        f'{tube}{CAP}{flat}{CAP.replace("P1", "C1")}{cap}[[mirror]]\nparts = ["T1", "P1", "C1"]\n'
    )  # fmt: skip
    by_mark = {piece.mark: piece for piece in pieces}
    for mark in ("P1", "C1"):
        part = by_mark[mark].shape
        assert isinstance(part, FlatPart)
        assert len(part.places) == 2  # one mark made twice
    assert by_mark["P1"].shape.places[1].against == "T1-R"  # type: ignore[union-attr]
    assert [row[1] for row in rows(pieces)] == ["T1's finish end", "T1-R's finish end"]
    assert not by_points(pieces)


def random_jobs(seed: int, count: int) -> str:
    """So many tubes that lie anywhere, a plate on an end of each."""
    rng, text = random.Random(seed), ""
    for number in range(count):
        start = np.array([rng.uniform(-300.0, 300.0), rng.uniform(-300.0, 300.0), 2000.0 * number])
        way = np.array([rng.uniform(-1.0, 1.0) for _ in range(3)])
        finish = start + 500.0 * way / np.linalg.norm(way)
        section = rng.choice(["48.3 x 3.2", "40 x 40 x 3", "60 x 30 x 3"])
        text += f'[[tube]]\nmark = "T{number}"\nsection = "{section}"\n'
        text += f"route = [{[float(each) for each in start]}, {[float(each) for each in finish]}]\n"
        at_finish = rng.random() < 0.5
        out = (finish - start) / 500.0 * (1.0 if at_finish else -1.0)
        front = rng.random() < 0.5
        axes = upright(start, out)
        turn = rng.uniform(0.0, 2.0 * math.pi)
        along = math.cos(turn) * axes.y + math.sin(turn) * axes.z
        up = -out if front else out
        beside = np.cross(up, along)
        size = np.array([rng.uniform(30.0, 90.0), rng.uniform(30.0, 90.0)])
        middle = (finish if at_finish else start) + rng.uniform(-9.0, 9.0) * along + rng.uniform(-9.0, 9.0) * beside
        at = middle - size[0] / 2.0 * along - size[1] / 2.0 * beside + (5.0 * out if front else 0.0)
        text += f'[[plate]]\nmark = "P{number}"\nthickness = 5\nrectangle = {size.tolist()}\n'
        text += f"place = {{ at = {at.tolist()}, along = {along.tolist()}, up = {up.tolist()} }}\n"
    return text


def test_random_plates_on_ends_are_put_back_from_the_printed_figures() -> None:
    count = how_many(200, 8)
    pieces = made(random_jobs(first_seed(20), count))
    by_mark = {piece.mark: piece for piece in pieces}
    found = rows(pieces)
    assert len(found) == count
    for name, end, foot, *figures, turned in found:
        rims = [float(each) for each in figures]
        tube, plate = by_mark[end.split("'")[0].split()[-1]].length_part, by_mark[name].flat_part
        assert tube is not None
        assert tube.frame is not None
        assert plate is not None
        x, top = tube.frame.x, tube.frame.z
        clockwise = np.cross(x, top)
        out = x if "finish" in end else -x
        at = tube.frame.origin + (tube.length * x if "finish" in end else 0.0)
        front = -out if foot == "its front" else out
        turn = math.radians(float(turned.rstrip("°")))
        u = math.cos(turn) * top + math.sin(turn) * clockwise
        axes = np.array([u, np.cross(front, u), front])
        corners = _corners(plate) @ axes
        # Moved until its outline stands out so far past the skin on all four sides, and its face lies on the end.
        half = tube.section.through(0.0) / 2.0, tube.section.through(math.pi / 2.0) / 2.0
        for way, size, plus, minus in ((top, half[0], 0, 2), (clockwise, half[1], 1, 3)):
            by_plus = size + rims[plus] - float((corners @ way).max())
            by_minus = -size - rims[minus] - float((corners @ way).min())
            assert by_plus == pytest.approx(by_minus, abs=0.3)
            corners = corners + (by_plus + by_minus) / 2.0 * way
        corners = corners + at - (5.0 * front if foot == "its front" else 0.0)
        true = plate.places[0].frame.outside(_corners(plate))
        assert float(np.linalg.norm(corners - true, axis=1).max()) < 0.3, name


def _corners(plate: FlatPart) -> Array:
    """Of its back, in its own frame, (n, 3) mm."""
    datum = next(iter(plate.datums.values()))
    return np.array([datum.at(corner, 0.0) for corner in datum.corners])
