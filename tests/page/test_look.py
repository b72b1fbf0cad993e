"""The page in a real browser: tapped, ticked, searched, on a phone, without a network, and heard by axe-core."""

from __future__ import annotations

import base64
import json
import re
import threading
import time
import urllib.error
import urllib.request
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from opened import AXE, DESK, PHONE, Look

from fabgen.app.live_page import Rebuilder, page_of, write_page
from fabgen.app.page_server import Server, State, stamps, watch
from fabgen.app.work import WorkedJob, work_on
from fabgen.documents.page.page_html import Kept
from fabgen.documents.scene.bodies import body
from fabgen.documents.scene.scene import standing_bodies
from fabgen.parts.piece import FlatPart, ProfilePart
from fabgen.parts.shape.profiles import profile_body

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sample_parts" / "curlew-trailer.toml"
SMALL = """
[job]
title = "Ear"
number = "E1"
units = "mm"
[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = [[0, 0, 0], [300, 0, 0]]
[[plate]]
mark = "P1"
thickness = 3
disc = 50
"""


@pytest.fixture(scope="module")
def demo() -> WorkedJob:
    return work_on(DEMO)


@pytest.fixture(scope="module")
def text(demo: WorkedJob) -> str:
    """The page of the demo, made once."""
    return page_of(demo)


