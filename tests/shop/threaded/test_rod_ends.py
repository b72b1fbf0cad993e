import pytest

from fabgen.shop.threaded import rod_ends
from fabgen.shop.threaded.engagement import practice_engagement
from fabgen.shop.threads import parse_thread


def test_every_rod_end_has_a_thread_that_is_known() -> None:
    for size in rod_ends.sizes():
        thread = parse_thread(size if size.startswith("M") else f"{size} UNF")
        rod = rod_ends.find(thread)
        assert rod is not None
        assert rod.size == size
        # Its own pitch, of inch sizes UNF, is one that the standards know.
        assert parse_thread(f"{size} x {rod.pitch:g}" if size.startswith("M") else f"{size} UNF").pitch == rod.pitch
        assert rod.thread_length < rod.shank
        # What is left of the thread beyond a jam nut keeps the least engagement and can be adjusted.
        assert rod.thread_length - thread.jam_nut > practice_engagement(thread, soft=False)


def test_a_size_without_a_rod_end() -> None:
    assert rod_ends.find(parse_thread("M36")) is None


def test_rules_of_bungs() -> None:
    m12 = parse_thread("M12")
    assert rod_ends.usual_bung(m12) == rod_ends.Bung(24.0, 4.0)
    assert rod_ends.usual_bung(parse_thread("M6")).head == 3.0
    assert rod_ends.usual_bung(parse_thread("M30")).head == 6.0
    assert practice_engagement(m12, soft=True) == 18.0
    assert rod_ends.least_wall(m12) == pytest.approx(2.4)
    assert rod_ends.least_wall(parse_thread("M5")) == 2.0
