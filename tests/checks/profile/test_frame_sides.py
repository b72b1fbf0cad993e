"""frame-side: sides of frames that lie the wrong way round, and what only looks so."""

from __future__ import annotations

import re

import pytest
from faulty_profiles import HEAD, profile, tray
from jobs import checked, findings, read

from fabgen.checks.profile.frame_sides import RULES


def said(*tables: str) -> list[str]:
    told = findings(checked(HEAD + "".join(tables)), RULES)
    return [f"{', '.join(found.marks)}: {found.text}" for found in told]


def channels(*backs: str) -> str:
    corners = "[0, 0, 0]", "[600, 0, 0]", "[600, 400, 0]", "[0, 400, 0]"
    return "".join(
        profile(f"C{i + 1}", f"[{corners[i]}, {corners[(i + 1) % 4]}]", "UPN 80", f'back = "{back}"')
        for i, back in enumerate(backs)
    )


FIVE = {
    "a tray's side with its flat leg outward": (
        tray(back='["top", "left"]'),
        "F3: leg b of F3 looks to the left, which does not fit F2 and F4, so 2 corners are not mitred: "
        '`legs = ["top", "right"]` in the table of F3 turns it round',
    ),
    "its upright leg down": (
        tray(left='["bottom", "front"]'),
        "F4: leg a of F4 looks down, which does not fit F1 and F3, so 2 corners are not mitred: "
        '`legs = ["top", "front"]` in the table of F4',
    ),
    "a channel with its back inward": (
        channels("right", "front", "right", "back"),
        "C3: the back of C3 looks to the right, which does not fit C2 and C4, so 2 corners are not mitred: "
        '`back = "left"` in the table of C3',
    ),
    "two sides that face one another": (
        tray(right='["top", "front"]', left='["top", "back"]'),
        "F4, F2: leg b of F4 looks to the back, leg b of F2 looks to the front, which does not fit F1 and F3, so 4 "
        'corners are not mitred: `legs = ["top", "front"]` in the table of F4; `legs = ["top", "back"]` in the table',
    ),
    "two angles that make one corner": (
        profile("A", "[[0, 0, 0], [600, 0, 0]]")
        + profile("B", "[[600, 0, 0], [600, 400, 0]]", more='legs = ["top", "front"]'),
        "B: leg b of B looks to the front, which does not fit A, so that corner is not mitred: "
        '`legs = ["top", "back"]` in the table of B turns it round',
    ),
}


@pytest.mark.parametrize("name", FIVE)
def test_it_speaks(name: str) -> None:
    text, words = FIVE[name]
    (told,) = said(text)
    assert told.startswith(words)


@pytest.mark.parametrize("name", FIVE)
def test_the_lines_that_it_writes_mend_it(name: str) -> None:
    text = HEAD + FIVE[name][0]
    (found,) = findings(checked(text), RULES)
    for key, line, mark in re.findall(r"`((?:legs|back) = )(\S.*?)` in the table of (\w+)", found.text):
        text = re.sub(rf'(mark = "{mark}"(?:\n.+)*?\n){key}.*', rf"\g<1>{key}{line}", text)
    pieces = checked(read(text)).pieces
    assert not findings(checked(text), RULES)
    assert sum(end.kind == "mitre" for p in pieces if p.profile_part for end in p.profile_part.ends) >= 2


LOOKS_WRONG = {
    "legs in": tray(),
    "legs out": tray('["top", "right"]', '["top", "front"]', '["top", "left"]', '["top", "back"]'),
    "a leg under a corner": tray() + profile("P", "[[0, 0, -400], [0, 0, 0]]", more='legs = ["front", "left"]'),
    "ends that the job leaves plain": tray(
        back='["top", "left"]\nstart = { cut = "plain" }\nfinish = { cut = "plain" }'
    ),
    "a rung at the end of two rails": profile("A", "[[0, 0, 0], [600, 0, 0]]")
    + profile("B", "[[0, 400, 0], [600, 400, 0]]", more='legs = ["top", "right"]')
    + profile("R", "[[600, 0, 0], [600, 400, 0]]", "angle 30 x 30 x 3", 'legs = ["top", "front"]'),
    "one set on another, its point a little in": profile("A", "[[0, 0, 0], [600, 0, 0]]")
    + profile("B", "[[560, 0, 0], [560, 400, 0]]", more='legs = ["top", "front"]'),
}


@pytest.mark.parametrize("name", LOOKS_WRONG)
def test_it_is_silent(name: str) -> None:
    assert not said(LOOKS_WRONG[name])
