"""International yard and pound agreement, 1959: 1 yard = 0.9144 m exactly.

A foot is a third of a yard, an inch a thirty-sixth: 304.8 mm and 25.4 mm, exactly.
"""

from fractions import Fraction

from fabgen.job.values.units import parse_length

YARD_MM = Fraction("914.4")


def test_foot_and_inch_are_exact() -> None:
    assert parse_length("1 ft") == float(YARD_MM / 3)
    assert parse_length("1 in") == float(YARD_MM / 36)
    assert parse_length("3 ft") == parse_length("36 in") == float(YARD_MM)
    assert parse_length("1000 thou") == float(YARD_MM / 36)
