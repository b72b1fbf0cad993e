"""The travel in the view, in a real browser: dragged through and moved, parts found where they are now; and what a
check found stands by its part."""

from __future__ import annotations

from pathlib import Path

import pytest
from opened import DESK, Look

from fabgen.app.live_page import page_of, write_page
from fabgen.app.work import work_on

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_page(tmp_path_factory.mktemp("moving"), page_of(work_on(ROOT / "templates" / "suspension.toml")))


@pytest.fixture
def desk(browser: object, page: Path) -> Look:
    return Look(browser, page.as_uri(), DESK)


def slide(look: Look, keys: str) -> None:
    look.do("$('#travel-at').focus()")
    look.press(keys)
    look.settle()


def at(look: Look, mark: str) -> list[float]:
    """Where a part's mark is in the job."""
    return list(look.do("return view.spot(BY_MARK.get(arguments[0]))", mark))


def test_the_slider_moves_what_moves_and_nothing_else(desk: Look) -> None:
    rod, rail, drawn = at(desk, "L1-L"), at(desk, "S-L"), desk.do("return $('#travel-at').value")
    picture = desk.do("return view.picture()")
    slide(desk, "\ue011")  # Home: to the travel's first place
    assert desk.do("return $('#travel-at').value") == "0" != drawn
    assert at(desk, "S-L") == rail
    assert at(desk, "L1-L")[2] < rod[2] - 10.0
    assert desk.do("return view.picture()") != picture
    said = desk.do("return $('#travelled').textContent")
    assert said.startswith("height of HUB -50.0 mm; nearest: ")
    assert "mm apart" in said
    assert desk.do("return $('#travel-at').getAttribute('aria-valuetext')") == said
    desk.tap("#tools [data-do=drawn]")
    assert at(desk, "L1-L") == rod
    assert desk.do("return view.picture()") == picture


def test_a_part_is_tapped_where_it_is_now(desk: Look) -> None:
    desk.do("view.hidden = new Set(PARTS.filter((part) => part.mark !== 'AF-L')); view.look('back'); view.fit()")
    where = "return view.place(view.spot(BY_MARK.get('AF-L')), view.matrix)"
    before = desk.do(where)
    slide(desk, "\ue010")  # End
    now = desk.do(where)
    assert abs(now[1] - before[1]) > 5.0
    assert desk.do("const part = view.part(...arguments[0]); return part && part.mark", now) == "AF-L"
    z = desk.do("return placeAt(view, ...arguments[0])[2]", now)
    least, most = desk.do("const p = BY_MARK.get('AF-L'); return [p.least[2], p.most[2]]")
    assert least - 1.0 <= z <= most + 1.0


def test_it_moves_to_and_fro_until_it_is_stopped(desk: Look) -> None:
    desk.tap("#tools [data-do=move]")
    seen = set()
    for _ in range(30):
        desk.settle()
        seen.add(desk.do("return $('#travel-at').value"))
    assert len(seen) > 3
    assert desk.do("return tools('move').textContent") == "Stop"
    desk.tap("#tools [data-do=move]")
    stands = desk.do("return $('#travel-at').value")
    desk.settle()
    assert desk.do("return $('#travel-at').value") == stands
    assert desk.do("return tools('move').textContent") == "Move"


def test_a_finding_stands_by_its_part(desk: Look) -> None:
    desk.open("L1-L")
    desk.driver.execute_async_script(  # type: ignore[attr-defined]
        "const done = arguments[0], there = () => $('#by').hidden ? setTimeout(there, 10) : done(); there()"
    )
    desk.settle()
    assert "measure yours before sawing" in desk.do("return $('#by').textContent")
    box = desk.do("const b = $('#by').getBoundingClientRect(), s = $('#stage').getBoundingClientRect();"
                  "return [b.left - s.left, b.top - s.top, s.right - b.right, s.bottom - b.bottom]")  # fmt: skip
    assert min(box) >= 0.0
    desk.open("C1")
    desk.settle()
    assert desk.do("return $('#by').hidden")
