"""What a mirror makes has its keys in the mirror's `change`: findings write the line there."""

from __future__ import annotations

import re

from fabgen.app.work import built, planned
from fabgen.job.reader import read_text

JOB = """[job]
title = "t"
number = "1"
units = "{units}"
[[tube]]
mark = "S-L"
section = "{section}"
turn = 0
route = [[0, {beside}, 0], [{long}, {beside}, 0]]
[[mirror]]
parts = ["S-L"]
"""


def told(text: str) -> list[str]:
    loaded = read_text(text)
    found = planned(loaded, built(loaded), None, effort=None).findings
    return [each.text for each in found if each.rule == "tubes-cross"]


def test_a_tube_in_its_own_image() -> None:
    for units, section, beside, long in (("mm", "40 x 40 x 3", 15, 600), ("in", "2 x 2 x 0.12", 0.75, 24)):
        job = JOB.format(units=units, section=section, beside=beside, long=long)
        (text,) = told(job)
        assert "S-R = { offset = " in text
        assert text.endswith(" in the table of the mirror of S-L moves it clear")
        line = re.search("`(change = .*)`", text)
        assert line is not None
        assert told(job + line[1]) == []


def test_images_that_are_clear_are_not_told() -> None:
    assert told(JOB.format(units="mm", section="40 x 40 x 3", beside=20.2, long=600)) == []
    assert told(JOB.format(units="mm", section="40 x 40 x 3", beside=300, long=600)) == []
