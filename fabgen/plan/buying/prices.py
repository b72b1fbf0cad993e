"""Prices the job gives by item, put on the lines of the shopping list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fabgen.job.tables.buying_tables import Price
from fabgen.plan.buying.item_keys import item_key, spec_key
from fabgen.plan.plan import Purchase
from fabgen.wording.nearest import nearest

Remark = tuple[str, str, str]
"""About what, which rule, and the text: what the checks pass on."""


def priced(lines: Sequence[Purchase], prices: Sequence[Price]) -> tuple[list[Purchase], list[Remark]]:
    """The lines with their prices, and a remark for every price that fits none of them.

    Args:
        lines: of the shopping list.
        prices: a price with a spec goes before one for the item as a whole; of like ones the later wins.
    """
    found = list(lines)
    used: set[int] = set()
    for i in sorted(range(len(prices)), key=lambda i: bool(prices[i].spec)):
        for k, line in enumerate(found):
            if _fits(prices[i], line):
                used.add(i)
                found[k] = replace(line, price=prices[i].each)
    return found, [
        (f"price {i + 1}", "price-unused", _unused(price, lines)) for i, price in enumerate(prices) if i not in used
    ]


def _fits(price: Price, line: Purchase) -> bool:
    if item_key(price.item) != item_key(line.item):
        return False
    return not price.spec or spec_key(price.spec) == spec_key(line.spec)


def _unused(price: Price, lines: Sequence[Purchase]) -> str:
    items = sorted({line.item for line in lines})
    same = [line.spec for line in lines if item_key(line.item) == item_key(price.item)]
    if same:
        near = nearest(price.spec, same)
        what = f'no {price.item} on the shopping list is "{price.spec}"'
    else:
        near = nearest(price.item, items)
        what = f'nothing on the shopping list is called "{price.item}"'
    return what + (f"; nearest: {near}" if near else "") + ". The price is not used."
