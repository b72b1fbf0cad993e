"""Which of a part's places a bolt goes through: findings and the set-out sheet name them as the job file does."""

from __future__ import annotations

import io

import pytest
from faulty_bolt_lines import HEMMED, SPEAKS, UNREACHED, UNSEATED, Tables
from held_rods import EARS, ROD
from held_rods import bolt as named_bolt
from mirrored_tables import mirrored, worked
from pypdf import PdfReader

from fabgen.checks.rule import Finding
from fabgen.documents.render.paper import A4
from fabgen.documents.set_out.set_out_pdf import set_out_pdf
from fabgen.parts.shape.bored.bolt_places import numbers_in_words, places_in_words

AT_BOTH = "(places 1 and 2 of P2, P1)"


def told(text: str, rule: str) -> Finding:
    (found,) = (each for each in worked(text).findings if each.rule == rule)
    return found


@pytest.mark.parametrize(
    ("tables", "rule", "said"),
    [
        (SPEAKS[0][0], "bolt-out-of-line", f"P1 from P2 by 4 mm {AT_BOTH}: "),
        # However far apart the holes are, the second bolt is as far out of line as the first.
        (SPEAKS[1][0], "bolt-out-of-line", f"P1 from P2 by 50 mm {AT_BOTH}: "),
        (SPEAKS[1][0], "hole-covered", "from below) (places 1 and 2 of P1) by P2, drill P2 there"),
        (SPEAKS[3][0], "bolt-gap", f"are free between P2 and P1 {AT_BOTH}: "),
        (SPEAKS[4][0], "bolt-gap", f"listed between P2 and P1 {AT_BOTH} do not go into "),
        (SPEAKS[5][0], "bolt-order", "where they stand (places 1 and 2 of P1, P3, P2), not as listed"),
        (HEMMED[0], "bolt-room", f"its head has no room {AT_BOTH}: W is"),
        (HEMMED[2], "bolt-way-in", f"once all stands {AT_BOTH}: W stands"),
        (UNSEATED[2][0], "bolt-flat", f"lies over an edge of P1 {AT_BOTH}, flat to"),
        (UNSEATED[3][0], "bolt-on-weld", f"on the weld of W {AT_BOTH}, whose leg"),
        (UNSEATED[4][0], "bolt-hole-wide", f"hole of P2 {AT_BOTH}: a plate"),
        (UNREACHED[0][0], "bolt-tool", f"its head {AT_BOTH}: W is"),
    ],
)
def test_a_fault_of_one_mark_made_twice_names_both_places(tables: Tables, rule: str, said: str) -> None:
    assert said in told(mirrored(tables), rule).text


def test_a_fault_at_one_place_alone_names_that() -> None:
    """A wall stands beside the second of the two."""
    one_sided = mirrored(HEMMED[0]).replace('parts = ["P1", "P2", "W"]', 'parts = ["P1", "P2"]')
    assert "its head has no room (place 1 of P2, P1): W" in told(one_sided, "bolt-room").text


def ears(at: str = "[200, 65, 300]", to: str = "[200, 400, 300]") -> str:
    points = f"[points]\nA = {at}\nB = {to}\nQ1 = [0, -900, 0]\nQ2 = [9, -900, 0]\nQ3 = [0, -900, 9]\n"
    rod = ROD.format(mark="L1", at=200).replace("[[200, 65, 300], [200, 400, 300]]", '["A", "B"]')
    return EARS.format(quantity=2).replace("[[tube]]", points + "[[tube]]", 1) + rod


BETWEEN = named_bolt("E1", "3 mm", "L1", "3 mm", "E1")
MIRROR = '[[mirror]]\nparts = ["S1", "E1", "L1"]\nplane = ["Q1", "Q2", "Q3"]\n'


def test_of_a_bolt_and_its_image_through_one_mark_each_has_its_places() -> None:
    """Two ears to a bolt: 1 and 2 on the left, 3 and 4 on the right."""
    one_side = named_bolt("E1", "L1")
    gap = told(ears() + one_side + MIRROR, "bolt-gap")
    assert "are free between E1 and L1 (place 1 of E1): " in gap.text
    assert gap.text.endswith("; likewise bolt 1 mirrored (L1-R, place 3 of E1)")
    assert gap.marks == ("bolt 1", "bolt 1 mirrored")


def test_advice_names_the_places_that_the_job_file_has() -> None:
    tilted = told(ears(to="[300, 300, 300]") + BETWEEN + MIRROR, "rod-tilt")
    assert tilted.text.endswith("turn = 0 in places 1 and 2 of E1")
    assert "3 and 4" not in tilted.text


def test_a_bolt_that_takes_all_places_of_a_part_is_told_without_them() -> None:
    assert "of E1" not in told(ears("[200, 72, 300]") + BETWEEN, "bolt-out-of-line").text


@pytest.mark.parametrize(("mirror", "said"), [(MIRROR, ["E1 (3)", "E1 (4)"]), ("", [])])
def test_the_set_out_sheet_says_through_which_places_each_bolt_goes(mirror: str, said: list[str]) -> None:
    job = worked(ears() + BETWEEN + mirror)
    pdf = set_out_pdf(job.job.definitions.job, job.pieces, 0.0, A4, job.plan.bolts)
    assert pdf is not None
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())
    assert all(f"{each} 6, " in text for each in ("E1 (1)", "E1 (2)", *said))
    assert ("E1 (3)" in text) == bool(mirror)


def test_numbers_of_places_in_words() -> None:
    assert [numbers_in_words(each) for each in ((2,), (1, 2), (1, 2, 3, 4), (1, 2, 4))] == [
        "place 2",
        "places 1 and 2",
        "places 1 to 4",
        "places 1, 2 and 4",
    ]
    assert places_in_words({"P": (1, 2), "G": (3,), "L": (1, 2)}) == "places 1 and 2 of P, L; place 3 of G"
