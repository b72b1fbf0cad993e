"""Formulas: what they work out, and what they refuse."""

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabgen.job.errors import InputError
from fabgen.job.values.formulas import FollowOnError, Formula
from fabgen.job.values.named_dimensions import resolve_dimensions
from fabgen.job.values.quantity import Quantity
from fabgen.job.values.units import parse_angle, parse_length

NAMES = {
    "track": Quantity(1480.0, length=1),
    "bush": Quantity(41.275, length=1),
    "lean": Quantity(math.radians(30.0), angle=1),
    "share": Quantity(0.25),
    "broken": None,
}


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("track / 2", 740.0),
        ("-track/2", -740.0),
        ("bush + 2 * 0.5 mm", 42.275),
        ("track / 2 - 12 mm", 728.0),
        ("sqrt(track*track + bush*bush)", math.hypot(1480.0, 41.275)),
        ("sqrt(track^2 + bush**2)", math.hypot(1480.0, 41.275)),
        ("hypot(track, bush)", math.hypot(1480.0, 41.275)),
        ("track * cos(60)", 740.0),
        ("track * sin(lean)", 740.0),
        ("track * tan(45 deg)", 1480.0),
        ("track * share", 370.0),
        ("(track + bush) / 2", 760.6375),
        ("2 - -3", 5.0),
        ("10-5/2 mm", 7.5),
        ('3"-1/2"', 63.5),
        ("min(track, 3 ft, 10)", 10.0),
        ("max(1 in, 20 mm)", 25.4),
        ("abs(-bush)", 41.275),
        ("pi * bush", math.pi * 41.275),
        ("track * (bush / 41.275 mm)", 1480.0),
        ("50 * cos(60)", 25.0),
        ("2^3", 8.0),
        ("track × 2 ÷ 4", 740.0),
    ],
)
def test_lengths(text: str, mm: float) -> None:
    assert parse_length(text, "mm", NAMES) == pytest.approx(mm, rel=1e-12)


