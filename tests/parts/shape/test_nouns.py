"""Parts called by their own nouns, and findings that say so."""

from __future__ import annotations

from typing import Any

import pytest
from jobs import checked, definitions, findings, pieces_of, tube

from fabgen.parts.shape.nouns import noun_of

POST = {"mark": "A", "section": "angle 60 x 60 x 6", "route": [[0, 0, 0], [0, 0, 800]], "legs": ["front", "left"]}
PLACE = {"at": [-20, 20, 300], "along": [1, 0, 0], "up": [0, 0, 1]}
PARTS: dict[str, tuple[str, dict[str, Any]]] = {
    "bracket": ("bracket", {"shape": "angle", "thickness": 4, "length": 80, "legs": [40, 40], "place": PLACE}),
    "plate": ("plate", {"rectangle": [80, 60], "thickness": 4, "place": PLACE}),
    "bar": ("bar", {"diameter": 10, "legs": [200, 60], "bends": [90], "radius": 20, "place": PLACE}),
}


@pytest.mark.parametrize("noun", PARTS)
def test_what_a_post_of_angle_lies_in_is_called_by_its_noun(noun: str) -> None:
    table, keys = PARTS[noun]
    job = definitions(profile=[POST], **{table: [{"mark": "G"} | keys]})
    assert [noun_of(piece) for piece in pieces_of(job)] == ["angle", noun]
    (told,) = [each.text for each in findings(checked(job, planned=True)) if each.rule == "into-one-another"]
    wanted = {"bar": "move the bar, or the angle"}
    assert told.endswith(
        wanted.get(noun, f"cut the angle to it with `onto`, make the {noun} smaller, or move one of them")
    )


@pytest.mark.parametrize(
    ("section", "noun"),
    [("48.3 x 3.2", "tube"), ("bar 25", "bar"), ("square bar 16", "square bar"), ("flat 40 x 5", "flat bar")],
)
def test_bars_are_no_tubes(section: str, noun: str) -> None:
    is_profile = section.startswith(("square", "flat"))
    part = tube("T", (0, 0, 0), (0, 0, 400), section=section)
    (piece,) = pieces_of(definitions(**{"profile" if is_profile else "tube": [part]}))
    assert noun_of(piece) == noun
