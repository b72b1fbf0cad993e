"""Bolts of a job: what they go through, how long they must be, what is bought with them."""

from __future__ import annotations

import pytest
from jobs import pieces_of, read

from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.plan.buying.hardware import bolt_purchases, bolt_stacks
from fabgen.plan.plan import BoltStack

JOB = """
[job]
title = "Bolts"
number = "B-1"
units = "mm"
[dimensions]
bush = "1 5/8 in"
[[plate]]
mark = "P1"
thickness = 6
rectangle = [100, 60]
holes = [{ at = [30, 30], bolt = "M12" }]
[[plate]]
mark = "12"
thickness = 4
rectangle = [100, 60]
[[tube]]
mark = "T1"
section = "30 x 2"
route = [[0, 0, 0], [300, 0, 0]]
[[tube]]
mark = "T2"
section = "60 x 40 x 3"
route = [[0, 200, 0], [300, 200, 0]]
[[link]]
mark = "L1"
section = "25.4 x 4"
length = 400
rod_ends = ["M12 right", "M12 left"]
[[link]]
mark = "L2"
section = "25.4 x 4"
length = 400
rod_ends = ["M12 right", "M10 left"]
"""


def stacks(*bolts: str) -> tuple[BoltStack, ...]:
    return bolts_of("".join(f"[[bolt]]\n{bolt}\n" for bolt in bolts))


def bolts_of(tables: str) -> tuple[BoltStack, ...]:
    """The bolts of the job with more tables."""
    job = read(JOB + tables)
    return bolt_stacks(job, pieces_of(job))


def fault(bolt: str) -> str:
    with pytest.raises(JobError) as caught:
        stacks(bolt)
    (problem,) = caught.value.problems
    assert problem.path[:2] == ("bolt", 0)
    return f"{problem.path[2]}: {problem.what} | {problem.accepted} | {problem.nearest}"


def test_the_grip_is_what_lies_between_head_and_nut() -> None:
    (stack,) = stacks('thread = "M16"\nthrough = ["P1", "L1", "P1", "T1", "bush", "2 mm", 3]')
    assert [layer.thickness for layer in stack.layers] == [6.0, 16.0, 6.0, 30.0, 41.275, 2.0, 3.0]
    assert stack.choice.grip == pytest.approx(104.275)
    assert stack.choice.length == 130.0  # 104.275 + 2 x 3 + 14.8 + 2 x 2 = 129.075


def test_a_text_that_is_a_mark_is_the_mark_and_a_bare_number_a_length() -> None:
    (stack,) = stacks('thread = "M8"\nthrough = ["12", 12]')
    assert [layer.thickness for layer in stack.layers] == [4.0, 12.0]


def test_washers_and_classes_have_their_usual_values() -> None:
    one, two, inch = stacks(
        'thread = "M10"\nthrough = ["P1", "P1"]',
        'thread = "M10"\nthrough = ["P1", 20]\nnut = "none"',
        'thread = "3/8-16 UNC"\nthrough = ["P1"]',
    )
    assert (one.choice.washers, two.choice.washers) == (2, 1)
    assert (one.property_class, inch.property_class) == ("8.8", "grade 5")


def test_like_things_are_bought_together() -> None:
    bought = bolt_purchases(
        stacks(
            'thread = "M10"\nthrough = ["P1", "P1"]\nquantity = 3',
            'thread = "M10"\nthrough = ["12", 8]\nquantity = 2',
            'thread = "M10"\nthrough = ["P1", "P1"]\nnut = "lock"\nproperty_class = "10.9"\nquantity = 4',
        )
    )
    assert [(line.item, line.spec, line.quantity) for line in bought] == [
        ("bolt", "M10 x 30, 8.8", 5),
        ("bolt", "M10 x 35, 10.9", 4),
        ("nut", "M10, class 8", 5),
        ("lock nut", "M10, class 10", 4),
        ("washer", "M10, 200 HV", 10),
        ("washer", "M10, 300 HV", 8),
    ]


@pytest.mark.parametrize(
    ("bolt", "told"),
    [
        ('thread = "M11"\nthrough = ["P1"]', "thread: .* | .* | M10"),
        ('thread = "M12 left"\nthrough = ["P1"]', "right-hand"),
        ('thread = "M12"\nthrough = ["T2"]', "through: T2 is a tube of 60 x 40 x 3"),
        ('thread = "M12"\nthrough = ["L2"]', "no one width of eye"),
        ('thread = "10-32 UNF"\nthrough = [3]', "1/4"),
        ('thread = "M12"\nthrough = ["P1"]\nproperty_class = "grade 5"', "inch threads"),
        ('thread = "1/2-13"\nthrough = ["P1"]\nproperty_class = "8.8"', "metric threads"),
        ('thread = "1/2-13"\nthrough = ["P1"]\nnut_class = "8"', "nut_class: 8 is no class"),
        ('thread = "M12"\nthrough = ["P1"]\nnut_class = "grade 5"', "nut_class: grade 5 is no class"),
    ],
)
def test_what_cannot_be_is_told_at_its_key(bolt: str, told: str) -> None:
    import re

    assert re.search(told.replace("|", r"\|"), fault(bolt))


