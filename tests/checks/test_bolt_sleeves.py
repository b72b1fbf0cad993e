"""bolt-sleeve and sleeve-no-bolt: sleeves on the lines of bolts, and those welded into tubes."""

from __future__ import annotations

import pytest
from faulty_bolt_lines import SLEEVES, Tables, bolt, sleeve, sleeved
from jobs import checked, definitions, findings, tube

from fabgen.checks.bolt import bolt_sleeves
from fabgen.checks.contact.into_one_another import into_one_another

RULES = (*bolt_sleeves.RULES, into_one_another)


def told(tables: Tables) -> list[str]:
    job = checked(definitions(**tables), planned=True)
    return [f"{each.level}: {each.text}" for each in findings(job, RULES)]


@pytest.mark.parametrize(("tables", "words"), SLEEVES)
def test_what_is_no_sleeve_for_its_bolt_is_told_once(tables: Tables, words: str) -> None:
    (text,) = told(tables)
    assert text.startswith(words)


SILENT: dict[str, Tables] = {
    "in line, from plate to plate": sleeved(),
    "a pivot with half a millimetre either side": sleeved(long=59.0),
    "off by less than its play": sleeved(x=300.4),
    "a frame tube beside the bolt": sleeved(beside=[tube("F", (300, 56, -300), (300, 56, 300))]),
    "welded in, and its bolt": {
        "tube": [tube("T1", (0, 0, 0), (800, 0, 0), section="60 x 60 x 3",
                      holes=[{"at": 300, "from": "start", "side": "top", "bolt": "M10", "both_walls": True,
                              "sleeve": "16 x 2"}])],
        "bolt": [bolt("T1")],
    },
}  # fmt: skip


@pytest.mark.parametrize("name", SILENT)
def test_what_fits_is_not_told(name: str) -> None:
    assert told(SILENT[name]) == []


@pytest.mark.slow
@pytest.mark.parametrize(("long", "speaks"), [(58.96, False), (58.94, True)])
def test_a_millimetre_of_play(long: float, speaks: bool) -> None:
    """60 mm between the plates, less one of play and 0.05: 1 % of that play either side of 58.95."""
    assert bool(told(sleeved(long=long))) == speaks


@pytest.mark.slow
@pytest.mark.parametrize(("off", "speaks"), [(1.0395, False), (1.0605, True)])
def test_out_of_line_by_its_play(off: float, speaks: bool) -> None:
    """Bore 11 and holes 11 for M10: half a millimetre each, and 0.05; 1 % either side."""
    assert bool(told(sleeved(x=300.0 + off))) == speaks


@pytest.mark.slow
def test_a_sleeve_between_two_ears() -> None:
    ears: Tables = {
        "bracket": [{"mark": "C1", "shape": "clevis", "thickness": 4, "gap": 40, "length": 60, "height": 40,
                     "bolt": "M10", "place": {"at": [0, 0, 0]}}],
    }  # fmt: skip
    job = checked(definitions(**ears | {"bolt": [bolt("C1", 40, "C1")]}), planned=True)
    (line,) = job.plan.bolts[0].lines
    middle = line.at + (line.seats[-1].ends / 2.0) * line.axis

    def said(half: float) -> list[str]:
        ends = [tuple((middle + side * half * line.axis).round(6).tolist()) for side in (-1.0, 1.0)]
        pivot = sleeve("S1", *ends)
        return told(ears | {"tube": [pivot], "bolt": [bolt("C1", 40, "C1")]})

    assert said(19.75) == []
    (text,) = said(17.0)
    assert "sleeve S1 is 34 mm long, 40 mm are to be filled in C1" in text
