"""eye-unbolted: eyes and balls in drilled ears without a bolt, and what only looks so; a bolt through one part alone
takes the hole that others leave."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from jobs import checked, findings, read

from fabgen.checks.bolt.unbolted_eyes import eye_unbolted

ROOT = Path(__file__).parents[2]
SUSPENSION = (ROOT / "templates" / "suspension.toml").read_text(encoding="utf-8")
_MOVES = "# ---------------------------------------------------------------- what moves"
DAMPER_BOLT = SUSPENSION[SUSPENSION.index('[[bolt]]\ntitle = "damper, upper eye"') : SUSPENSION.index(_MOVES)]
HEAD = '[job]\ntitle = "Rod"\nnumber = "R-1"\nunits = "mm"\nmaterial = "S235"\n'
RAILS = "".join(
    f'[[tube]]\nmark = "S{i}"\nsection = "50 x 50 x 3"\nroute = [[0, {y}, 0], [600, {y}, 0]]\n'
    for i, y in ((1, 0), (2, 500))
)
CLEVIS = (
    '[[bracket]]\nmark = "B1"\nquantity = 2\nshape = "clevis"\nthickness = 4\ngap = 22\nlength = 50\nheight = 45\n'
    'bolt = "M12"\nplace = [{ against = "S1", at = 300, side = "top" }, { against = "S2", at = 300, side = "top" }]\n'
)
ROD = (
    '[[link]]\nmark = "L1"\nsection = "25 x 4"\nmaterial = "S355"\nbetween = [[300, 0, 70], [300, 500, 70]]\n'
    'rod_ends = ["M12 right", "M12 left"]\nadjust = 10\n'
)
BOLT = '[[bolt]]\nthread = "M12"\nquantity = 2\nthrough = ["B1", "L1", "B1"]\n'
PIN = "[[pin]]\nat = [300, {}, 70]\naxis = [1, 0, 0]\n"


def said(text: str) -> list[str]:
    return [each.text for each in findings(checked(read(text), planned=True), (eye_unbolted,))]


@pytest.mark.parametrize(("text", "words"), [
    (SUSPENSION.replace(DAMPER_BOLT, ""), "damper-L in B2-L"),
    (HEAD + RAILS + CLEVIS + ROD, "L1 in B1"),
    (HEAD + RAILS + CLEVIS + ROD + PIN.format(0), "L1 in B1"),
    (HEAD + RAILS + CLEVIS + ROD + BOLT.replace("quantity = 2", "quantity = 1"), "L1 in B1"),
    (HEAD + RAILS + CLEVIS + ROD + '[[bolt]]\nthread = "M8"\nthrough = [6]\n', "L1 in B1"),
], ids=["damper", "rod", "a pin at one end alone", "one bolt for two", "a bolt for something else"])  # fmt: skip
def test_an_eye_without_a_bolt(text: str, words: str) -> None:
    (told,) = said(text)
    assert words in told
    assert "none is on the shopping list" in told


@pytest.mark.parametrize("text", [
    SUSPENSION,
    HEAD + RAILS + CLEVIS + ROD + BOLT,
    HEAD + RAILS + CLEVIS + ROD + PIN.format(0) + PIN.format(500),
    HEAD + RAILS + CLEVIS.replace('mark = "B1"', 'mark = "B1"\nstate = "there already"') + ROD,
    HEAD + RAILS + ROD,
], ids=["starter", "bolts", "pins", "ears that are there already", "no ears"])  # fmt: skip
def test_what_only_looks_so(text: str) -> None:
    assert said(text) == []


def test_a_bolt_through_one_part_alone_takes_the_hole_that_is_left() -> None:
    """Listed first, it does not take the hole of the rod's bolt."""
    first = SUSPENSION.replace(DAMPER_BOLT, "").replace("[[bolt]]", f"{DAMPER_BOLT}[[bolt]]", 1)
    of = checked(read(first), planned=True)
    assert [each.text for each in findings(of) if each.level == "stop"] == []
    stacks = [each for each in of.plan.bolts if each.title == "damper, upper eye"]
    shocks = [np.array(damper.between[0].xyz) for damper in of.job.damper]
    assert sum(line.holds(at) for stack in stacks for line in stack.lines for at in shocks) == len(shocks) == 2
