"""Bolts of a job: what they go through, how long they must be, what is bought with them."""

from __future__ import annotations

import pytest

from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
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
    job = read_text(JOB + "".join(f"[[bolt]]\n{bolt}\n" for bolt in bolts)).definitions
    return bolt_stacks(job, all_pieces(job))


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
        ('thread = "M12"\nthrough = [300]', "M12 bolts are 120 mm long at most"),
        ('thread = "10-32 UNF"\nthrough = [3]', "1/4"),
        ('thread = "M12"\nthrough = ["P1"]\nproperty_class = "grade 5"', "inch threads"),
        ('thread = "1/2-13"\nthrough = ["P1"]\nproperty_class = "8.8"', "metric threads"),
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


def test_the_last_joint_and_the_shank() -> None:
    """M12 x 50 on 6 + 16 + 6: the shank ends at 20, the last joint is at 2.5 + 22 = 24.5."""
    (stack,) = stacks('thread = "M12"\nthrough = ["P1", "L1", "P1"]')
    assert stack.choice.name == "M12 x 50"
    assert stack.last_joint == pytest.approx(24.5)
    assert stack.thread_in_joint
    (longer,) = stacks('thread = "M12"\nthrough = ["P1", "L1", "P1"]\nwashers = 4')
    assert longer.choice.name == "M12 x 55"
    assert not longer.thread_in_joint
