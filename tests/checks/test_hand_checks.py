"""Left and right hand at a glance: five jobs in which one drawing makes both hands, and those that only look so."""

from __future__ import annotations

from dataclasses import replace

import pytest
from faulty_hands import FAULTS, ONLY_LOOKS_SO
from jobs import checked, findings

from fabgen.app.hands import with_own_images
from fabgen.checks.hands import hand_unplaced, one_hand, one_side
from fabgen.checks.rule import Finding
from fabgen.job.expansion.written_keys import WrittenKeys
from fabgen.job.reader import read_text


@pytest.mark.parametrize("name", list(FAULTS))
def test_one_hand_for_both_sides_is_told(name: str) -> None:
    (told,) = told_of_hands(FAULTS[name])
    assert told.is_stop is False
    assert "[[mirror]] parts = [" in told.text
    assert told.marks == (("T",) if "tube" in name else ("G",))


@pytest.mark.parametrize("name", list(ONLY_LOOKS_SO))
def test_what_only_looks_so_is_not(name: str) -> None:
    assert told_of_hands(ONLY_LOOKS_SO[name]) == []


def told_of_hands(text: str) -> list[Finding]:
    job = with_own_images(read_text(text))
    return findings(replace(checked(job.definitions), written=WrittenKeys.of(job)), (one_hand, hand_unplaced, one_side))
