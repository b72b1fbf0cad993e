"""The parts of the starters and samples, all families of them, mirrored at a far plane: each lies where its reflection
lies, point by point of its surface, as one mark made twice or as an opposite hand."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.job.document import entries, mark_of
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import FAMILIES
from fabgen.parts.piece import FlatPart, Piece
from fabgen.parts.shape.sheet_body import sheet_body

ROOT = Path(__file__).parents[2]
FAR = np.array([9000.0, 0.0, 0.0])
PLANE = 'Q1 = ["9 m", 0, 0]\nQ2 = ["9 m", "1 m", 0]\nQ3 = ["9 m", 0, "1 m"]\n'
NEAR = 0.35
"""How near points of one arc lie to those of another, mm."""

QUICK = ["bushes", "plates", "profiles"]
SLOW = ["brackets", "covers", "straps", "tubes", "trailer", "curlew-trailer", "sandpiper-nose"]


def reflected(points: np.ndarray) -> np.ndarray:
    return points * [-1.0, 1.0, 1.0] + 2.0 * FAR


def surface(part: FlatPart, place: int) -> np.ndarray:
    return part.places[place].frame.outside(sheet_body(part, 0.005).vertices)


def apart(one: np.ndarray, other: np.ndarray) -> float:
    far = np.linalg.norm(one[:, None] - other[None], axis=2)
    return float(max(far.min(axis=0).max(), far.min(axis=1).max()))


def mirrored(name: str) -> tuple[dict[str, Piece], dict[str, str]]:
    """The pieces of a job with all parts mirrored, those too that it mirrors itself, and of each image its first."""
    (path,) = [*ROOT.glob(f"templates/{name}.toml"), *ROOT.glob(f"sample_parts/{name}.toml")]
    text = path.read_text(encoding="utf-8")
    job = read_text(text, path)
    marks = [mark_of(entry) for table in (*FAMILIES, "frame") for _, entry in entries(job.raw, table)]
    marks += with_own_images(job).expanded.images
    text, given = re.subn(r"^\[points\].*\n", rf"\g<0>{PLANE}", text, count=1, flags=re.MULTILINE)
    text += "" if given else f"\n[points]\n{PLANE}"
    listed = ", ".join(f'"{mark}"' for mark in dict.fromkeys(marks))
    text += f'\n[[mirror]]\nparts = [{listed}]\nplane = ["Q1", "Q2", "Q3"]\n'
    loaded = read_text(text, path)
    images = {image: own for image, own in loaded.expanded.images.items() if image not in job.expanded.images}
    return {piece.mark: piece for piece in built(with_own_images(loaded))}, images


@pytest.mark.parametrize("name", [*QUICK, *(pytest.param(name, marks=pytest.mark.slow) for name in SLOW)])
def test_every_part_lies_where_its_reflection_does(name: str) -> None:
    pieces, images = mirrored(name)
    held = 0
    for image, own in images.items():
        if own not in pieces:
            continue
        first, other = pieces[own], pieces.get(image)
        part = first.flat_part
        if part is None:
            held += other is None or _is_held(first, other)  # what stands nowhere is made twice as often
        else:
            # Its images are places of its own, of the image's mark, or of that which the image is once more.
            for place in range(len(part.places)):
                assert _is_somewhere(reflected(surface(part, place)), part, pieces.values()), (own, place)
            held += 1
    assert held


def _is_somewhere(points: np.ndarray, part: FlatPart, pieces: Iterable[Piece]) -> bool:
    """Whether one of the parts as thick and as heavy as another stands where points of its surface are."""
    likely = [p.flat_part for p in pieces if p.flat_part is not None and _is_as_large(p.flat_part, part)]
    stand = ((each, place) for each in likely for place in range(len(each.places)))
    return any(_is_near(surface(*each), points) and apart(surface(*each), points) < NEAR for each in stand)


def _is_as_large(one: FlatPart, other: FlatPart) -> bool:
    return one.thickness == other.thickness and one.net_area == pytest.approx(other.net_area, rel=1e-6)


def _is_near(one: np.ndarray, other: np.ndarray) -> bool:
    return bool(np.abs(one.min(axis=0) - other.min(axis=0)).max() < NEAR)


def _is_held(first: Piece, image: Piece) -> bool:
    """A length: its axis and its saw length."""
    one, other = first.length_part or first.profile_part, image.length_part or image.profile_part
    assert one is not None
    assert other is not None
    assert other.length == pytest.approx(one.length, abs=0.01)
    if one.frame is None or other.frame is None:
        return False
    np.testing.assert_allclose(reflected(one.frame.origin), other.frame.origin, atol=1e-6)
    np.testing.assert_allclose(one.frame.x * [-1.0, 1.0, 1.0], other.frame.x, atol=1e-9)
    return True
