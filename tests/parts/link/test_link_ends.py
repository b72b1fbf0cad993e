"""Fixed ends, stepped ends, own rod ends, and a link under load."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from jobs import findings, made_by_hand
from one_part import OnePart
from worded import fact_texts

from fabgen.checks.links import RULES
from fabgen.checks.rule import Finding
from fabgen.job.errors import JobError
from fabgen.job.reader import read_job
from fabgen.parts.link.link_rod import pieces
from fabgen.parts.piece import EyeSetup, LinkPart, Piece, RodEndSetup

RIGHT = {"thread": "M12", "shank": 54, "thread_length": 33}
EYE = {"eye": "42.4 x 3.2", "width": 50}


job = OnePart("link", mark="L1", section="25.4 x 4", length=400, rod_ends=[EYE, RIGHT]).job


def part(made: list[Piece]) -> LinkPart:
    shape = made[0].shape
    assert isinstance(shape, LinkPart)
    return shape


def test_a_fixed_end_is_coped_to_its_sleeve() -> None:
    """Round tube (r = 12.7) square on a sleeve (R = 21.2): its longest place stands sqrt(R^2 - r^2) from the pin
    with fit = 'outside'; 'clear' keeps the wall's inside clear too, which is longest at the sleeve's own side: R
    at the heel for the thickest place.  Checked by the tube's length itself."""
    made = pieces(job())
    assert [piece.mark for piece in made] == ["L1", "L1-E1"]
    link = part(made)
    eye, rod = link.sides
    assert isinstance(eye, EyeSetup)
    assert isinstance(rod, RodEndSetup)
    # The outermost line of the tube at the sides meets the sleeve at sqrt(21.2^2 - 12.7^2) = 16.97; with the wall's
    # inner edge, 8.7 off, at sqrt(21.2^2 - 8.7^2) = 19.33, which a square cut through the wall has to clear.
    assert eye.reach == pytest.approx(math.sqrt(21.2**2 - 8.7**2), abs=0.01)
    assert link.length + eye.reach + rod.reach == pytest.approx(400.0)
    assert link.ends[0].cut == "cope"
    assert link.ends[0].joints[0].onto == "L1-E1"
    sleeve = made[1].length_part
    assert sleeve is not None
    assert sleeve.length == 50.0
    assert not link.in_place
    assert link.each_way == pytest.approx(7.5)


def test_an_offset_sleeve_shifts_the_tube_beside_the_pins() -> None:
    link = part(pieces(job(rod_ends=[EYE | {"offset": 8}, RIGHT])))
    eye, rod = link.sides
    assert link.length + eye.reach + rod.reach == pytest.approx(math.sqrt(400.0**2 - 8.0**2))
    assert link.ends[0].joints[0].offset == pytest.approx(8.0)
    both = part(pieces(job(rod_ends=[EYE | {"offset": 8}, EYE | {"offset": 8}])))
    assert both.length + sum(side.reach for side in both.sides) == pytest.approx(400.0)
    assert [end.joints[0].offset for end in both.ends] == pytest.approx([8.0, 8.0])
    assert both.each_way == 0.0


def found(made: Sequence[Piece]) -> list[Finding]:
    return findings(made_by_hand(*made), RULES)


def test_two_fixed_ends_do_not_adjust_and_it_is_said() -> None:
    made = pieces(job(rod_ends=[EYE, EYE], section="30 solid"))
    assert any(finding.rule == "not-adjustable" for finding in found(made))
    assert fact_texts(made[0].facts)["adjusts"] == "not at all: both ends are fixed"


@pytest.mark.parametrize(
    ("keys", "part_of_text"),
    [
        ({"rod_ends": [EYE | {"offset": 12}, RIGHT]}, "not held by the sleeve all round"),
        ({"rod_ends": [EYE | {"eye": "40 x 40 x 3"}, RIGHT]}, "round tube"),
        ({"rod_ends": ["shop twelve", RIGHT]}, "cannot read"),
        ({"bung": "none", "bung_diameter": 20}, "no meaning"),
        ({"load": "4"}, "as a force"),
        ({"rod_ends": [RIGHT | {"property_class": "88"}, RIGHT]}, "property class"),
    ],
)
def test_faults(keys: dict[str, Any], part_of_text: str) -> None:
    with pytest.raises((JobError, ValueError), match=part_of_text):
        pieces(job(**keys))


def test_own_rod_ends_by_name_and_in_place_of_the_tables() -> None:
    own = [
        {"name": "shop twelve", "thread": "M12", "shank": 60, "thread_length": 40, "rating": "22 kN", "mass": 0.16},
        {"thread": "M14", "shank": 70, "thread_length": 41},
    ]
    link = part(pieces(job(rod_ends=["shop twelve left", "M14 right"], more={"rod_end": own})))
    one, other = link.rods
    assert (one.shank, one.thread.hand, one.rating, one.remembered) == (60.0, "left", 22_000.0, ())
    assert (other.shank, other.thread_length) == (70.0, 41.0)
    table = part(
        pieces(
            job(rod_ends=[{"thread": "shop twelve", "hand": "left", "shank": 61}, "M16 right"], more={"rod_end": own})
        )
    )
    assert (table.rods[0].shank, table.rods[0].thread_length) == (61.0, 40.0)