@pytest.fixture(scope="module")
def page(text: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_page(tmp_path_factory.mktemp("look"), text)


def data_of(text: str) -> dict[str, Any]:
    """The page's data."""
    found = re.search(r'id="data">(.*?)</script>', text, re.DOTALL)
    assert found is not None
    return json.loads(found.group(1))  # type: ignore[no-any-return]


def sheet_of(text: str, mark: str) -> list[str]:
    """The texts of a part's sheet, unpacked: its own words, the findings on it, what is drawn."""
    data = data_of(text)
    packed = [zlib.decompress(base64.b64decode(block), -15) for block in data["texts"]["blocks"]]
    texts = [each for block in packed for each in json.loads(block)]
    own, found, drawn = next(row[2:] for row in data["sheets"] if row[0] == mark)
    return [texts[number] for number in (own, *found, drawn)]


# -- without a browser --------------------------------------------------------------
def test_same_job_same_bytes(demo: WorkedJob, text: str) -> None:
    kept = Kept()
    assert text == page_of(work_on(DEMO), kept)
    assert text == page_of(demo, kept)
    assert len(text.encode()) < 700_000


def test_asks_for_nothing(text: str) -> None:
    assert "default-src 'none'" in text
    assert "connect-src 'none'" in text
    addresses = set(re.findall(r"""(?:src|href|url)\s*[=(]\s*["']?([^"')\s>]+)""", text))
    assert all(address.startswith(("#", "data:")) for address in addresses)
    assert not set(re.findall(r"https?://[^\s\"'<>]+", text)) - {"http://www.w3.org/2000/svg"}


def test_every_body_weighs_what_the_piece_does(demo: WorkedJob) -> None:
    """Volume within the skin by the divergence theorem, times the density, against the piece's own mass.

    Links show their bought rod ends too, and a roll's facets and the rounding of bends take a little off; the holes of
    profiles are drawn on their faces.
    """
    from fabgen.shop.materials import find

    for piece in demo.pieces:
        if piece.kind == "link":
            continue
        made = body(piece)
        a, b, c = np.moveaxis(made.vertices[made.triangles], 1, 0)
        volume = float((np.cross(a, b) * c).sum()) / 6.0
        if isinstance(piece.shape, ProfilePart):
            volume -= sum(hole.area * hole.thickness for hole in piece.shape.holes)
        if isinstance(piece.shape, FlatPart):
            volume /= max(1, len(piece.shape.places))  # drawn once a place
        density = find(piece.material).density
        assert volume * density * 1e-9 == pytest.approx(piece.mass, rel=0.015), piece.mark


def test_every_body_is_closed(demo: WorkedJob) -> None:
    for piece in demo.pieces:
        shape = piece.shape  # the holes of profiles are lids on their faces
        triangles = (profile_body(shape) if isinstance(shape, ProfilePart) else body(piece)).triangles
        sides = np.vstack([triangles[:, [i, (i + 1) % 3]] for i in range(3)])
        there = {(a, b) for a, b in sides.tolist()}
        assert all((b, a) in there for a, b in there), piece.mark


def test_unplaced_parts_stand_apart(demo: WorkedJob) -> None:
    scene = standing_bodies(demo.pieces, {piece.mark: body(piece) for piece in demo.pieces})
    assert [each.piece.mark for each in scene] == [piece.mark for piece in demo.pieces]
    boxes = [each.body.bounds for each in scene if not each.placed]
    assert len(boxes) == sum(not piece.is_placed for piece in demo.pieces)
    front = min(float(each.body.bounds[0][1]) for each in scene if each.placed)
    for i, (low, high) in enumerate(boxes):
        assert high[1] < front
        for other_low, other_high in boxes[:i]:
            assert (low[:2] > other_high[:2]).any() or (high[:2] < other_low[:2]).any()


def test_the_welds_a_job_gives_are_told(text: str) -> None:
    said = [sheet_of(text, row[0])[0] for row in data_of(text)["sheets"]]
    assert any("<dt>weld on T6</dt><dd>fillet, throat 3 mm, all round, process 135</dd>" in each for each in said)


def test_what_a_job_says_is_text_and_not_markup(tmp_path: Path) -> None:
    job = tmp_path / "odd.toml"
    job.write_text(
        '[job]\ntitle = "</script><b>{{data}}"\nnumber = "N<1>"\nunits = "mm"\n'
        '[[plate]]\nmark = "P1"\ntitle = "a \\"quoted\\" <i>plate</i>"\nthickness = 3\nrectangle = [100, 50]\n',
        encoding="utf-8",
    )
    text = page_of(work_on(job))
    assert "<i>plate" not in text + "".join(sheet_of(text, "P1"))
    assert "<b>{{data}}" not in text
    assert text.count("</script>") == 2
    data = data_of(text)
    assert data["job"] == "N<1>"
    assert [part["mark"] for part in data["parts"]] == ["P1"]


def test_the_command_writes_the_page_whole_or_not_at_all(tmp_path: Path) -> None:
    from typer.testing import CliRunner

    from fabgen.cli import app

    job = tmp_path / "ear.toml"
    job.write_text(SMALL, encoding="utf-8")
    done = CliRunner().invoke(app, ["look", str(job), "--out", str(tmp_path / "out")])
    assert done.exit_code == 0
    assert [path.name for path in (tmp_path / "out" / "ear").iterdir()] == ["page.html"]
    job.write_text(SMALL.replace("disc", "disk"), encoding="utf-8")
    for more in ([], ["--watch"]):
        done = CliRunner().invoke(app, ["look", str(job), "--out", str(tmp_path / "other"), *more])
        assert done.exit_code == 2
        assert not (tmp_path / "other").exists()


# -- while the job is worked on -----------------------------------------------------
@pytest.fixture
def followed(tmp_path: Path) -> Iterator[tuple[Path, State, str]]:
    job = tmp_path / "ear.toml"
    job.write_text(SMALL, encoding="utf-8")
    rebuild = Rebuilder(job, tmp_path / "out")
    seen = stamps([job])
    state = State(rebuild.made())
    with Server(state) as server:
        told: list[str] = []
        threads = [
            threading.Thread(target=server.serve_forever, daemon=True),
            threading.Thread(target=watch, args=(state, [job], rebuild.made, told.append, seen), daemon=True),
        ]
        for thread in threads:
            thread.start()
        yield job, state, server.address
        state.end()
        server.shutdown()
        threads[1].join(5)


def test_saving_makes_the_page_again_and_faults_are_told(followed: tuple[Path, State, str]) -> None:
    job, state, address = followed
    with urllib.request.urlopen(address + "told?since=1", timeout=20) as stream:
        assert stream.headers["Content-Type"] == "text/event-stream"
        job.write_text(SMALL.replace('"Ear"', '"Ear, wider"'), encoding="utf-8")
        assert _next_event(stream) == ("made", 2)
        with urllib.request.urlopen(address, timeout=20) as answer:
            served = answer.read().decode()
        assert "Ear, wider" in served
        assert 'since=" + 2' in served
        job.write_text(SMALL.replace('"60.3 x 3.2"', '"60.3 x 99"'), encoding="utf-8")
        name, told = _next_event(stream)
        assert name == "fault"
        assert "ear.toml:" in str(told)
        job.write_text(SMALL, encoding="utf-8")
        assert _next_event(stream) == ("made", 3)
    assert "Ear, wider" not in state.page


def test_the_server_answers_this_machine_only(followed: tuple[Path, State, str]) -> None:
    _, _, address = followed
    assert address.startswith("http://127.0.0.1:")
    strange = urllib.request.Request(address, headers={"Host": "elsewhere.example"})
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(strange, timeout=20)
    with pytest.raises(urllib.error.HTTPError, match="404"):
        urllib.request.urlopen(address + "../ear.toml", timeout=20)


def _next_event(stream: object) -> tuple[str, object]:
    name = ""
    for raw in stream:  # type: ignore[attr-defined]
        line = raw.decode().strip()
        if line.startswith("event: "):
            name = line[7:]
        elif line.startswith("data: "):
            return name, json.loads(line[6:])
    raise AssertionError("the stream ended")


# -- in Chromium --------------------------------------------------------------------
@pytest.fixture
def desk(browser: object, page: Path) -> Look:
    return Look(browser, page.as_uri(), DESK)


@pytest.fixture
def phone(browser: object, page: Path) -> Look:
    return Look(browser, page.as_uri(), PHONE)


MIDDLE_OF = """
const seen = view.place(BY_MARK.get(arguments[0]).spot, view.matrix), at = view.canvas.getBoundingClientRect();
return [at.left + seen[0], at.top + seen[1]];
"""


@pytest.mark.parametrize("mark", ["T3", "T11", "B3", "P2"])
def test_a_click_on_a_part_shows_its_sheet(desk: Look, mark: str) -> None:
    assert desk.shown() == []
    desk.click(*desk.do(MIDDLE_OF, mark))
    assert desk.shown() == [mark]
    assert desk.do("return location.hash") == f"#part-{mark}"
    assert desk.do("return $('#cuts tr.chosen').dataset.mark") == mark
    assert mark in desk.do("return $('#picked').textContent")


def test_a_click_beside_all_parts_chooses_none(desk: Look) -> None:
    desk.click(*desk.do(MIDDLE_OF, "T3"))
    left, top = desk.do("const b = view.canvas.getBoundingClientRect(); return [b.left, b.top]")
    desk.click(left + 12, top + 12)
    assert desk.shown() == []


def test_the_view_is_drawn_and_turns(desk: Look) -> None:
    before = _ink(desk)
    assert before > 5000
    desk.do("$('#view').focus()")
    for _ in range(4):
        desk.press("\ue014")  # arrow right
    turned = desk.do("return view.camera.turn")
    desk.press("\ue011")  # Home
    assert desk.do("return view.camera.turn") == turned
    assert _ink(desk) > 5000


def _ink(look: Look) -> int:
    """Pixels of the view that are not white, straight after it was drawn."""
    count = look.do(
        "view.draw(); const g = view.gl, w = view.canvas.width, h = view.canvas.height, p = new Uint8Array(4 * w * h);"
        "g.readPixels(0, 0, w, h, g.RGBA, g.UNSIGNED_BYTE, p); let n = 0;"
        "for (let i = 0; i < p.length; i += 4) if (p[i] < 240) n++; return n"
    )
    return int(count)


def test_a_tick_stays_over_a_reload(desk: Look) -> None:
    desk.do("$$('#cuts tr[data-mark=\"P3\"] input')[1].click(); $('#cuts tr[data-mark=\"T7\"] input').click()")
    assert re.fullmatch("- [0-9a-f]{12} - -", desk.do("return localStorage.getItem('fabgen ticks CUR-01 P3')"))
    desk.reload()
    assert desk.do("return $$('#cuts tr[data-mark=\"P3\"] input').map(b => b.checked)") == [False, True, False, False]
    assert desk.do("return $('#cuts tr[data-mark=\"T7\"] input').checked") is True
    assert "2 of " in desk.do("return $('#count').innerText")
    assert desk.do("return $$('#cuts .old').length") == 0


def test_a_tick_of_another_shape_kept_by_an_older_page_is_told(desk: Look) -> None:
    desk.do("localStorage.setItem('fabgen ticks CUR-01 T7', '1 0123456789ab')")
    desk.reload()
    assert desk.do("return $('#cuts tr[data-mark=\"T7\"] .old').innerText") == "changed since ticked"


def test_search_by_mark(desk: Look) -> None:
    desk.do("$('#mark').focus()")
    desk.press("link")
    assert desk.do("return $$('#cuts tr[data-mark]').filter(r => r.offsetParent).map(r => r.dataset.mark)") == [
        "L1",
        "L2",
        "L3",
        "P6",
    ]
    for _ in range(4):
        desk.press("\ue003")
    desk.press("b3\ue007")
    assert desk.shown() == ["B3"]
    assert desk.do("return document.activeElement.closest('article').dataset.mark") == "B3"


def test_a_label_s_code_scanned_into_the_search_opens_its_part(desk: Look) -> None:
    desk.do("$('#mark').focus()")
    desk.press("https://shed.example/page.html#part-T7\ue007")
    assert desk.shown() == ["T7"]


def test_by_keyboard_from_part_to_part(desk: Look) -> None:
    desk.do("$('#view').focus()")
    desk.press("n")
    assert desk.shown() == ["T1"]
    desk.press("n")
    desk.press("p")
    desk.press("p")
    assert desk.shown() == ["C3"]


def test_on_a_phone_nothing_is_wider_than_the_screen(phone: Look) -> None:
    for mark in ("T10", "B3", "L1", "P8"):
        phone.do(f"location.hash = '#part-{mark}'")
        phone.settle()
        assert phone.shown() == [mark]
        assert phone.do("return document.documentElement.scrollWidth") <= PHONE[0]
    buttons = "$$('#cuts .tick, #tools button').filter(b => b.offsetParent)"
    sizes = phone.do(f"return {buttons}.map(b => b.getBoundingClientRect().height)")
    assert min(sizes) >= 44
    assert phone.faults() == []


ALL_IN_SIGHT = """
const { right, up } = view.camera.axes, c = view.camera, shorter = Math.min(view.width, view.height);
const half = [view.width / 2, view.height / 2];
const way = (axis, p, i) => [0, 1, 2].reduce((s, k) => s + axis[k] * (p[i + k] - c.at[k]), 0) / c.span * shorter;
return parts.every((part) => {
  for (let i = 0; i < part.points.length; i += 3)
    if ([right, up].some((axis, k) => Math.abs(way(axis, part.points, i)) > half[k])) return false;
  return true;
});
"""


def test_all_parts_are_in_sight_at_first_and_when_the_phone_is_turned(browser: object, page: Path) -> None:
    driver = browser
    for width, height in ((1200, 900), (390, 844), (844, 390)):
        driver.set_window_size(width, height)  # type: ignore[attr-defined]
        if width != 844:
            driver.get(page.as_uri())  # type: ignore[attr-defined]
        time.sleep(0.5)
        # Loose parts stand beside, and do not make the job smaller.
        assert driver.execute_script("const parts = view.placed;" + ALL_IN_SIGHT), (width, height)  # type: ignore[attr-defined]
        every = "tools('all').click(); const parts = PARTS;" + ALL_IN_SIGHT
        assert driver.execute_script(every), (width, height)  # type: ignore[attr-defined]
        driver.execute_script("view.fit()")  # type: ignore[attr-defined]


def test_nothing_lies_on_the_cut_list_and_the_checks(desk: Look) -> None:
    """The view stays in sight beside a part's sheet, and only there."""
    for section in ("#cut-list", "#checks"):
        at = f"const e = $('{section}'); e.scrollIntoView(); const b = e.getBoundingClientRect();"
        seen = "return e.contains(document.elementFromPoint(b.left + 40, Math.min(b.bottom, innerHeight) - 60))"
        assert desk.do(at + seen), section


def test_what_moves_is_on_the_page(text: str) -> None:
    arm = page_of(work_on(DEMO.with_name("curlew-arm.toml")))
    assert 'href="#movement"' in arm
    assert "Travel: wheel travel" in arm
    assert arm.count("<svg") >= 9
    assert "camber" in arm
    assert "#movement" not in text.replace("h-movement", "")


def test_no_error_and_no_request(desk: Look, page: Path) -> None:
    desk.click(*desk.do(MIDDLE_OF, "T3"))
    desk.do("for (const name of ['names', 'alone', 'glass', 'measure']) tools(name).click()")
    desk.settle()
    assert desk.faults() == []
    addresses = {address.split("#")[0] for address in desk.asked()} - {"about:blank"}
    assert {a for a in addresses if not a.startswith("data:")} == {page.as_uri()}


def test_opens_within_two_seconds_of_processor(desk: Look) -> None:
    desk.driver.execute_cdp_cmd("Performance.enable", {"timeDomain": "threadTicks"})  # type: ignore[attr-defined]
    desk.reload()
    found = desk.driver.execute_cdp_cmd("Performance.getMetrics", {})["metrics"]  # type: ignore[attr-defined]
    used = next(each["value"] for each in found if each["name"] == "TaskDuration")
    assert used < 2.0


def test_without_drawing_in_space_all_else_works(browser: object, page: Path) -> None:
    blind = "const own = HTMLCanvasElement.prototype.getContext; HTMLCanvasElement.prototype.getContext = "
    blind += "function (kind) { return kind === 'webgl' ? null : own.apply(this, arguments) }"
    script = browser.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": blind})  # type: ignore[attr-defined]
    try:
        look = Look(browser, page.as_uri(), DESK)
        assert look.do("return $('#blind').offsetParent !== null && $('#view').offsetParent === null")
        look.do("location.hash = '#part-B3'")
        look.settle()
        assert look.shown() == ["B3"]
        look.do("$('#step button').click(); $('#cuts tr[data-mark=\"P3\"] input').click()")
        assert look.shown() == ["B1"]
        assert look.faults() == []
    finally:
        browser.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", script)  # type: ignore[attr-defined]


def test_a_sheet_is_unfolded_when_it_is_opened_and_folded_when_another_is(desk: Look) -> None:
    assert desk.do("return $$('svg').length") == 0
    desk.open("B3")
    assert desk.do("return $$('article.part svg').length") >= 2
    assert "stock" in desk.do("return $('#own').innerText")
    desk.open("T3")
    assert desk.do("return $$('svg').length") == desk.do("return $$('article.part svg').length")
    # Two in a hurry: the one asked for last is what stands there.
    desk.do("choose('B3'); choose('P2')")
    desk.open("P2")
    assert desk.do("return $('#drawn svg').getAttribute('aria-label')").startswith("P2:")


def test_only_what_is_open_is_alive(desk: Look) -> None:
    assert desk.do("return document.getElementsByTagName('*').length") < 1500


def test_like_tubes_share_their_drawings(tmp_path: Path) -> None:
    tube = '[[tube]]\nmark = "R{}"\nsection = "42.4 x 2.6"\nroute = [[0, {}, 0], [{}, {}, 0]]\n'
    rails = "".join(tube.format(i, 500 * i, 700 + 20 * (i == 3), 500 * i) for i in range(4))
    job = tmp_path / "rails.toml"
    job.write_text('[job]\ntitle = "Rails"\nnumber = "RA-1"\nunits = "mm"\n' + rails, encoding="utf-8")
    text = page_of(work_on(job))
    drawn = {mark: number for mark, *_, number in data_of(text)["sheets"]}
    assert drawn["R0"] == drawn["R1"] == drawn["R2"] != drawn["R3"]
    assert "Drawn for R0 and 2 more made alike" in sheet_of(text, "R2")[-1]
    assert "made alike" not in sheet_of(text, "R3")[-1]


@pytest.mark.parametrize("mark", ["", "B3"])
def test_prints_the_lists_and_the_sheet_that_is_open(desk: Look, mark: str) -> None:
    if mark:
        desk.open(mark)
    desk.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})  # type: ignore[attr-defined]
    try:
        assert desk.shown() == ([mark] if mark else [])
        assert desk.do("return $('#cut-list').offsetParent") is not None
    finally:
        desk.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})  # type: ignore[attr-defined]


