"""The view of the page in a real browser: framing, turning, hiding, measuring, marks, dark, printed."""

from __future__ import annotations

import base64
import io
from itertools import pairwise
from pathlib import Path

import pytest
from opened import DESK, Look
from pypdf import PdfReader

from fabgen.app.live_page import page_of, write_page
from fabgen.app.work import work_on

NARROW = (360, 780)
JOB = """
[job]
title = "Stand"
number = "ST-2"
units = "mm"
[[tube]]
mark = "T1"
title = "post"
section = "60.3 x 3.2"
route = [[0, 0, 0], [0, 0, 1000]]
[[tube]]
mark = "T2"
title = "rail"
section = "60.3 x 3.2"
route = [[0, 600, 0], [0, 600, 1000]]
[[plate]]
mark = "P1"
thickness = 10
rectangle = [200, 100]
place = { at = [500, 300, 0], along = [1, 0, 0], up = [0, 1, 0] }
[[plate]]
mark = "P9"
thickness = 4
rectangle = [80, 60]
"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("stand")
    job = folder / "stand.toml"
    job.write_text(JOB, encoding="utf-8")
    return write_page(folder, page_of(work_on(job)))


@pytest.fixture
def desk(browser: object, page: Path) -> Look:
    look = Look(browser, page.as_uri(), DESK)
    look.do("history.scrollRestoration = 'manual'; window.scrollTo(0, 0)")
    return look


@pytest.fixture
def phone(browser: object, page: Path) -> Look:
    return Look(browser, page.as_uri(), NARROW)


def seen(look: Look, point: list[float]) -> list[float]:
    """Where a point of the job is on the screen, CSS pixels."""
    return list(
        look.do(
            "const b = view.canvas.getBoundingClientRect(), at = view.place(arguments[0], view.matrix);"
            "return [b.left + at[0], b.top + at[1]]",
            point,
        )
    )


def spot(look: Look, mark: str) -> list[float]:
    return seen(look, look.do("return BY_MARK.get(arguments[0]).spot", mark))


def stand(look: Look) -> dict[str, object]:
    return dict(look.do("return view.camera.stand"))


def test_choosing_frames_a_part_and_escape_lets_it_go(desk: Look) -> None:
    before = stand(desk)
    desk.do("$('#cuts tr[data-mark=\"P1\"] a').click()")
    desk.settle()
    middle = desk.do(
        "const b = view.canvas.getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2]"
    )
    assert seen(desk, desk.do("const p = BY_MARK.get('P1'); return p.low.map((s, k) => (s + p.high[k]) / 2)")) == (
        pytest.approx(middle, abs=3.0)
    )
    assert stand(desk)["span"] < before["span"]  # type: ignore[operator]
    desk.press("\ue00c")  # Escape
    assert desk.shown() == []
    assert stand(desk) == before


def test_who_has_moved_since_stays_there(desk: Look) -> None:
    desk.do("choose('T1'); $('#view').focus()")
    desk.press("\ue014")  # arrow right
    moved = stand(desk)
    desk.press("\ue00c")
    assert stand(desk) == moved


def test_the_wheel_goes_to_what_is_under_the_pointer(desk: Look) -> None:
    under = [0.0, 600.0, 1000.0]
    x, y = seen(desk, under)
    span = stand(desk)["span"]
    for _ in range(3):
        desk.driver.execute_cdp_cmd(  # type: ignore[attr-defined]
            "Input.dispatchMouseEvent", {"type": "mouseWheel", "x": x, "y": y, "deltaX": 0, "deltaY": -240}
        )
    desk.settle()
    assert stand(desk)["span"] < 0.5 * span  # type: ignore[operator]
    assert seen(desk, under) == pytest.approx([x, y], abs=1.0)


def test_plus_goes_to_the_chosen_part(desk: Look) -> None:
    desk.do("choose('T2'); view.camera.shift(0.2, 0.1)")
    at, span = spot(desk, "T2"), stand(desk)["span"]
    desk.do("tools('near').click()")
    assert stand(desk)["span"] < span  # type: ignore[operator]
    assert spot(desk, "T2") == pytest.approx(at, abs=1.0)


@pytest.mark.parametrize(
    ("side", "toward"),
    [
        ("front", [1, 0, 0]),
        ("back", [-1, 0, 0]),
        ("left", [0, 1, 0]),
        ("right", [0, -1, 0]),
        ("above", [0, 0, 1]),
        ("below", [0, 0, -1]),
    ],
)
def test_the_sides_are_those_of_the_job(desk: Look, side: str, toward: list[int]) -> None:
    """x forward, y left, z up: who looks from the front stands at +x."""
    desk.tap(f'#tools [data-look="{side}"]')
    assert desk.do("return view.camera.axes.toward") == pytest.approx(toward, abs=1e-3)


def test_hide_show_alone_and_see_through(desk: Look) -> None:
    """T1 stands before T2 as seen from the right."""
    desk.tap('#tools [data-look="right"]')
    desk.do("window.scrollTo(0, 0)")
    at = seen(desk, [0, 0, 500])
    there = (
        "const b = view.canvas.getBoundingClientRect(), p = view.part(arguments[0] - b.left, arguments[1] - b.top);"
        "return p && p.mark"
    )
    assert desk.do(there, *at) == "T1"
    desk.do("choose('T1'); view.fit()")
    desk.do("tools('glass').click()")
    assert desk.do(there, *seen(desk, [0, 0, 500])) == "T2"
    desk.do("tools('glass').click()")
    assert desk.do(there, *seen(desk, [0, 0, 500])) == "T1"
    desk.do("tools('alone').click()")
    assert desk.do("return view.shown.map(p => p.mark)") == ["T1"]
    desk.do("tools('alone').click(); tools('hide').click(); view.fit()")
    assert desk.shown() == []
    assert desk.do(there, *seen(desk, [0, 0, 500])) == "T2"
    assert desk.do("return tools('unhide').innerText") == "Show all again (1 hidden)"
    desk.tap('#tools [data-do="unhide"]')
    assert desk.do("return view.shown.length") == 4
    assert desk.do("return tools('unhide').offsetParent") is None


def test_a_hidden_part_that_is_chosen_is_shown_again(desk: Look) -> None:
    desk.do("choose('T1'); tools('hide').click(); choose('T1')")
    assert "T1" in desk.do("return view.shown.map(p => p.mark)")


def test_measures_between_two_corners(desk: Look) -> None:
    """The plate is 200 by 100: its corners are caught by taps a few pixels beside."""
    desk.do("choose('P1'); view.look('above'); view.frame(BY_MARK.get('P1'), true)")
    desk.tap('#tools [data-do="measure"]')
    desk.do("window.scrollTo(0, 0)")
    desk.settle()
    low, high = desk.do("const p = BY_MARK.get('P1'); return [p.low, p.high]")
    for x, y in ((low[0], low[1]), (high[0], low[1])):
        px, py = seen(desk, [x, y, high[2]])
        desk.click(px + 3, py - 2)
    said = desk.do("return $('#length').innerText")
    assert said.split(":")[0].rstrip(".") == f"Apart {high[0] - low[0]:g} mm"
    px, py = seen(desk, [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, high[2]])
    desk.click(px, py)
    assert desk.do("return $('#length').innerText") == "Now the second place."
    assert desk.do("return view.measured[0]") == pytest.approx(
        [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, high[2]], abs=1.5
    )
    desk.press("\ue00c")
    assert desk.do("return view.measured.length") == 0
    assert desk.shown() == ["P1"]


def test_the_cut_takes_away_what_lies_beyond_it(desk: Look) -> None:
    """Of posts from z = 0 to 1000, seen from the right: the top is gone down to where the slider stands."""
    desk.do("view.look('right'); view.fit()")
    there = "const [x, y] = view.place([0, 0, arguments[0]], view.matrix), p = view.part(x, y); return p && p.mark"
    heights = (900, 600, 400, 100)
    assert [desk.do(there, z) for z in heights] == ["T1"] * 4
    desk.tap('#tools [data-do="cut"]')
    desk.do("$('#cut-axis').value = '2'; $('#cut-axis').dispatchEvent(new Event('input'))")
    desk.settle()
    assert [desk.do(there, z) for z in heights] == [None, None, "T1", "T1"]
    desk.do("$('#cut-at').focus()")
    before = desk.do("return view.cut[3]")
    desk.press("\ue012" * 3)  # arrow left
    assert before - 4.0 < desk.do("return view.cut[3]") < before - 2.0
    assert desk.do("return view.keeps([0, 0, 900])") is False
    desk.do("$('#cut-axis').value = '1'; $('#cut-axis').dispatchEvent(new Event('input'))")
    assert desk.do("return [view.keeps([0, 0, 500]), view.keeps([0, 600, 500])]") == [True, False]
    desk.tap('#tools [data-do="cut"]')
    assert [desk.do(there, z) for z in heights] == ["T1"] * 4
    assert desk.do("return $('#cut').offsetParent") is None


def test_lengths_in_inches(desk: Look) -> None:
    said = desk.do("DATA.units = 'in'; return [0.2, 6.35, 25.4, 812.8, 811.2].map(lengthText)")
    assert said == ["0 in (0.2 mm)", "1/4 in (6.4 mm)", "1 in (25.4 mm)", "32 in (812.8 mm)", "31 15/16 in (811.2 mm)"]


def test_a_double_tap_shows_a_part_close(desk: Look) -> None:
    desk.do("choose('P1')")
    once = stand(desk)["span"]
    desk.do("choose(null); view.fit()")
    at = spot(desk, "P1")
    for count in (1, 2):
        for kind in ("mousePressed", "mouseReleased"):
            desk.driver.execute_cdp_cmd(  # type: ignore[attr-defined]
                "Input.dispatchMouseEvent",
                {"type": kind, "x": at[0], "y": at[1], "button": "left", "clickCount": count},
            )
    desk.settle()
    assert desk.shown() == ["P1"]
    assert stand(desk)["span"] < once  # type: ignore[operator]


@pytest.mark.parametrize("by_browser", [True, False], ids=["browser", "page"])
def test_whole_screen_and_back(desk: Look, by_browser: bool) -> None:
    """Phones that cannot give a page the screen have it over the page."""
    if not by_browser:
        desk.do("$('#assembly').requestFullscreen = undefined")
    desk.tap('#tools [data-do="whole"]')
    desk.settle()
    box = desk.do("const b = $('#assembly').getBoundingClientRect(); return [b.left, b.top, b.width, b.height]")
    assert box == [0, 0, desk.do("return innerWidth"), desk.do("return innerHeight")]
    desk.press("\ue00c")
    desk.settle()
    assert desk.do("return document.body.classList.contains('whole')") is False


def test_every_mark_in_sight_is_written_or_counted(phone: Look) -> None:
    """From afar all parts lie on one another: what finds no room is told, and Marks takes them off."""
    for zoom in (1, 0.2, 0.02):
        phone.do("view.fit(view.shown); view.camera.zoom(arguments[0]); view.draw()", zoom)
        written, left = phone.do("return [view.labels.put.length, view.labels.left]")
        assert written + left == 4
        assert bool(left) == bool(phone.do("return $('#unmarked').innerText"))
    phone.do("tools('names').click(); view.draw()")
    assert phone.do("return [view.labels.put.length, view.labels.left]") == [0, 0]


def test_lines_stand_out_from_the_ground(desk: Look) -> None:
    """WCAG 2.1, 1.4.11: 3 to 1, by day and by night."""
    for ground, *lines in desk.do("return [DAY, NIGHT].map(c => [c.ground, c.line, c.other, c.stop])"):
        assert all(contrast(line, ground) >= 3.0 for line in lines)


def contrast(one: list[float], other: list[float]) -> float:
    """WCAG 2.1, contrast ratio of its glossary."""

    def light(colour: list[float]) -> float:
        linear = [s / 12.92 if s <= 0.03928 else ((s + 0.055) / 1.055) ** 2.4 for s in colour]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((light(one), light(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


PIXEL = (
    "view.draw(); const g = view.gl, p = new Uint8Array(4);"
    "g.readPixels(4, view.canvas.height - 5, 1, 1, g.RGBA, g.UNSIGNED_BYTE, p); return [...p].slice(0, 3)"
)
ROW = """
view.labels.on = false; view.draw();
const g = view.gl, w = view.canvas.width, p = new Uint8Array(4 * w), b = view.canvas.getBoundingClientRect();
const y = view.canvas.height - Math.round((arguments[0] - b.top) * view.ratio);
g.readPixels(0, y, w, 1, g.RGBA, g.UNSIGNED_BYTE, p);
return Array.from({ length: w }, (_, i) => [...p.slice(4 * i, 4 * i + 3)]);
"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_tube_has_an_outline_by_day_and_by_night(desk: Look, scheme: str) -> None:
    desk.seen_by(("prefers-color-scheme", scheme), ("prefers-reduced-motion", "reduce"))
    ground = [each / 255 for each in desk.do(PIXEL)]
    assert (sum(ground) > 2.9) == (scheme == "light")
    desk.do("view.look('front'); view.fit()")
    for chosen in ("null", "'P1'"):
        desk.do(f"choose({chosen}); view.look('front'); view.fit()")
        row = desk.do(ROW, seen(desk, [0, 0, 700])[1])
        changes = [
            b
            for a, b in pairwise(row)
            if max(abs(s / 255 - g) for s, g in zip(a, ground, strict=True)) < 0.01 and b != a
        ]
        # Coming from the ground on each side of both posts one meets a line, at its full strength within two pixels.
        assert len(changes) >= 2
        strongest = [
            max(contrast([s / 255 for s in pixel], ground) for pixel in row[i : i + 4])
            for i, (a, b) in enumerate(pairwise(row))
            if max(abs(s / 255 - g) for s, g in zip(a, ground, strict=True)) < 0.01 and b != a
        ]
        assert min(strongest) >= 3.0


