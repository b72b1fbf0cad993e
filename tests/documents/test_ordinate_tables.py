"""Tables of ordinates and hole centres, side by side where they are long."""

from __future__ import annotations

import pytest

from fabgen.documents.render.picture import Text
from fabgen.documents.wrap.ordinates import OrdinateStrip, table


@pytest.mark.parametrize(("rows", "strips"), [(1, 1), (2, 1), (3, 1), (4, 2), (6, 3), (24, 4)])
def test_a_short_table_stays_in_one(rows: int, strips: int) -> None:
    body = tuple((str(i), "30.0", "103.1") for i in range(rows))
    panel = table([OrdinateStrip("", ("hole", "x", "y"), body)], 150.0, "Hole centres, mm.", split=True)
    texts = [item.text for item in panel.picture.items if isinstance(item, Text)]
    assert texts.count("hole") == strips
    assert texts.count("103.1") == rows
