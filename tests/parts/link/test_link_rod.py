"""Link rods worked out by hand from a rod end with figures of our own."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from one_part import OnePart
from worded import fact_texts

from fabgen.parts.piece import LinkPart, Piece

RIGHT = {"thread": "M12", "shank": 54, "thread_length": 33}
LEFT = {**RIGHT, "hand": "left"}


LINK = OnePart("link", mark="L1", section="25.4 x 4", length=400, rod_ends=[RIGHT, LEFT])
made, problems = LINK.piece, LINK.faults


def part(piece: Piece) -> LinkPart:
    assert isinstance(piece.shape, LinkPart)
    return piece.shape


def test_saw_length() -> None:
    """M12: depth from 12 (1 d) to 33 - 6 (jam nut) = 27, so 19.5 in the middle; bung head 4.
    Tube = 400 - 2 (4 + 54 - 19.5) = 323."""
    link_ = part(made())
    assert link_.rods[0].depth == 19.5
    assert link_.length == pytest.approx(323.0)
    assert link_.axis == link_.length
    assert link_.each_way == pytest.approx(15.0)
    assert link_.rods[0].showing == pytest.approx(13.5)
    assert link_.per_turn == pytest.approx(3.5)


@given(st.floats(200, 900), st.floats(45, 80), st.floats(26, 40), st.floats(0, 10), st.floats(14, 40))
def test_pin_to_pin_is_met(length: float, shank: float, thread: float, head: float, bung: float) -> None:
    end = {"thread": "M12", "shank": shank, "thread_length": thread}
    link_ = part(made(length=length, rod_ends=[end, RIGHT], bung_head=head, bung_length=bung))
    one, other = link_.rods
    assert link_.length + sum(r.head + r.shank - r.depth for r in (one, other)) == pytest.approx(length)
    for rod in (one, other):
        assert rod.least_depth <= rod.depth + 1e-9
        assert rod.showing >= rod.thread.jam_nut - 1e-9


def test_ends_that_differ_turn_together() -> None:
    """M12 has 15 mm of room in pitches of 1.75, M10 (29 - 5 - 10 = 14) in 1.5: 8.57 turns against 9.33."""
    link_ = part(made(rod_ends=["M12 right", "M10 left"]))
    assert link_.each_way == pytest.approx(15 / 1.75 / 2 * (1.75 + 1.5))


def test_same_hands_adjust_apart() -> None:
    link_ = part(made(rod_ends=["M12 right", "M12 right"]))
    assert not link_.in_place
    assert link_.per_turn == 0.0
    assert link_.each_way == pytest.approx(15.0)
    assert "half a turn" in fact_texts(made(rod_ends=["M12", "M12"]).facts)["to adjust"]


def test_aluminium_wants_more_thread() -> None:
    assert part(made(material="6082-T6")).rods[0].least_depth == 18.0


def test_tapped_bar() -> None:
    piece = made(section="20 solid", bung="none", bung_length=25)
    link_ = part(piece)
    assert link_.rods[0].head == 0.0
    assert link_.rods[0].most_depth == 25.0
    assert not any("bung" in item.item for item in piece.hardware)
    assert fact_texts(piece.facts)["tap the start"] == "25 mm deep"


def test_own_bung() -> None:
    link_ = part(made(bung_length=30, bung_head=7))
    assert (link_.rods[0].tapped, link_.rods[0].head) == (30.0, 7.0)


def test_between_two_points() -> None:
    link_ = part(made(length=None, between=[[0, 0, 0], [300, 400, 0]]))
    assert link_.pin_to_pin == pytest.approx(500.0)
    assert link_.frame is not None
    # The tube starts where the first rod end leaves off: 4 + 54 - 19.5 from the pin.
    assert link_.frame.origin == pytest.approx([38.5 * 0.6, 38.5 * 0.8, 0.0])
    assert link_.ends[1].frame.origin == pytest.approx([300 - 38.5 * 0.6, 400 - 38.5 * 0.8, 0.0])


def test_the_table_serves_what_is_not_given() -> None:
    rod = part(made(rod_ends=[{"thread": "M12 left", "shank": 60}, "1/2-20 UNF right"])).rods[0]
    assert (rod.shank, rod.thread_length, rod.bore) == (60.0, 33.0, 12.0)
    assert rod.thread.hand == "left"
    assert "shank" not in rod.remembered
    assert "thread_length" in rod.remembered


def test_hardware() -> None:
    items = {(h.item, h.goods.words()): h.quantity for h in made().hardware}
    assert items == {
        ("rod end", "M12 x 1.75 right"): 1,
        ("rod end", "M12 x 1.75 left"): 1,
        ("jam nut", "M12 x 1.75 right"): 1,
        ("jam nut", "M12 x 1.75 left"): 1,
        ("weld-in threaded bung", "M12 x 1.75 right"): 1,
        ("weld-in threaded bung", "M12 x 1.75 left"): 1,
    }
    assert {h.quantity for h in made(rod_ends=["M12", "M12"]).hardware} == {2}
    notes = {h.note.words() for h in made(rod_ends=["M12 x 1.25", "1/2-20 UNF left"]).hardware if h.item == "jam nut"}
    assert notes == {"thin nut, ISO 8675", "thin nut, ASME B18.2.2"}


def test_mass_is_the_tubes() -> None:
    piece = made()
    assert piece.mass == pytest.approx(7850e-9 * part(piece).section.area * 323.0)


class TestFaults:
    def test_threads(self) -> None:
        faults = problems(rod_ends=["M13 right", {"thread": "1/2"}])
        assert [fault.path for fault in faults] == [("link", 0, "rod_ends", 0), ("link", 0, "rod_ends", 1, "thread")]
        assert faults[0].nearest == "M12 or M14"

    def test_no_rod_end_of_that_size(self) -> None:
        (fault,) = problems(rod_ends=["M36", LEFT])
        assert "M12" in fault.accepted

    def test_too_short(self) -> None:
        (fault,) = problems(length=70)
        assert fault.path == ("link", 0, "length")
        assert "77.0 mm" in fault.what

    def test_points_the_same(self) -> None:
        (fault,) = problems(length=None, between=[[0, 0, 0], [0, 0, 0]])
        assert fault.path == ("link", 0, "between")

    def test_rectangular(self) -> None:
        (fault,) = problems(section="40 x 40 x 3")
        assert fault.path == ("link", 0, "section")

    def test_solid_bar_with_bungs(self) -> None:
        (fault,) = problems(section="25 solid")
        assert 'bung = "none"' in fault.accepted

    def test_thread_as_long_as_the_shank(self) -> None:
        (fault,) = problems(rod_ends=[{"thread": "M12", "shank": 30, "thread_length": 33}, LEFT])
        assert "ball's centre" in fault.what

    def test_all_at_once(self) -> None:
        faults = problems(
            rod_ends=["M13", "M12 left"],
            section="40 x 40 x 3",
            more={"link": [LINK.usual | {"mark": "L2", "length": 10}]},
        )
        assert [fault.path[:2] for fault in faults] == [("link", 0), ("link", 0), ("link", 1)]