def test_a_part_that_a_check_stops_is_lit(browser: object, tmp_path: Path) -> None:
    """The second post stands in the first: its outline is red, the plate's is not."""
    job = tmp_path / "twice.toml"
    job.write_text(JOB.replace("0, 600,", "0, 20,"), encoding="utf-8")
    look = Look(browser, write_page(tmp_path, page_of(work_on(job))).as_uri(), DESK)
    assert look.do("return ['T2', 'P1'].map(mark => BY_MARK.get(mark).level === 'stop')") == [True, False]
    look.do("view.look('front'); view.fit()")
    row = look.do(ROW, seen(look, [0, 0, 700])[1])
    assert sum(red > green + 80 for red, green, _ in row) >= 1


def test_prints_the_view_and_the_lists_and_the_open_sheet(desk: Look) -> None:
    def printed() -> list[str]:
        made = desk.driver.execute_cdp_cmd("Page.printToPDF", {"printBackground": True})  # type: ignore[attr-defined]
        return [page.extract_text() for page in PdfReader(io.BytesIO(base64.b64decode(made["data"]))).pages]

    pages = printed()
    assert len(pages) <= 3
    text = " ".join(pages)
    assert "Cut list" in text
    assert "Bars, in the order to saw" in text
    assert "length to saw" not in text
    desk.open("T1")
    with_sheet = printed()
    assert "length to saw" in " ".join(with_sheet)
    assert len(with_sheet) <= len(pages) + 2