def test_bare_numbers_beside_a_length_count_in_the_jobs_units() -> None:
    assert parse_length("track + 2", "in", NAMES) == pytest.approx(1530.8)
    assert parse_length("2 + track", "mm", NAMES) == pytest.approx(1482.0)
    assert parse_length("max(track, 100)", "in", NAMES) == pytest.approx(2540.0)
    assert parse_length("2 * 3", "in") == pytest.approx(152.4)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("lean * 2", 60.0),
        ("90 - lean", 60.0),
        ("atan2(bush, bush)", 45.0),
        ("atan(bush / track)", math.degrees(math.atan(41.275 / 1480.0))),
        ("asin(0.5)", 30.0),
        ("acos(track / track)", 0.0),
    ],
)
def test_angles(text: str, degrees: float) -> None:
    assert math.degrees(parse_angle(text, NAMES)) == pytest.approx(degrees)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("track * bush", "comes to an area, not a length"),
        ("track * bush * bush", "a volume"),
        ("track / bush", "a ratio without a unit, not a length"),
        ("track / 2 in", "a ratio without a unit, not a length"),
        ("lean", "an angle, not a length"),
        ("track + lean", "adds or compares a length and an angle"),
        ("track + share", "adds or compares a length and a ratio"),
        ("track + bush * bush", "adds or compares a length and an area"),
        ("sin(track)", "sin() is given a length"),
        ("sin(share)", "sin() is given a ratio"),
        ("asin(2)", "asin() is given 2"),
        ("sqrt(track)", "takes a root of a length"),
        ("sqrt(-4)", "root of a number below zero"),
        ("2 ^ track", "has a length as a power"),
        ("track / 0", "divides by zero"),
        ("0 ^ -1", "divides by zero"),
        ("track ^ 4 * track", "more than 4 deep"),
        ("hypot(track)", "takes 2 to 3"),
        ("sqrt(1, 2)", "sqrt() takes 1"),
        ("sqrt()", "where a number is needed"),
        ("sqrt 4", "sqrt without brackets"),
        ("trak / 2", "nearest: track"),
        ("sqr(4)", "side by side"),
        ("track 2", "side by side"),
        ("(track)(2)", "side by side"),
        ("track mm", "the unit mm after something that is not a number"),
        ("track +", "ends where a number is needed"),
        ("* 2", '"*" where a number'),
        ("(track", "never closed"),
        ("track)", "closing bracket too many"),
        ("1, 2", "comma"),
        ("(1, 2)", "comma"),
        ("track = 2", '"="'),
        ("9e6 mm", '"e6"'),
        ("9000 * 9000", "km"),
    ],
)
def test_refusals(text: str, part: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_length(text, "mm", NAMES)
    assert part in str(caught.value)


ATTACKS = [
    "9**9**9",
    "9^9^9^9",
    "2**-9**9",
    "().__class__",
    "().__class__.__bases__[0].__subclasses__()",
    "__import__('os').system('true')",
    "__builtins__",
    "track.__class__",
    "track.value",
    "track[0]",
    "[x for x in (1,2)]",
    "{1: 2}",
    "lambda: 1",
    "lambda",
    "'a' * 9999999",
    '"a" * 9999999',
    "f'{track}'",
    "track if track else bush",
    "track := 2",
    "track; bush",
    "track\nbush",
    "not track",
    "track < bush",
    "track in bush",
    "track & bush",
    "~1",
    "1 << 9999",
    "track // 2",
    "track % 2",
    "track @ bush",
    "sqrt(*track)",
    "sqrt(a=1)",
    "sqrt",
    "v0",
    "v1 + v0",
    "None",
    "True",
    "0x10",
    "1_000",
    "1j",
    "1e999",
    "\\u0031",
    "(" * 10_000 + "1" + ")" * 10_000,
    "(" * 90 + "1" + ")" * 90,
    "-" * 10_000 + "1",
    "-" * 150 + "1",
    "+-" * 90 + "1",
    "1" * 10_000,
    "1+" * 10_000 + "1",
    "sqrt(" * 30 + "1" + ")" * 30,
    "9" * 199,
    "9" * 99 + "*" + "9" * 99,
    "\x00",
    "\ud800",
    "٣ mm",
    "１２ mm",
]


@pytest.mark.parametrize("text", ATTACKS, ids=lambda text: text[:24])
def test_attacks_are_refused_at_once(text: str) -> None:
    begun = time.process_time()
    with pytest.raises(InputError):
        parse_length(text, "mm", NAMES)
    assert time.process_time() - begun < 0.5


def test_long_but_lawful_formulas_work() -> None:
    assert parse_length("1+" * 99 + "1") == 100.0
    assert parse_length("(" * 20 + "1" + ")" * 20) == 1.0


@given(st.text(max_size=40) | st.text("0123456789./+-*()^, '\"abinmtrcks", max_size=40))
def test_any_text_is_worked_out_or_refused(text: str) -> None:
    try:
        value = Formula.read(text).value(NAMES, "mm")
    except InputError:
        return
    assert math.isfinite(value.value)


def test_a_broken_name_is_told_as_a_follow_on() -> None:
    with pytest.raises(FollowOnError):
        parse_length("broken + 1 mm", "mm", NAMES)


plain = st.recursive(
    st.integers(1, 99).map(str),
    lambda inner: st.tuples(inner, st.sampled_from(["+", "-", "*", " / "]), inner).map(
        lambda t: f"({t[0]}{t[1]}{t[2]})"
    ),
    max_leaves=8,
)


@given(plain)
def test_agrees_with_pythons_own_arithmetic(text: str) -> None:
    try:
        expected = eval(text)
    except ZeroDivisionError:
        return
    if abs(expected) < 1e7:
        assert parse_length(text) == pytest.approx(expected, rel=1e-9, abs=1e-9)


# -- named dimensions -------------------------------------------------------------
def test_dimensions_in_any_order() -> None:
    values, problems = resolve_dimensions(
        {"ear_gap": "bush + 2 * 0.5 mm", "half": "track / 2", "track": 1480, "bush": "1 5/8 in", "lean": "30 deg"}, "mm"
    )
    assert not problems
    assert values["ear_gap"] == Quantity(pytest.approx(42.275), length=1)
    assert values["half"] == Quantity(740.0, length=1)
    assert values["lean"] == Quantity(pytest.approx(math.pi / 6), angle=1)


def test_a_bare_number_is_a_length() -> None:
    values, _ = resolve_dimensions({"a": 2, "b": "3 * 2", "c": "a / b"}, "in")
    assert values["a"] == Quantity(50.8, length=1)
    assert values["b"] == Quantity(pytest.approx(152.4), length=1)
    assert values["c"] == Quantity(pytest.approx(1 / 3))


def test_loops_are_named_once_each() -> None:
    values, problems = resolve_dimensions(
        {"a": "b", "b": "c + 1", "c": "a", "d": "a + 1", "s": "s / 2", "fine": "2 mm"}, "mm"
    )
    assert [p.what for p in problems] == [
        "these dimensions go round in a loop: a -> b -> c -> a",
        "these dimensions go round in a loop: s -> s",
    ]
    assert values["fine"] is not None
    assert values["d"] is None


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("in", "unit"),
        ("mm", "unit"),
        ("sqrt", "function"),
        ("pi", "constant"),
        ("ear-gap", "ear_gap"),
        ("2x", "cannot be used"),
        ("__class__", "cannot be used"),
        ("", "cannot be used"),
        ("a" * 41, "cannot be used"),
    ],
)
def test_names_that_will_not_do(name: str, part: str) -> None:
    values, problems = resolve_dimensions({name: "2 mm"}, "mm")
    assert values == {name: None}
    assert part in problems[0].what + problems[0].nearest


def test_names_that_other_languages_keep_are_free() -> None:
    values, problems = resolve_dimensions(
        {"if": "2 mm", "from": "if * 2", "lambda": "from + if", "höhe": "lambda"}, "mm"
    )
    assert not problems
    assert values["höhe"] == Quantity(6.0, length=1)


def test_a_long_chain_does_not_go_deep() -> None:
    values, problems = resolve_dimensions({f"d{i}": f"d{i + 1} + 1" for i in range(900)} | {"d900": 0}, "mm")
    assert not problems
    assert values["d0"] == Quantity(900.0, length=1)
