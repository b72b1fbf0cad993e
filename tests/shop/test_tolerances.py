"""ISO 13920, lengths and angles of welded parts: rows read at Modulus Metal's page on the standard."""

from __future__ import annotations

import pytest

from fabgen.shop.tolerances import WeldClass, steps, welded_angle, welded_length


@pytest.mark.parametrize(
    ("of_class", "length", "out"),
    [
        ("A", 396, 1), ("A", 404, 2), ("B", 30, 1), ("B", 30.3, 2), ("B", 400, 2), ("B", 404, 3), ("B", 1980, 4),
        ("B", 2020, 6), ("C", 999, 6), ("C", 1010, 8), ("D", 121.2, 7), ("D", 25_000, 40), ("A", 20_200, 9),
    ],
)  # fmt: skip
def test_lengths_inside_and_outside_a_range(of_class: WeldClass, length: float, out: float) -> None:
    assert welded_length(of_class, length) == out


def test_angles_by_the_shorter_leg() -> None:
    assert [welded_angle("B", leg) for leg in (396, 404, 1010)] == [13.0, 9.0, 6.0]


def test_ranges_of_one_tolerance_are_one() -> None:
    assert steps("B", 4000) == [(1, 30), (2, 400), (3, 1000), (4, 2000), (6, 4000)]
    assert steps("A", 400) == [(1, 400)]
