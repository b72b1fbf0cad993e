"""Figures on the command line: faults named by option, in words that hold there."""

import math
from collections.abc import Callable

import pytest

from fabgen.job.values.option_values import angle_option, length_option
from fabgen.job.values.units import parse_length


def test_figures_read_as_in_a_job_file() -> None:
    assert angle_option("angle", "60 deg") == pytest.approx(math.radians(60.0))
    assert length_option("offset", "1/4 in") == pytest.approx(6.35)


@pytest.mark.parametrize(("read", "kind"), [(angle_option, "an angle"), (length_option, "a length")])
def test_a_word_is_no_figure_and_no_dimension(read: Callable[[str, str], float], kind: str) -> None:
    with pytest.raises(ValueError, match=f'^--angle: cannot read "abc" as {kind}') as caught:
        read("angle", "abc")
    assert "dimension" not in str(caught.value)


@pytest.mark.parametrize("text", ["16 ga", "16ga", "11 gauge", "18 SWG"])
def test_a_gauge_is_asked_for_in_mm_or_inches(text: str) -> None:
    with pytest.raises(ValueError, match="gauge number") as caught:
        parse_length(text)
    assert "mm or inches" in str(caught.value)