def test_the_picture_that_is_printed_shows_the_job(desk: Look) -> None:
    desk.seen_by(("prefers-color-scheme", "dark"))
    assert desk.do("return view.picture()").startswith("data:image/png;base64,")
    desk.do("window.dispatchEvent(new Event('beforeprint'))")
    desk.driver.execute_async_script("$('#still').decode().then(arguments[0])")  # type: ignore[attr-defined]
    light = desk.do(
        "const c = document.createElement('canvas'), i = $('#still');"
        "[c.width, c.height] = [i.naturalWidth, i.naturalHeight];"
        "const pen = c.getContext('2d'); pen.drawImage(i, 0, 0); return [...pen.getImageData(3, 3, 1, 1).data]"
    )
    assert light[:3] == [255, 255, 255]
    desk.do("window.dispatchEvent(new Event('afterprint'))")
    assert desk.do("return $('#still').hasAttribute('src')") is False


def test_on_a_narrow_phone_stock_and_quantity_stay(phone: Look) -> None:
    assert phone.do("return document.documentElement.scrollWidth") == NARROW[0]
    row = "$('#cuts tr[data-mark=\"T1\"]')"
    assert phone.do(f"return ['stock', 'size', 'quantity'].map(c => $('.' + c, {row}).innerText)") == [
        "60.3 x 3.2 S235",
        "1000 mm",
        "1",
    ]
    boxes = phone.do(
        f"return [...{row}.children].map(c => [c.getBoundingClientRect().left, c.getBoundingClientRect().right])"
    )
    assert all(0 <= left < right <= NARROW[0] for left, right in boxes)


def test_the_ways_on_a_phone(phone: Look) -> None:
    phone.open("T1")
    bottom = phone.do("return Math.round($('nav').getBoundingClientRect().bottom)")
    assert bottom == NARROW[1]
    phone.do("$('#step a').click()")
    phone.settle()
    assert 0 <= phone.do("return $('#stage').getBoundingClientRect().top") < 200


def test_a_search_says_when_nothing_is_found(phone: Look) -> None:
    phone.do("$('#mark').focus()")
    phone.press("windmill")
    assert phone.do("return $('#found-none').innerText") == "Nothing here is called windmill."
    for _ in range(8):
        phone.press("\ue003")
    assert phone.do("return $('#found-none').innerText") == ""


def test_gliding_ends_where_it_should(desk: Look) -> None:
    desk.seen_by(("prefers-reduced-motion", "no-preference"))
    desk.do("choose('P1')")
    done = (
        "const done = arguments[0], wait = () => view.gliding ? setTimeout(wait, 20)"
        " : done(sameStand(view.camera.stand, view.framed)); wait()"
    )
    assert desk.driver.execute_async_script(done) is True  # type: ignore[attr-defined]
