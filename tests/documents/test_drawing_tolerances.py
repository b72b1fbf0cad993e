"""What a drawing allows once welded, in the job's own units (ISO 13920, class B, the shorter leg above 1000 mm)."""

from __future__ import annotations

import pytest

from fabgen.documents.drawing.drawings import _allowed
from fabgen.job.tables.definitions import Header
from fabgen.wording.figures import Figures


@pytest.mark.parametrize(
    ("inches", "words"),
    [(False, "long sides out of square by 6 mm in a metre."), (True, 'long sides out of square by 0.072" in a foot.')],
)
def test_a_slope_is_said_in_the_job_s_units(inches: bool, words: str) -> None:
    """6 mm in a metre is 6 thousandths: of 12 in 0.072 in."""
    header = Header.model_construct(title="t", number="n", units="in" if inches else "mm", weld_tolerance="B")
    text = _allowed(header, Figures(inches=inches))
    assert text.endswith(words)
    assert not inches or " mm" not in text