def test_a_mark_that_is_not_there_is_a_fault_of_the_file() -> None:
    with pytest.raises(JobError) as caught:
        read_text(JOB + '[[bolt]]\nthread = "M12"\nthrough = ["P1", "P11"]\n', "job.toml")
    (problem,) = caught.value.problems
    assert problem.nearest == "P1"
    assert "neither a part's mark nor a length" in problem.what
    assert problem.path == ("bolt", 0, "through", 1)


def test_a_longer_bolt_brings_its_shank_through_the_last_joint() -> None:
    """M12 on 6 + 16 + 6: the last joint is at 2.5 + 22 = 24.5 mm.  M12 x 50 would clamp it, but its shank ends at
    20 (ISO 4014: 50 - 30); that of M12 x 55 ends at 25, and it stands out of the nut by 55 - 33 - 10.8 = 11.2 mm."""
    (stack,) = stacks('thread = "M12"\nthrough = ["P1", "L1", "P1"]')
    assert stack.choice.name == "M12 x 55"
    assert stack.last_joint == pytest.approx(24.5)
    assert not stack.thread_in_joint


def test_no_bolt_stands_out_by_more_than_its_diameter_for_that() -> None:
    """M12 on 7 + 16 + 9: the joint is at 25.5, the shank of 55 ends at 25, and 60 would stand out by
    60 - 37 - 10.8 = 12.2 mm."""
    (stack,) = stacks('thread = "M12"\nthrough = [7, 16, 9]')
    assert (stack.choice.name, stack.thread_in_joint) == ("M12 x 55", True)


CLEVIS = """[[bracket]]
mark = "C1"
shape = "clevis"
gap = 20
length = 50
height = 60
thickness = 4
bolt = "M12"
[[bolt]]
"""


def test_the_bolt_reaches_over_what_a_gap_leaves_free() -> None:
    """4 + 20 + 4 = 28 mm, whether the eye of 16 mm fills the gap or not."""
    (stack,) = bolts_of(CLEVIS + 'thread = "M12"\nthrough = ["C1", "L1", "C1"]\n')
    assert stack.choice.grip == pytest.approx(28.0)
    assert [(layer.name, layer.thickness) for layer in stack.layers][2] == ("free in C1", pytest.approx(4.0))
    (gap,) = stack.gaps
    assert (gap.gap, gap.filled, gap.play) == pytest.approx((20.0, 16.0, 4.0))


def test_two_of_a_part_are_not_its_two_ears() -> None:
    """Two channels back to back by holes in their webs, which have holes in their flanges too."""
    channel = """[[bracket]]
mark = "C1"
quantity = 2
shape = "channel"
web = 80
flanges = [40, 40]
length = 100
thickness = 3
holes = [
  { at = [50, 40], bolt = "M10", face = "web" },
  { at = [50, 25], bolt = "M10", face = "left" },
  { at = [50, 25], bolt = "M10", face = "right" },
]
[[bolt]]
thread = "M10"
through = ["C1", "C1"]
"""
    (stack,) = bolts_of(channel)
    assert not stack.gaps
    assert stack.choice.grip == pytest.approx(6.0)
    (one,) = bolts_of(channel.replace("quantity = 2", ""))
    assert [gap.gap for gap in one.gaps] == [pytest.approx(74.0)]


