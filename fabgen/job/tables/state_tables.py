"""What parts and bodies say of themselves that are bought as they are, or there already."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from fabgen.job.errors import InputError
from fabgen.job.tables.table import goes_with

State = Literal["bought", "there already"]
STATE = (
    "bought: comes as it is, and stands on the shopping list; there already: of a donor, or of what is built onto. "
    "Neither is cut to fit what is made here, new parts are fitted to it; left out = made here"
)
SUPPLIER = "of what is bought, for the shopping list"


def supplier_faults(given: Mapping[str, object]) -> Iterator[InputError]:
    """A fault where a supplier is named of what is not bought."""
    if given.get("supplier"):
        yield from goes_with("supplier", given, given.get("state") == "bought", 'state = "bought"')
