"""Unified inch threads: ASME B1.1-2003, tables of the UNC and UNF series: threads to the inch
and basic minor diameter of the internal thread (inches); typed from memory."""

import pytest

from fabgen.shop.threads import parse_thread

SERIES = {
    "10-32 UNF": 0.1562,
    "1/4-20 UNC": 0.1959,
    "1/4-28 UNF": 0.2113,
    "5/16-24 UNF": 0.2674,
    "3/8-16 UNC": 0.3073,
    "3/8-24 UNF": 0.3299,
    "7/16-20 UNF": 0.3834,
    "1/2-13 UNC": 0.4167,
    "1/2-20 UNF": 0.4459,
    "5/8-18 UNF": 0.5649,
    "3/4-16 UNF": 0.6823,
}


@pytest.mark.parametrize(("name", "minor"), SERIES.items())
def test_minor_diameter(name: str, minor: float) -> None:
    thread = parse_thread(name)
    assert thread.name == name
    assert thread.core / 25.4 == pytest.approx(minor, abs=0.00011)
