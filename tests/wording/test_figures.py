"""One way to write a figure.  Half a last place goes up, as one rounds by hand (common practice, no source)."""

from __future__ import annotations

import pytest

from fabgen.wording.figures import figure


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(3.175, 2, "3.18"), (0.25, 1, "0.3"), (-0.25, 1, "-0.3"), (-0.01, 1, "0"), (12.0, 1, "12"), (120.0, 0, "120")],
)
def test_rounded_and_bare(value: float, decimals: int, text: str) -> None:
    assert figure(value, decimals) == text