@pytest.mark.parametrize(
    ("bolt", "nut", "standard", "height"),
    [
        # ISO 4032 has classes 6, 8 and 10; the next class up goes on 5.8 (ISO 898-2), and ISO 4033 has 12.
        ('thread = "M10"\nproperty_class = "5.8"', "class 6", "ISO 4032", 8.4),
        ('thread = "M10"', "class 8", "ISO 4032", 8.4),
        ('thread = "M10"\nproperty_class = "12.9"', "class 12", "ISO 4033", 9.3),
        ('thread = "M10"\nproperty_class = "A2-70"', "A2-70", "ISO 4032", 8.4),
        ('thread = "M30"\nproperty_class = "A2-70"', "A2-70", "", 25.6),
        ('thread = "M10"\nproperty_class = "A4-80"', "A4-80", "", 8.4),
        ('thread = "M10 x 1.25"\nproperty_class = "10.9"', "class 10", "ISO 8673", 8.4),
        ('thread = "M20 x 1.5"\nproperty_class = "10.9"', "class 10", "ISO 8674", 20.3),
        ('thread = "M12 x 1"', "class 8", "", 10.8),
        # ISO 7040 has 5, 8 and 10, M3 to M36 without M18; ISO 7041 has 12; neither has stainless.
        ('thread = "M10"\nnut = "lock"\nproperty_class = "5.8"', "class 5", "ISO 7040", 11.9),
        ('thread = "M18"\nnut = "lock"', "class 8", "", 21.0),
        ('thread = "M10"\nnut = "lock"\nproperty_class = "12.9"', "class 12", "ISO 7041", 12.8),
        ('thread = "M10"\nnut = "lock"\nproperty_class = "A2-70"', "A2-70", "", 11.9),
        # ISO 10512 has no class 10 above 16 mm.
        ('thread = "M16 x 1.5"\nnut = "lock"\nproperty_class = "10.9"', "class 10", "ISO 10512", 19.1),
        ('thread = "M20 x 1.5"\nnut = "lock"\nproperty_class = "10.9"', "class 10", "", 22.8),
        # Thin nuts have classes of their own.
        ('thread = "M10"\nnut = "thin"', "class 04", "ISO 4035", 5.0),
        ('thread = "M10"\nnut = "thin"\nproperty_class = "A2-70"', "A2-035", "ISO 4035", 5.0),
        # What the job says.
        ('thread = "M10"\nnut_class = "10"', "class 10", "ISO 4032", 8.4),
        ('thread = "M10"\nnut_class = "12"', "class 12", "ISO 4033", 9.3),
        ('thread = "M10"\nnut_class = "5"', "class 5", "", 8.4),
    ],
)
def test_nuts_go_with_their_bolts_and_are_bought_to_a_standard_that_has_them(
    bolt: str, nut: str, standard: str, height: float
) -> None:
    (stack,) = stacks(f"{bolt}\nthrough = [20, 20]")
    assert (stack.nut.strength, stack.nut.standard, stack.choice.nut_height) == (nut, standard, height)
    (line,) = [line for line in bolt_purchases([stack]) if "nut" in line.item]
    assert (line.spec.partition(", ")[2], getattr(line.goods, "standard", None)) == (nut, standard)
    assert ("has none of this size and class" in line.note.words()) == (not standard)


@pytest.mark.parametrize(
    ("bolt", "standard"),
    [
        ('thread = "M12"\nproperty_class = "5.8"', ""),
        ('thread = "M12"\nproperty_class = "8.8"', "ISO 4014"),
        ('thread = "M12"\nproperty_class = "12.9"', ""),
        ('thread = "M12 x 1"', ""),
        ('thread = "M12 x 1.25"', "ISO 8765"),
        ('thread = "1/2-13"', "ASME B18.2.1"),
    ],
)
def test_bolts_are_printed_under_a_standard_that_has_them(bolt: str, standard: str) -> None:
    (stack,) = stacks(f"{bolt}\nthrough = [20, 20]")
    assert stack.standard == standard


def test_a_thread_is_as_deep_as_the_tapped_metal_needs() -> None:
    """Bossard F.039: 8.8 coarse 1.0 d in steel over 360 MPa, 2.0 d in soft aluminium, fine threads 1.25 d and 2.5 d;
    10.9 in steel 1.25 d."""
    into = (
        '[[plate]]\nmark = "AL"\nmaterial = "5754"\nthickness = 30\nrectangle = [60, 60]\n'
        '[[plate]]\nmark = "FE"\nmaterial = "S235"\nthickness = 30\nrectangle = [60, 60]\n'
    )

    def depth(bolt: str) -> float:
        (stack,) = bolts_of(f'{into}[[bolt]]\nthrough = [10]\nnut = "none"\n{bolt}')
        assert stack.tapped is not None
        return stack.tapped.depth

    assert depth('thread = "M10"') == 10.0
    assert depth('thread = "M10"\ninto = "FE"') == 10.0
    assert depth('thread = "M10 x 1.25"\ninto = "FE"') == 12.5
    assert depth('thread = "M10"\nproperty_class = "10.9"\ninto = "FE"') == 12.5
    assert depth('thread = "M10"\ninto = "AL"') == 20.0
    assert depth('thread = "M10 x 1.25"\ninto = "AL"') == 25.0
    assert depth('thread = "M10"\ninto = "AL"\nengagement = 14') == 14.0