def test_a_file_of_rod_ends_beside_the_job(tmp_path: Path) -> None:
    own = ['units = "in"', "[[rod_end]]", 'name = "big"', 'thread = "1/2-20 UNF"', "shank = 2.5", "thread_length = 1.5"]
    (tmp_path / "mine.toml").write_text("\n".join(own))
    head = ["[job]", 'title = "t"', 'number = "1"', 'units = "mm"', 'rod_ends = "{}"']
    link_ = ['mark = "L1"', 'section = "25.4 x 4"', "length = 400", 'rod_ends = ["big left", "big right"]']
    text = "\n".join([*head, "[[link]]", *link_])
    path = tmp_path / "job.toml"
    path.write_text(text.format("mine.toml"))
    link = part(pieces(read_job(path).definitions))
    assert link.rods[0].shank == pytest.approx(63.5)
    path.write_text(text.format("mime.toml"))
    with pytest.raises(JobError) as error:
        read_job(path)
    assert "no such file" in error.value.problems[0].what
    assert "mine.toml" in error.value.problems[0].nearest
    path.write_text(text.format("mine.toml"))
    (tmp_path / "mine.toml").write_text('[[rod_end]]\nthread = "M12"\nshank = 50\n')
    with pytest.raises(JobError) as error:
        read_job(path)
    assert error.value.problems[0].file.endswith("mine.toml")
    assert "thread_length" in error.value.problems[0].what


def test_engagement_by_the_material_of_the_bung() -> None:
    """M12 of class 8.8 in S235 (360 MPa) wants 1.19 d by the handbook's formula; in S355 the practice of 1 d holds."""
    weak = part(pieces(job(rod_ends=[RIGHT, RIGHT | {"hand": "left"}], bung_material="S235"))).rods[0]
    assert weak.least_depth == pytest.approx(1.186 * 12.0, abs=0.05)
    assert "Machinery's Handbook" in weak.least_source
    firm = part(pieces(job(rod_ends=[RIGHT, RIGHT | {"hand": "left"}], bung_material="S355"))).rods[0]
    assert firm.least_depth == 12.0
    soft = part(pieces(job(rod_ends=[RIGHT, RIGHT | {"hand": "left"}], bung_material="6082-T6"))).rods[0]
    assert soft.least_depth >= 1.47 * 12.0


def test_the_sight_hole_lies_where_the_shank_must_reach() -> None:
    link = part(pieces(job(rod_ends=[RIGHT, RIGHT | {"hand": "left"}])))
    rod = link.rods[0]
    # 12 mm must be in, 4 mm of that in the bung's head outside the tube.
    assert rod.sight_hole() == pytest.approx(8.0)
    long_head = part(pieces(job(rod_ends=[RIGHT, RIGHT | {"hand": "left"}], bung_head=14)))
    assert long_head.rods[0].sight_hole() is None
    assert any(f.rule == "sight-hole" for f in found(pieces(job(rod_ends=[RIGHT, RIGHT], bung_head=14))))


def test_a_load_is_set_against_what_bears_it() -> None:
    made = pieces(job(rod_ends=[RIGHT, RIGHT | {"hand": "left"}], material="S355", load="4 kN", length=900))
    link = part(made).load
    assert link is not None
    margins = {margin.rule: margin for margin in link.margins}
    # Class 4.6 taken: 84.3 mm2 x 240 MPa.
    assert margins["thread-pull"].bears == pytest.approx(84.3 * 240.0, rel=1e-3)
    assert margins["buckling"].bears < math.pi**2 * 210_000 * 15_932 / 900.0**2
    assert any("rating" in text for text in link.unknown)
    rules = {finding.rule: finding.level for finding in found(made)}
    assert "safe" not in " ".join(finding.text for finding in found(made)).casefold()
    assert rules["load-unknown"] == "note"
    over = {f.rule: f.level for f in found(pieces(job(rod_ends=[RIGHT, RIGHT], material="S355", load="60 kN")))}
    assert over["buckling"] == "stop"
    assert over["thread-pull"] == "stop"


