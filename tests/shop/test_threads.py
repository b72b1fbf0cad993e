import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.shop.threads import Thread, ThreadError, parse_thread


@pytest.mark.parametrize(
    ("text", "name", "hand"),
    [
        ("M12", "M12 x 1.75", "right"),
        ("M12 right", "M12 x 1.75", "right"),
        ("M12 left", "M12 x 1.75", "left"),
        ("m12 LH", "M12 x 1.75", "left"),
        ("M12x1.25 left-hand", "M12 x 1.25", "left"),
        ("M12 × 1,25 RH", "M12 x 1.25", "right"),
        ("M18 x 1.5, left", "M18 x 1.5", "left"),
        ("1/2-20 UNF left", "1/2-20 UNF", "left"),
        ("1/2 UNF", "1/2-20 UNF", "right"),
        ("1/2-20", "1/2-20 UNF", "right"),
        ("1/2-13 right", "1/2-13 UNC", "right"),
        ("10-32 UNF", "10-32 UNF", "right"),
        ("#10-32", "10-32 UNF", "right"),
        ("1 1/4-12 UNF lh", "1 1/4-12 UNF", "left"),
        ('3/8"-24 UNF', "3/8-24 UNF", "right"),
    ],
)
def test_names_that_are_read(text: str, name: str, hand: str) -> None:
    thread = parse_thread(text)
    assert thread.name == name
    assert thread.hand == hand
    assert str(thread) == f"{name} {hand}"


@pytest.mark.parametrize("text", ["", "M", "M12 x", "left", "half inch", "12", "1/2", "M12 x 1.25 x 3", "9" * 500])
def test_names_that_are_not(text: str) -> None:
    with pytest.raises(ThreadError) as fault:
        parse_thread(text)
    assert fault.value.accepted


def test_a_wrong_pitch_is_told_the_right_ones() -> None:
    with pytest.raises(ThreadError) as fault:
        parse_thread("M12 x 1.7")
    assert "M12 x 1.75" in fault.value.accepted
    assert fault.value.nearest == "M12 x 1.75"


@pytest.mark.parametrize(
    ("text", "near"), [("M12 rigt", "M12 right"), ("M10 lefft", "M10 left"), ("1/2-20 UNF rihgt", "1/2-20 UNF right")]
)
def test_a_misspelt_hand_is_told_the_nearest(text: str, near: str) -> None:
    with pytest.raises(ThreadError) as fault:
        parse_thread(text)
    assert fault.value.nearest == near
    parse_thread(near)


@pytest.mark.parametrize(
    ("size", "near"),
    [
        ("M7 right", "M6 or M8"),
        ("M13", "M12 or M14"),
        ("M39 left", "M36, the largest in the table"),
        ("M2", "M3, the smallest in the table"),
    ],
)
def test_an_unknown_size_is_told_those_beside_it(size: str, near: str) -> None:
    with pytest.raises(ThreadError) as fault:
        parse_thread(size)
    assert fault.value.nearest == near


def test_an_inch_size_needs_its_series() -> None:
    with pytest.raises(ThreadError, match="either series") as fault:
        parse_thread("1/2")
    assert "1/2-13 UNC or 1/2-20 UNF" in fault.value.accepted


def test_a_wrong_count_is_told_both() -> None:
    with pytest.raises(ThreadError, match="not in our tables") as fault:
        parse_thread("1/2-24 UNF")
    assert "1/2-20 UNF" in fault.value.accepted


@pytest.mark.parametrize("text", ["1-14", "1-14 UNS", "1/2-28 UNEF", "1 1/8-7 UNC", "M12 x 0.75", "M39"])
def test_a_thread_that_exists_elsewhere_is_said_to_be_in_no_table_of_ours(text: str) -> None:
    """1-14 UNS and 1/2-28 UNEF are threads of ASME B1.1, M12 x 0.75 is none of ISO 261: no word says that none is."""
    with pytest.raises(ThreadError, match="not in our tables"):
        parse_thread(text)


def test_hand_given_apart() -> None:
    assert parse_thread("M10", "left").hand == "left"
    assert parse_thread("M10 left", "left").hand == "left"
    with pytest.raises(ThreadError, match="beside it is right"):
        parse_thread("M10 left", "right")


@given(st.text(max_size=40))
def test_any_text_is_a_thread_or_a_thread_error(text: str) -> None:
    with contextlib.suppress(ThreadError):
        assert isinstance(parse_thread(text), Thread)


def test_jam_nuts() -> None:
    assert parse_thread("M12").jam_nut == 6.0
    assert parse_thread("M12 x 1.25").jam_nut == 6.0
    assert parse_thread("1/2-20 UNF").jam_nut == pytest.approx(7.9375)
