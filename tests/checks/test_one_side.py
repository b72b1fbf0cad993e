"""What is placed on a mirrored tube and is not mirrored with it: faults, what only looks so, and the word for it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from jobs import checked, findings
from one_sided_parts import FAULTS, ONLY_LOOKS_SO, RAIL, bracket, mirror

from fabgen.app.hands import with_own_images
from fabgen.checks.hands import one_side
from fabgen.job.errors import JobError
from fabgen.job.expansion.written_keys import WrittenKeys
from fabgen.job.reader import read_text


def said(text: str) -> list[str]:
    job = with_own_images(read_text(text))
    return [each.text for each in findings(replace(checked(job.definitions), written=WrittenKeys.of(job)), (one_side,))]


@pytest.mark.parametrize(("text", "words"), FAULTS)
def test_what_is_left_on_one_side_is_told(text: str, words: str) -> None:
    (found,) = said(text)
    assert words in found


@pytest.mark.parametrize("text", ONLY_LOOKS_SO)
def test_what_only_looks_so_is_not(text: str) -> None:
    assert said(text) == []


@pytest.mark.parametrize(
    ("name", "words"),
    [("S1", "S1 is mirrored here, so it stands on both sides"), ("X1", 'no part "X1" to stand on one side')],
)
def test_what_cannot_be_one_sided(name: str, words: str) -> None:
    with pytest.raises(JobError, match=words):
        read_text(RAIL + bracket() + mirror("S1", one_sided=name))