def test_the_live_page_shows_what_is_made_and_what_is_wrong(browser: object, followed: tuple[Path, State, str]) -> None:
    job, _, address = followed
    look = Look(browser, address, DESK)
    job.write_text(SMALL.replace('"60.3 x 3.2"', '"60.3 x 99"'), encoding="utf-8")
    assert "ear.toml:" in _waited(look, "return $('#fault') && $('#fault').innerText")
    job.write_text(SMALL.replace('"Ear"', '"Mended"'), encoding="utf-8")
    assert _waited(look, "return $('h1').innerText === 'Mended' && !$('#fault')")
    assert {each.split("?")[0] for each in look.asked()} - {"about:blank", "data:,"} == {address, address + "told"}


def _waited(look: Look, query: str, most: float = 15.0) -> str:
    from selenium.common.exceptions import JavascriptException

    begun = time.monotonic()
    while time.monotonic() - begun < most:
        try:
            if found := look.do(query):
                return str(found)
        except JavascriptException:
            pass  # between two pages
        time.sleep(0.05)
    raise AssertionError(f"waited {most} s for {query}")


# -- accessibility ------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("mark", ["", "T10", "B1"])
def test_axe_finds_no_fault(
    browser: object, page: Path, axe: str, size: tuple[int, int], mark: str, scheme: str
) -> None:
    """WCAG 2.1 levels A and AA and axe's best practices: none of any weight, by day and by night."""
    look = Look(browser, page.as_uri(), size)
    look.seen_by(("prefers-color-scheme", scheme), ("prefers-reduced-motion", "reduce"))
    if mark:
        look.open(mark)
        look.do("DOES.cut(); DOES.measure()")
    look.do(axe)
    found = look.driver.execute_async_script(AXE)  # type: ignore[attr-defined]
    assert found == []
