"""What the cut list says of the bill for bars: proven least, or how far from the least it may be."""

from __future__ import annotations

import json

import pytest

from fabgen.documents.data.job_json import job_json
from fabgen.documents.lists.bars_and_sheets import bill_texts
from fabgen.job.tables.definitions import Header
from fabgen.plan.plan import BarBill, Plan
from fabgen.shop.section import Section

TUBE = Section("round", 40.0, 40.0, 3.0)


def header(units: str, currency: str = "EUR") -> Header:
    return Header.model_construct(title="t", number="n", units=units, currency=currency, revision="A")


@pytest.mark.parametrize(
    ("units", "bill", "text"),
    [
        ("mm", BarBill(TUBE, "S235", 18000.0, 18000.0, False), "40 x 3  S235: 18 m of bar to buy, proven least"),
        (
            "mm",
            BarBill(TUBE, "S235", 101.0, 100.0, True),
            "40 x 3  S235: 101.00 EUR to buy, within 1 % of the least (no plan needs less than 100.00 EUR)",
        ),
        (
            "in",
            BarBill(TUBE, "S235", 6096.0, 6095.0, False),
            "40 x 3 mm  S235: 20 ft of bar to buy, within 0.1 % of the least (no plan needs less than 20 ft of bar)",
        ),
        ("mm", BarBill(TUBE, "S235", 0.0, 0.0, False), "40 x 3  S235: all from the rack, nothing to buy"),
        (
            "mm",
            BarBill(TUBE, "S235", 60.0, 0.0, True),
            "40 x 3  S235: 60.00 EUR to buy, not proven least",
        ),
    ],
)
def test_how_near_the_least_a_bill_is(units: str, bill: BarBill, text: str) -> None:
    assert list(bill_texts(Plan(bills=(bill,)), header(units))) == [text]


def test_job_json_has_bill_and_bound() -> None:
    plan = Plan(bills=(BarBill(TUBE, "S235", 101.0, 100.0, True),))
    (found,) = json.loads(job_json(header("mm"), [], plan, []))["plan"]["bills"]
    assert (found["bill"], found["bound"], found["of"], found["proven_least"]) == (101.0, 100.0, "price", False)
