"""What pieces say in words, for tests."""

from __future__ import annotations

from collections.abc import Iterable

from fabgen.parts.piece import Fact


def fact_texts(facts: Iterable[Fact], units: str = "mm") -> dict[str, str]:
    """The texts of facts by their labels."""
    return {fact.label: fact.text.words(units) for fact in facts}
