"""Prices of the job on the lines of the shopping list."""

from __future__ import annotations

from fabgen.job.tables.buying_tables import Price
from fabgen.plan.buying.item_keys import purchase_key
from fabgen.plan.buying.prices import priced
from fabgen.plan.plan import Purchase
from fabgen.shop.goods import StockBar, Threaded
from fabgen.shop.section import Section

LINES = [
    Purchase("rod end", Threaded("M12 x 1.75 right", "M12 x 1.75 right"), 2, "piece"),
    Purchase("rod end", Threaded("M12 x 1.75 left", "M12 x 1.75 left"), 2, "piece"),
    Purchase("bolt", Threaded("M10 x 30", "M10 x 1.5", 30.0, "8.8"), 5, "piece"),
    Purchase("tube", StockBar(Section("round", 48.3, 48.3, 3.2), "S355", 6000.0), 1, "bar", price=70.0),
]


def test_a_spec_goes_before_the_item_as_a_whole() -> None:
    lines, remarks = priced(LINES, [Price(item="Rod ends", spec="M12 left", each=9.0), Price(item="rod end", each=7.0)])
    assert [line.price for line in lines] == [7.0, 9.0, None, 70.0]
    assert remarks == []


def test_a_price_for_nothing_is_told_with_the_nearest() -> None:
    _, remarks = priced(LINES, [Price(item="rodends", spec="M12 rihgt", each=1.0), Price(item="blot", each=1.0)])
    assert remarks[0][0] == "price 1"
    assert "nearest: M12 x 1.75 right" in remarks[0][2]
    assert "nearest: bolt" in remarks[1][2]


def test_names_that_mean_one_thing() -> None:
    assert purchase_key("Rod-Ends", "M12") == purchase_key("rod end", "m12 x 1.75 right")
    assert purchase_key("bolt", "M10 × 30 8.8") == purchase_key("bolts", "M10 x 30, 8.8")


def test_names_that_mean_two_things() -> None:
    """The other hand and the other nut are bought apart: a price for the one does not serve the other."""
    assert len({purchase_key("rod end", spec) for spec in ("M12 left", "M12 right", "M12")}) == 2
    assert len({purchase_key(item, "M12") for item in ("nut", "jam nut")}) == 2
