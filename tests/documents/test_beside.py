"""Wheels, dampers and envelopes on the assembly and in the view: at their true sizes, where the job has them."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from moving_jobs import TRAILING, job_of, sample

from fabgen.app.live_page import page_of
from fabgen.app.work import work_on
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.render import paper
from fabgen.documents.render.picture import Stroke, Text
from fabgen.documents.scene.beside import wire, wires
from fabgen.geometry.mechanics.envelopes import KeepOutShape
from fabgen.parts.build import all_pieces

ARM = Path(__file__).parents[2] / "sample_parts" / "curlew-arm.toml"


@pytest.mark.parametrize(
    ("shape", "size"),
    [
        (KeepOutShape.tyre(600.0, 165.0, 340.0, 5.0), (165.0, 600.0, 600.0)),
        (KeepOutShape.disc(80.0, 30.0), (30.0, 80.0, 80.0)),
        (KeepOutShape.capsule(190.0, 40.0), (230.0, 40.0, 40.0)),
        (KeepOutShape.box(80.0, 46.0, 70.0), (80.0, 46.0, 70.0)),
    ],
)
def test_a_wire_is_as_large_as_its_shape(shape: KeepOutShape, size: tuple[float, ...]) -> None:
    made = wire(shape)
    low, high = made.bounds
    assert high - low == pytest.approx(size)
    # Each of its points lies on the shape's skin.
    away = np.linalg.norm(made.vertices - shape.nearest(made.vertices), axis=1)
    if shape.round_:
        assert away == pytest.approx(np.full(len(away), shape.round_), abs=1e-6)


def test_they_stand_where_the_job_has_them() -> None:
    found = {each.name: each.body.bounds for each in wires(job_of(sample("curlew-arm.toml")))}
    assert set(found) == {"spring", "wheel", "caliper", "spanner"}
    low, high = found["wheel"]
    assert (low + high) / 2.0 == pytest.approx([950.0, 689.0, -150.0])
    assert high - low == pytest.approx([600.0, 165.0, 600.0])
    low, high = found["caliper"]
    assert (low + high) / 2.0 == pytest.approx([1025.0, 592.0, -150.0])
    low, high = found["spring"]
    assert low[2] < -120.0
    assert high[2] > 295.0


def test_a_wheel_without_a_width_is_shown_as_a_thin_disc() -> None:
    (low, high) = next(each.body.bounds for each in wires(job_of(TRAILING)) if each.kind == "wheel")
    assert high[2] - low[2] == pytest.approx(500.0)
    assert high[1] - low[1] == pytest.approx(1.0)


def test_the_assembly_draws_them_thin_and_names_them() -> None:
    job = job_of(sample("curlew-arm.toml"))
    pieces = all_pieces(job)
    bare, shown = (drawing_pages(pieces, job.job, paper.A4, beside=beside)[0] for beside in ((), wires(job)))
    thin = [
        sum(isinstance(item, Stroke) and item.pen == "thin" for item in page.picture.items) for page in (bare, shown)
    ]
    assert thin[1] > thin[0] + 10
    notes = " ".join(item.text for item in shown.picture.items if isinstance(item, Text))
    assert "Thin lines without a circle: spring, wheel, caliper, spanner." in notes
    assert "spanner" not in " ".join(item.text for item in bare.picture.items if isinstance(item, Text))


def test_the_page_has_them_beside_its_parts() -> None:
    text = page_of(work_on(ARM))
    assert re.findall(r'"mark":\s*"(\w+)",\s*"kind":\s*"(?:damper|wheel|envelope)",\s*"beside":\s*true', text) == [
        "spring",
        "wheel",
        "caliper",
        "spanner",
    ]
