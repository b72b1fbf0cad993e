"""The names of other points that a point as written depends on."""

from __future__ import annotations

NAMING = frozenset(("from", "toward", "tape", "mirror", "foot", "plane", "axis", "middle", "near"))
"""Keys of a point whose values name other points."""


def needs(written: object) -> set[str]:
    """The names that a point as written may depend on."""
    if not isinstance(written, dict):
        return {written} if isinstance(written, str) else set()
    found: set[str] = set()
    for value in (value for key, value in written.items() if key in NAMING):
        found |= {value} if isinstance(value, str) else set()
        found |= {each for each in value if isinstance(each, str)} if isinstance(value, list | dict) else set()
    return found
