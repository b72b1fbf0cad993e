"""Tables kept as data: TOML files of blocks, each with its source and how certain its figures are.

A block has `source`, `certainty`, `columns` and `rows`.  A row goes by what is in its first column, and a text that
ends in `in` in any other column is a length in inches.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from fabgen.wording.inches import INCH


@dataclass(frozen=True, slots=True)
class Table:
    """One block: its source, how certain it is, and its rows by their first column.  Lengths are in mm."""

    source: str
    certainty: str
    rows: dict[str, dict[str, Any]]


@cache
def table(file: str, block: str) -> Table:
    """A block of one of the shop's data files, read when it is first needed.

    Args:
        file: in fabgen/shop/data, without its ending.
        block: its name in the file.
    """
    found = data(file)[block]
    columns = found["columns"][1:]
    rows = {name: dict(zip(columns, map(in_mm, values), strict=True)) for name, *values in found["rows"]}
    return Table(found["source"], found["certainty"], rows)


@cache
def data(file: str, package: str = "fabgen.shop.data") -> dict[str, Any]:
    """What a data file holds, as it stands there.

    Args:
        file: without its ending.
        package: the folder it lies in.
    """
    import tomllib
    from importlib.resources import files

    return tomllib.loads(files(package).joinpath(f"{file}.toml").read_text(encoding="utf-8"))


def inches(text: str) -> float:
    """A size in inches as mm.

    Args:
        text: such as '1 3/32'.
    """
    return float(sum(Fraction(part) for part in text.split())) * INCH


def in_mm(value: Any) -> Any:
    """A figure of a table as mm where it is a text that ends in `in`; anything else as it is."""
    return inches(value[:-3]) if isinstance(value, str) and value.endswith(" in") else value
