"""Single-stroke letters: open strokes of the asked height."""

import pytest

from fabgen.geometry.plane.lettering import strokes, text_box


def test_capitals_stand_on_the_line_at_their_height() -> None:
    assert text_box("B12", 6.0)[:2] == (0.0, pytest.approx(0.0))
    assert text_box("H", 6.0)[3] == pytest.approx(6.0)
    assert text_box("Hg", 6.0)[1] < -0.5


def test_longer_text_is_wider_and_grows_with_its_height() -> None:
    assert text_box("P12", 5.0)[2] > text_box("P1", 5.0)[2]
    assert text_box("P1", 10.0)[2] == pytest.approx(2 * text_box("P1", 5.0)[2])


def test_unknown_letters_and_nothing() -> None:
    assert strokes("Ж", 5.0) == strokes("?", 5.0)
    assert strokes(" ", 5.0) == ()
    assert text_box("", 5.0) == (0.0, 0.0, 0.0, 0.0)
