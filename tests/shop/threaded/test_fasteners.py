"""The choice of a bolt for a stack."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.shop.threaded.fasteners import THREADS_OUT, FastenerError, NutKind, choose_bolt, lengths, thread_length
from fabgen.shop.threads import parse_thread

METRIC = ["M5", "M6", "M8", "M10", "M12", "M12 x 1.25", "M14", "M16", "M20", "M24"]
SIZES = [*METRIC, "1/4-20", "5/16-24", "1/2-13", "3/4-16"]
NUTS: list[NutKind] = ["plain", "lock", "thin", "none"]


@given(
    size=st.sampled_from(SIZES),
    grip=st.floats(0.5, 95.0),
    washers=st.integers(0, 5),
    nut=st.sampled_from(NUTS),
)
def test_the_bolt_is_long_enough_and_not_longer_than_it_must_be(
    size: str, grip: float, washers: int, nut: NutKind
) -> None:
    thread = parse_thread(size)
    try:
        choice = choose_bolt(thread, grip, washers, nut)
    except FastenerError:
        assert grip > 25.0  # every size reaches through that
        return
    out = THREADS_OUT * thread.pitch if nut != "none" else thread.diameter
    assert choice.beyond >= out - 1e-6
    assert choice.clamped == pytest.approx(grip + washers * choice.washer)
    # The nut must find thread where it sits: the shank may not reach out of what is clamped.
    assert choice.shank <= choice.clamped + 1e-6
    if thread.series == "M":
        assert choice.length in lengths()
        if choice.standard in ("ISO 4014", "ISO 8765"):
            assert choice.shank == choice.length - thread_length(thread, choice.length)
        # One step of the standard's lengths shorter would not do.
        step = lengths()[lengths().index(choice.length) - 1]
        starts_at = {5.0: 10, 6.0: 12, 8.0: 16, 10.0: 20, 12.0: 25, 14.0: 30, 16.0: 30, 20.0: 40, 24.0: 50}
        if choice.length > starts_at[thread.diameter]:
            assert step - choice.clamped - choice.nut_height < out + 1e-6
    else:
        assert (choice.length / 6.35) == pytest.approx(round(choice.length / 6.35))
        if choice.length > 26.0:
            assert choice.length - (6.35 if choice.length <= 152.5 else 12.7) - choice.clamped - choice.nut_height < out


@given(size=st.sampled_from(SIZES), grip=st.floats(1.0, 60.0), more=st.floats(0.0, 20.0))
def test_more_grip_never_takes_a_shorter_bolt(size: str, grip: float, more: float) -> None:
    thread = parse_thread(size)
    try:
        longer = choose_bolt(thread, grip + more, 2, "plain")
    except FastenerError:
        return
    assert choose_bolt(thread, grip, 2, "plain").length <= longer.length


def test_a_stack_by_hand() -> None:
    """6 + 16 + 6 mm, two 2.5 mm washers, a 10.8 mm nut and two threads of 1.75: 47.3 mm, so 50 mm."""
    choice = choose_bolt(parse_thread("M12"), 28.0, 2, "plain")
    assert (choice.name, choice.standard, choice.shank) == ("M12 x 50", "ISO 4014", 20.0)
    assert choice.beyond == pytest.approx(50.0 - 28.0 - 5.0 - 10.8)
    assert choice.washers_at_head == 1


def test_short_ones_are_threaded_to_the_head() -> None:
    choice = choose_bolt(parse_thread("M8"), 5.0, 2, "plain")
    assert (choice.name, choice.standard, choice.shank) == ("M8 x 20", "ISO 4017", 0.0)


def test_fine_and_inch_threads_have_their_own_standards_and_names() -> None:
    assert choose_bolt(parse_thread("M12 x 1.25"), 28.0, 2, "plain").standard == "ISO 8765"
    assert choose_bolt(parse_thread("M12 x 1.25"), 28.0, 2, "plain").name == "M12 x 1.25 x 50"
    inch = choose_bolt(parse_thread("1/2-13"), 25.4, 2, "plain")
    # 1 + 2 x 0.095 + 7/16 + 2/13 = 1.781 in.
    assert inch.name == "1/2-13 UNC x 2 in"


def test_without_a_nut_it_goes_as_deep_as_asked() -> None:
    choice = choose_bolt(parse_thread("M10"), 12.0, 1, "none", engagement=18.0)
    assert choice.length == 35.0  # 12 + 2 + 18 = 32
    assert choice.beyond == pytest.approx(21.0)


@pytest.mark.parametrize(
    ("size", "near"), [("10-32 UNF", "1/4, the smallest in the table"), ("1 1/4-7 UNC", "1, the largest in the table")]
)
def test_what_no_bolt_is_made_in_is_told_with_the_nearest(size: str, near: str) -> None:
    with pytest.raises(FastenerError) as caught:
        choose_bolt(parse_thread(size), 20.0, 2, "plain")
    assert caught.value.nearest == near
