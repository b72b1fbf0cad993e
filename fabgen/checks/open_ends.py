"""Ends of tubes that stay open."""

from __future__ import annotations

from collections.abc import Iterator

from fabgen.checks.checked import Checked
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.parts.shape.open_ends import open_ends, slanted_ends
from fabgen.wording.levels import Level


@rule("open-ends", Level.NOTE, source=PRACTICE)
def open_tube_ends(job: Checked) -> Iterator[Found]:
    """A tube's end that stays open lets water and dirt in: a note, as plugs for such ends are on the shopping list,
    but for those that are sawn level at a slant, which none fits."""
    found_open = open_ends(job.job.weld, job.pieces)
    if found_open:
        ends = sum(found_open.values())
        yield found(
            "one tube end stays" if ends == 1 else f"{ends} tube ends stay",
            " open to water and dirt: plug them, the plugs are on the shopping list; or close one with "
            '`foot = { disc = …, thickness = …, lies = "square", point = "top" }` at that end',
            about=found_open,
        )
    if slanted := slanted_ends(job.job.weld, job.pieces):
        ends = sum(slanted.values())
        yield found(
            "one tube end sawn level stays" if ends == 1 else f"{ends} tube ends sawn level stay",
            " open to water and dirt, and no plug fits a slanted end: "
            '`foot = { plate = [ …, … ], thickness = … }` in place of `cut = "level"` closes one',
            about=slanted,
        )
