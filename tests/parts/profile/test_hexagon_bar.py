"""Hexagon bar from point to point: laid by a flat, sawn, mitred; figures worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from faulty_profiles import HEAD, profile, tube
from jobs import pieces_of

from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.piece import Piece, ProfilePart
from fabgen.parts.shape.profiles import profile_body

HEX = "hexagon bar 24"
AREA = math.sqrt(3.0) / 2.0 * 24.0**2


def made(*tables: str, head: str = HEAD) -> dict[str, Piece]:
    return {piece.mark: piece for piece in pieces_of(read_text(head + "".join(tables)).definitions)}


def part(piece: Piece) -> ProfilePart:
    assert isinstance(piece.shape, ProfilePart)
    return piece.shape


@pytest.mark.parametrize(("more", "high", "wide"), [("", 24.0, 27.713), ('width = "left"', 27.713, 24.0)])
def test_a_flat_looks_the_way_it_is_laid(more: str, high: float, wide: float) -> None:
    piece = made(profile("H", "[[0, 0, 0], [500, 0, 0]]", HEX, more))["H"]
    body = profile_body(part(piece)).in_frame(part(piece).frame)
    assert [float(v) for v in body.vertices.max(axis=0) - body.vertices.min(axis=0)] == pytest.approx(
        [500.0, wide, high], abs=1e-3
    )
    assert piece.mass == pytest.approx(AREA * 500.0 * 7.85e-6)
    a, b, c = np.moveaxis(body.corners, 1, 0)
    # Above zero where its triangles look outward.
    assert float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0 == pytest.approx(AREA * 500.0)


def test_a_mitred_corner_is_as_long_as_its_outer_edge() -> None:
    """Laid with flats up and down its edges look in and out: the outer one is 24 / sqrt(3) beyond the middle."""
    pieces = made(
        profile("H1", "[[0, 0, 0], [500, 0, 0]]", HEX, ""), profile("H2", "[[500, 0, 0], [500, 400, 0]]", HEX, "")
    )
    assert [part(piece).length for piece in pieces.values()] == pytest.approx(
        [500.0 + 24.0 / math.sqrt(3.0), 400.0 + 24.0 / math.sqrt(3.0)]
    )
    assert part(pieces["H1"]).ends[1].kind == part(pieces["H2"]).ends[0].kind == "mitre"
    # Half of its six sides, each slanted as the mitre cuts it: four by 45 degrees times 60, two by 45.
    side = 24.0 / math.sqrt(3.0)
    assert part(pieces["H1"]).ends[1].weld == pytest.approx(2.0 * math.hypot(side, side / 2.0) + math.hypot(side, side))
    assert sum(piece.mass for piece in pieces.values()) == pytest.approx(AREA * 900.0 * 7.85e-6)


def test_it_butts_on_a_flat_face_and_is_refused_on_a_round_one() -> None:
    leg = profile("L", "[[0, -100, -25], [0, 100, -25]]", "angle 50 x 50 x 5", 'legs = ["top", "back"]')
    end = part(made(leg, profile("H", "[[0, 0, 0], [500, 0, 0]]", HEX, ""))["H"]).ends[0]
    assert (end.kind, end.is_square, end.onto) == ("face", True, ("L",))
    post = tube("T", "[[0, 0, -200], [0, 0, 200]]")
    with pytest.raises(JobError, match=r'\[\[tube\]\] with section = "bar 24"') as error:
        made(post, profile("H", "[[0, 0, 0], [500, 0, 0]]", HEX, ""))
    assert 'cut = "plain"' in str(error.value)
    assert (
        part(made(post, profile("H", "[[30, 0, 0], [500, 0, 0]]", HEX, 'start = { cut = "plain" }'))["H"]).length == 470
    )


def test_in_inches() -> None:
    piece = made(profile("H", "[[0, 0, 0], [20, 0, 0]]", "hex bar 1", ""), head=HEAD.replace('"mm"', '"in"'))["H"]
    assert part(piece).section.words("in") == 'hexagon bar 1"'
    assert part(piece).length == pytest.approx(508.0)


def test_what_the_errors_accept_is_accepted() -> None:
    """Round bar is made by [[tube]] with the very line that is named; what else is offered reads as it stands."""
    with pytest.raises(JobError, match=r'\[\[tube\]\] with section = "bar 17" and this route'):
        made(profile("B", "[[0, 0, 0], [500, 0, 0]]", "bar 17", ""))
    assert made(tube("B", "[[0, 0, 0], [500, 0, 0]]", "bar 17"))["B"].mass == pytest.approx(
        math.pi / 4.0 * 17.0**2 * 500.0 * 7.85e-6
    )
    ways = {"angle": 'legs = ["top", "left"]', "UPN": 'back = "top"', "channel": 'back = "top"', "T": 'flange = "top"'}
    with pytest.raises(JobError) as error:
        made(profile("B", "[[0, 0, 0], [500, 0, 0]]", "girder", ""))
    offered = [text for text in str(error.value).split('"')[1::2] if text != "girder" and " " in text]
    assert {"hexagon bar 17", "square bar 16", "flat 40 x 5", "bar 12"} <= set(offered)
    for text in offered:
        if text == "bar 12":
            assert made(tube("B", "[[0, 0, 0], [500, 0, 0]]", text))
        elif text.split()[0] in (*ways, "flat", "square", "hexagon"):
            assert made(profile("B", "[[0, 0, 0], [500, 0, 0]]", text, ways.get(text.split()[0], "")))
    with pytest.raises(JobError, match="has no flat leg to drill"):
        made(profile("H", "[[0, 0, 0], [500, 0, 0]]", HEX, 'holes = [{ at = 40, bolt = "M8" }]'))
