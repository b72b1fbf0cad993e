"""Which K serves a bend: the part's own, then the job's test strips, then the rule; and what is told of the tool."""

import math
from typing import Any

import pytest
from jobs import checked, findings
from worded import fact_texts

from fabgen.checks.rule import Finding
from fabgen.checks.sheet.sheet_bends import TOOL_RULES, bend_test
from fabgen.geometry.sheet.folds import Bend
from fabgen.job.errors import JobError
from fabgen.job.reader import describe, read_text
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.cover import cover
from fabgen.parts.piece import FlatBend
from fabgen.parts.shape.measured_bends import measured_ks
from fabgen.parts.sheet.bend_data import bend_k, brake_facts
from fabgen.parts.sheet.request import SheetRequest, Unfit
from fabgen.shop.bending.bends import KFactor

HEADER = {"title": "x", "number": "x", "units": "mm", "material": "S235"}
STRIP = {"material": "S235", "thickness": 3, "radius": 3, "strip": 100, "legs": [[52.7, 52.7], [52.6, 52.7]]}
MEAN_K = sum((a / (math.pi / 2) - 3) / 3 for a in (100 - 105.4 + 12, 100 - 105.3 + 12)) / 2
"""Of its two strips by hand: allowance = length - legs + 2 (radius + thickness), K from the quarter turn."""
HOPPER = {
    "mark": "C1",
    "shape": "transition",
    "thickness": 3,
    "bottom": {"rectangle": [200, 160]},
    "top": {"rectangle": [100, 80]},
    "height": 150,
}


def job(*tests: dict[str, Any], **header: Any) -> Definitions:
    return Definitions.model_validate({"job": HEADER | header, "bend_test": list(tests), "cover": [HOPPER]})


def request(given: Definitions, **keys: Any) -> SheetRequest[Bracket]:
    table = {"mark": "B1", "shape": "angle", "thickness": 3, "length": 80, "legs": [50, 50]} | keys
    return SheetRequest(Bracket.model_validate(table), given, ("bracket", 0))


def k_for(given: Definitions, radius: float = 3.0, **keys: Any) -> KFactor:
    return bend_k(request(given, **keys), radius)


def test_order_of_sources() -> None:
    given = job(STRIP)
    found = k_for(given)
    assert found.value == pytest.approx(MEAN_K)
    assert found.source.words().startswith("own test, mean of 2 strips")
    assert k_for(given, k=0.3).source.words() == "the job file"
    assert "table" in k_for(given, radius=6.0).source.words()
    assert "DIN 6935" in k_for(job(STRIP, bend_rule="din6935"), radius=6.0).source.words()


def test_one_strip_may_be_written_without_inner_brackets() -> None:
    (test,) = measured_ks(job(STRIP | {"legs": [52.7, 52.7]}))
    assert len(test.ks) == 1


def test_tests_over_two_tools_want_the_tool_named() -> None:
    given = job(STRIP | {"die": 24}, STRIP | {"die": 16, "legs": [52.5, 52.5]})
    assert k_for(given, die=16).value > k_for(given, die=24.0).value
    assert k_for(job(STRIP | {"die": 24}, STRIP | {"die": 16}, die=24)).source.words().startswith("own test over 24 mm")
    unclear = request(given)
    with pytest.raises(Unfit):
        bend_k(unclear, 3.0)
    (problem,) = unclear.problems
    assert problem.path == ("bracket", 0, "die")
    assert problem.accepted == 'die = "24 mm" or "16 mm", here or in [job]'


def test_a_strip_measured_wrongly_is_told() -> None:
    with pytest.raises(JobError) as caught:
        measured_ks(job(STRIP | {"legs": [[52.7, 52.7], [49.0, 49.0]]}))
    (problem,) = caught.value.problems
    assert problem.path == ("bend_test", 0, "legs", 1)
    assert "would make K" in problem.what


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("legs = []", "legs"),
        ("legs = [52]", "the list has 1 item"),
        ("legs = [[52, 52, 52]]", "exactly 2 items"),
        ("legs = [52, 52]\nstrp = 4", "nearest: strip"),
    ],
)
def test_reading_faults(line: str, words: str) -> None:
    text = (
        '[job]\ntitle = "x"\nnumber = "x"\nunits = "mm"\n[[plate]]\nmark = "P"\nthickness = 3\ndisc = 50\n'
        '[[bend_test]]\nmaterial = "S235"\nthickness = 3\nradius = 3\nstrip = 100\n'
    )
    with pytest.raises(JobError) as caught:
        read_text(text + line)
    assert words in "\n".join(describe(problem) for problem in caught.value.problems)


def test_a_tested_k_folds_the_hopper() -> None:
    (plain,) = cover.pieces(job())
    (own,) = cover.pieces(job(STRIP))
    assert plain.flat_part is not None
    assert own.flat_part is not None
    assert own.flat_part.bends[0].bend.k == pytest.approx(MEAN_K, abs=1e-6)
    bend = plain.flat_part.bends[0].bend
    assert (bend.radius, bend.k) == (pytest.approx(3.84), pytest.approx(0.41 + 0.02 * 0.28))  # the usual rules
    assert own.flat_part.bends[0].bend.radius == 3  # as the strips took it
    assert "own test" in fact_texts(own.facts)["creases"]


def test_brake_facts() -> None:
    bend = FlatBend((0.0, 0.0), (500.0, 0.0), Bend(3.0, 3.0, math.pi / 2.0, 0.42), up=True)
    facts = fact_texts(brake_facts(request(job(), die=24), [bend]))
    assert facts["tool"].startswith("lower tool 24 mm (as given); bent in air it gives about 3.8 mm inside")
    assert facts["force"].startswith("about 127 kN (13 t) for the longest bend of 500 mm")
    assert "1° of 90°" in facts["spring back"]
    assert brake_facts(request(job(), die=24), []) == []


# -- findings -----------------------------------------------------------------------
def told(given: Definitions) -> list[Finding]:
    return findings(checked(given), (bend_test, *TOOL_RULES))


def test_a_tool_that_does_not_give_the_radius_is_told() -> None:
    given = Definitions.model_validate({"job": HEADER | {"die": 80}, "cover": [HOPPER | {"radius": 4}]})
    found = {finding.rule: finding for finding in told(given)}
    assert found["natural-radius"].level == "note"
    assert "takes about 12.8 mm" in found["natural-radius"].text
    assert "wide" in found["lower-tool"].text
    assert told(job()) == []


def test_scattered_strips_are_told() -> None:
    given = job(STRIP | {"legs": [[52.7, 52.7], [52.4, 52.6]]})
    (finding,) = told(given)
    assert (finding.rule, finding.mark) == ("bend-test", "S235")
    assert "0.4 mm a bend" in finding.text