def test_a_stress_shows_its_sum_and_buckling_what_gives_way_first() -> None:
    made = pieces(job(rod_ends=[RIGHT, RIGHT | {"hand": "left"}], material="S355", load="4 kN"))
    link = part(made).load
    assert link is not None
    said = {margin.rule: margin.basis.words() for margin in link.margins}
    assert said["thread-pull"].startswith("4 kN / 84.3 mm2 of stress area = 47 MPa, yield 240 MPa by class 4.6")
    assert "of least section = " in said["tube-pull"]
    assert "yield 355 MPa" in said["tube-pull"]
    assert "the M12 x 1.75 shank gives way first, 84.3 mm2 at 240 MPa" in said["buckling"]
    hard = RIGHT | {"property_class": "12.9"}
    thin = part(pieces(job(rod_ends=[hard, hard | {"hand": "left"}], section="18 x 1", material="S235", load="4 kN")))
    assert thin.load is not None
    (buckles,) = [margin for margin in thin.load.margins if margin.rule == "buckling"]
    assert "the tube's yield 235 MPa" in buckles.basis.words()


def test_forces_in_pounds_and_kilograms() -> None:
    for text, newtons in (("900 lbf", 4003.4), ("400 kgf", 3922.7), ("4,5 kN", 4500.0)):
        link = part(pieces(job(rod_ends=[RIGHT, RIGHT], load=text))).load
        assert link is not None
        assert link.load == pytest.approx(newtons, abs=0.1)


def test_an_offset_end_yields_by_bending_before_it_buckles() -> None:
    hard = RIGHT | {"property_class": "10.9"}
    made = pieces(job(rod_ends=[EYE | {"offset": 8}, hard], material="S355", load="4 kN"))
    link = part(made).load
    assert link is not None
    margins = {margin.rule: margin.bears for margin in link.margins}
    assert margins["offset"] < margins["buckling"]


def test_mass_counts_what_is_known() -> None:
    made = pieces(job(rod_ends=[RIGHT | {"mass": 0.16}, RIGHT | {"hand": "left", "mass": 0.16}]))
    text = fact_texts(made[0].facts)["mass"]
    assert "rod ends" in text
    assert text.startswith(f"tube as sawn {made[0].mass:.3f} kg; with bungs and rod ends ")
    assert text.endswith(" kg; jam nuts not counted")
    fitted = float(text.split("rod ends ")[1].split()[0])
    assert fitted == pytest.approx(made[0].mass + 0.32 + 0.09, abs=0.06)
    bare = fact_texts(pieces(job(rod_ends=[RIGHT, RIGHT]))[0].facts)["mass"]
    assert re.fullmatch(r"tube as sawn [\d.]+ kg; with bungs [\d.]+ kg; rod ends and jam nuts not counted", bare)


def test_a_misspelt_key_of_a_fixed_end_is_told_among_its_own(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    ends = 'rod_ends = ["M12 right", { eye = "38.1 x 3.2", widht = "50 mm" }]'
    link_ = ["[[link]]", 'mark = "L1"', 'section = "25.4 x 4"', "length = 400", ends]
    path.write_text("\n".join(["[job]", 'title = "t"', 'number = "1"', 'units = "mm"', *link_]))
    with pytest.raises(JobError) as error:
        read_job(path)
    (problem,) = error.value.problems
    assert problem.path == ("link", 0, "rod_ends", 1, "widht")
    assert (problem.nearest, problem.accepted) == ("width", "eye, width, offset, bush")


FEMALE = {"thread": "M12", "female": True, "shank": 50, "thread_length": 24}


def test_a_turned_bar_in_rod_ends_threaded_inside() -> None:
    """Depth from 12 (1 d) to 24, so 18 in the middle: reach 50 - 18 = 32 at both ends, and the saw length counts the
    turned ends: 350 - 64 = 286.  Each is turned over 24 + 6 (jam nut); 30 - 18 = 12 of that shows."""
    made = pieces(job(section="20 solid", length=350, material="S355", rod_ends=[FEMALE, FEMALE | {"hand": "left"}]))
    link = part(made)
    assert link.length == pytest.approx(286.0)
    assert not link.bungs
    assert [rod.turned for rod in link.rods] == [30.0, 30.0]
    assert [rod.showing for rod in link.rods] == [12.0, 12.0]
    assert link.each_way == pytest.approx(12.0)
    assert "turn the start" in fact_texts(made[0].facts)
    assert link.made_mass < made[0].mass
    assert not [f for f in found(made) if f.level == "stop"]
    loaded = part(pieces(job(section="20 solid", material="S355", rod_ends=[FEMALE, FEMALE], load="6 kN"))).load
    assert loaded is not None
    pull = next(margin for margin in loaded.margins if margin.rule == "thread-pull")
    # S355 over 16 mm: 345 MPa (EN 10025-2).
    assert pull.bears == pytest.approx(84.3 * 345.0, rel=1e-3)


def test_a_thin_bar_has_no_shoulder_and_a_tube_none_at_all() -> None:
    thin = pieces(job(section="13 solid", rod_ends=[FEMALE, FEMALE | {"hand": "left"}]))
    assert any(f.rule == "turned-shoulder" for f in found(thin))
    with pytest.raises(JobError):
        pieces(job(rod_ends=[FEMALE, FEMALE]))
