"""Basic minor diameters D1 of metric threads: ISO 724:1993, table 1 (typed from memory, not copied; each
agrees with the basic profile of ISO 68-1, D1 = D - 2 (5/8) H, to the thousandth the table prints)."""

import pytest

from fabgen.shop.threads import parse_thread

MINOR = {
    "M6": 4.917, "M8": 6.647, "M10": 8.376, "M12": 10.106, "M12 x 1.25": 10.647, "M16": 13.835, "M20": 17.294,
    "M24": 20.752, "M30": 26.211,
}  # fmt: skip


@pytest.mark.parametrize(("name", "minor"), MINOR.items())
def test_minor_diameter(name: str, minor: float) -> None:
    assert parse_thread(name).core == pytest.approx(minor, abs=0.0006)
