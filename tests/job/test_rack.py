"""The rack file: what it says, and how its faults are told."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabgen.job.errors import JobError, describe
from fabgen.job.rack import read_rack, read_rack_text

SAMPLE = Path(__file__).parents[2] / "sample_parts" / "rack" / "rack.toml"

LEAST = '[rack]\nunits = "mm"\n'


def faults(text: str) -> list[str]:
    with pytest.raises(JobError) as caught:
        read_rack_text(text, "rack.toml")
    return [describe(problem) for problem in caught.value.problems]


def test_the_sample_reads() -> None:
    rack = read_rack(SAMPLE).contents
    assert [bar.mark for bar in rack.bar] == ["R1", "R2", "KIT-03/2"]
    assert str(rack.bar[0].section) == "48.3 x 3.2"
    assert rack.bar[0].count == 2
    assert rack.bar[1].count == 1
    assert rack.sheet[0].size == [1000.0, 500.0]
    assert rack.remnant[0].outline.corners is not None
    assert rack.hardware[0].item == "rod end"


def test_an_empty_rack_is_a_rack() -> None:
    rack = read_rack_text(LEAST).contents
    assert not rack.bar
    assert rack.rack.least_offcut == 150.0


def test_bare_figures_count_in_the_rack_s_units() -> None:
    text = '[rack]\nunits = "in"\n[[bar]]\nsection = "1.5 x 0.120"\nmaterial = "A500"\nlength = 40\n'
    bar = read_rack_text(text).contents.bar[0]
    assert bar.length == pytest.approx(1016.0)
    assert bar.section.width == pytest.approx(38.1)


def test_a_material_of_the_rack_s_own() -> None:
    text = LEAST + (
        '[[material]]\nname = "Old mast"\nlike = "S235"\n'
        '[[bar]]\nsection = "60 x 3"\nmaterial = "old mast"\nlength = 900\n'
    )
    assert read_rack_text(text).contents.bar[0].material == "Old mast"


def test_every_fault_is_told_with_line_accepted_and_nearest() -> None:
    told = faults(
        LEAST
        + '[[bar]]\nmark = "A"\nsection = "48.3"\nmaterial = "S253"\nlenght = 900\n'
        + '[[bar]]\nmark = "a"\nsection = "48.3 x 3.2"\nmaterial = "S355"\nlength = "-5"\ncount = 1.5\n'
    )
    text = "\n".join(told)
    assert len(told) == 6
    assert 'rack.toml:5: bar 1 "A", key section' in text
    assert "nearest: S235" in text
    assert 'there is no key "lenght" here' in text
    assert "nearest: length" in text
    assert "this key is missing" not in text  # it stands there, misspelt
    assert 'the mark "a" is taken already by bar 1 on line 4' in text
    assert "a whole number from 0 to 10000" in text


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "the file is empty"),
        ("[rak]\nunits='mm'\n", "there is no table"),
        ('[rack]\nunits = "cm"\n', "is none of the choices"),
        (LEAST + '[[remnant]]\nthickness = 3\nmaterial = "S235"\noutline = [[0,0],[9,9]]\n', "list has 2 items"),
        (
            LEAST + '[[remnant]]\nthickness = 3\nmaterial = "S235"\noutline = [[0,0],[90,90],[90,0],[0,90]]\n',
            "crosses itself",
        ),
        (
            LEAST + '[[remnant]]\nthickness = 3\nmaterial = "S235"\noutline = [[0,0],["9 cm",0],["18 cm",0]]\n',
            "no area",
        ),
        (LEAST + "[bar]\nlength = 3\n", "in double brackets"),
        (LEAST + '[[bar]]\nsection = "48.3 x 3.2"\nlength = 900\n', "is missing"),
        (LEAST + "[[bar]\n", "lacks its closing"),
    ],
)
def test_a_fault_is_told_in_words(text: str, what: str) -> None:
    told = faults(text)
    assert len(told) <= 2
    assert any(what in one for one in told)
    assert all(one.startswith("rack.toml:") for one in told)


def test_a_file_that_is_not_there_names_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "rack.toml").write_text(LEAST)
    with pytest.raises(JobError) as caught:
        read_rack(tmp_path / "rak.toml")
    told = describe(caught.value.problems[0])
    assert "there is no such file" in told
    assert "the name of a rack file" in told
    assert str(tmp_path / "rack.toml") in told
