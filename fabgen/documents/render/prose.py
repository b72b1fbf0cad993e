"""What the documents say besides figures, from `prose.toml`."""

from __future__ import annotations

from fabgen.shop.tables import data


def prose(document: str, name: str) -> str:
    """A note, an instruction or a caution.

    Args:
        document: whose it is.
        name: of the text.
    """
    found: str = data("prose", __package__)[document][name]
    return found
