"""Tables of figures kept as data: `data/NAME.toml`, each block with its source."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def figures(name: str) -> dict[str, Any]:
    """A table of figures.

    Args:
        name: of the file in `shop/data`, without its ending.
    """
    return tomllib.loads((files("fabgen.shop") / "data" / f"{name}.toml").read_text("utf-8"))


def cited(block: dict[str, Any]) -> str:
    """The source of a block, with its certainty where the source itself was not at hand.

    Args:
        block: with `source` and, unless its figures were read there, `certainty`.
    """
    certainty = block.get("certainty")
    return f"{block['source']} ({certainty})" if certainty else str(block["source"])
