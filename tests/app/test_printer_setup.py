"""What the printer command does with its options."""

import pytest

from fabgen.app.printer_setup import change_report, changed_settings, page_files, page_report
from fabgen.app.settings import Settings
from fabgen.documents.render import paper
from fabgen.documents.render.correction import Correction

NONE_YET = Settings()
SET = Settings({"A4": Correction(1.0, 1.0)})


def test_no_option_asks_for_the_page() -> None:
    assert changed_settings(NONE_YET, paper.A4, None, None, False) is None
    files = page_files(paper.A4)
    assert list(files) == ["printer-test-A4.pdf"]
    assert files["printer-test-A4.pdf"].startswith(b"%PDF-")
    assert files == page_files(paper.A4)


def test_measures_are_kept_by_paper() -> None:
    after = changed_settings(SET, paper.LETTER, "179.4", "239.1", False)
    assert after is not None
    assert after.printer["Letter"] == Correction(1.003344, 1.003764)
    assert after.printer["A4"] == Correction(1.0, 1.0)
    assert next(change_report(SET, after, paper.LETTER)).startswith("Letter: lengths are multiplied by 1.0033")


def test_forgetting() -> None:
    after = changed_settings(SET, paper.A4, None, None, True)
    assert after == NONE_YET
    assert list(change_report(SET, after, paper.A4)) == [
        "A4: the correction is removed; true-size pages are printed as they are"
    ]
    assert list(change_report(after, after, paper.A4)) == ["A4: there was no correction"]


@pytest.mark.parametrize(
    ("across", "down", "forget", "what"),
    [
        ("180", None, False, "--down: is not given"),
        (None, "260", False, "--across: is not given"),
        ("180", "260", True, "--forget: cannot be given with"),
    ],
)
def test_options_that_do_not_go_together(across: str | None, down: str | None, forget: bool, what: str) -> None:
    with pytest.raises(ValueError, match=what):
        changed_settings(NONE_YET, paper.A4, across, down, forget)


def test_the_page_tells_what_is_set_already() -> None:
    assert len(list(page_report(NONE_YET, paper.A4))) == 1
    assert "multiplied by 1.0000" in list(page_report(SET, paper.A4))[1]
