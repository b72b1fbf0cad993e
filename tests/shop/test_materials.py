"""Materials and what they weigh."""

import pytest

from fabgen.shop.materials import UnknownMaterialError, find, is_known, key_of, listed_names, names


def test_densities_of_the_standards() -> None:
    # EN 1991-1-1:2002, table A.4: steel 77.0 to 78.5 kN/m3, here with g = 9.81 m/s2.
    assert 77.0 <= find("S355").density * 9.81e-3 <= 78.5
    # EN 10088-1: 1.4301 7.9 kg/dm3, 1.4401 8.0 kg/dm3.
    assert (find("1.4301").density, find("1.4401").density) == (7900.0, 8000.0)
    # EN 1999-1-1:2007, 3.2.5: 2700 kg/m3.
    assert find("6082-T6").density == 2700.0


def test_yield_strengths_up_to_16_mm() -> None:
    # EN 10025-2: the grade's number is its least yield strength, MPa, up to 16 mm.
    assert [find(name).yield_strength for name in ("S235", "S275", "S355")] == [235.0, 275.0, 355.0]
    assert find("4130").yield_strength is None


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("s355", "S355"),
        ("6082 t6", "6082-T6"),
        ("1020dom", "1020 DOM"),
        ("25crmo4", "25CrMo4"),
        (" S275 J2H ", "S275J2H"),
    ],
)
def test_names_are_found_however_they_are_written(written: str, name: str) -> None:
    assert find(written).name == name


def test_unknown_names_get_the_nearest() -> None:
    with pytest.raises(UnknownMaterialError, match="nearest: S355") as caught:
        find("S345")
    assert caught.value.nearest == "S355"
    assert not is_known("S345")
    with pytest.raises(ValueError, match="no material"):
        find("x" * 100_000)


def test_names_are_told_apart() -> None:
    assert len({key_of(name) for name in names()}) == len(names())
    assert all(find(name).name == name for name in names())
    listed = ", ".join(listed_names())
    assert all(name in listed for name in names() if not name.startswith(("S235", "S275", "S355")))
    assert "S235 (JR, JRH, J2)" in listed
    assert "S355MC" in listed


@pytest.mark.parametrize(
    ("words", "meant"),
    [("mild steel", "S235"), ("Stainless Steel", "304"), ("galvanised", "DX51D"), ("CrMo", "25CrMo4")],
)
def test_words_that_are_no_grade(words: str, meant: str) -> None:
    with pytest.raises(UnknownMaterialError) as caught:
        find(words)
    assert caught.value.nearest == meant
    assert is_known(meant)
