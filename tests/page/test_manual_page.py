"""The manual: every table told, every example part of a job that is made, every command run, read in a browser."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest
from opened import AXE, DESK, PHONE, Look
from test_all_pages import JOBS
from typer.testing import CliRunner

from fabgen.app.starters import samples, starters
from fabgen.checks.registry import groups
from fabgen.cli import app
from fabgen.documents.manual.excerpts import blocks, excerpts, extra
from fabgen.documents.manual.notes import Block, blocks_of, set_in_type
from fabgen.documents.manual.pictures import examples, shown
from fabgen.job.key_help.keys_text import table_entries, tables
from fabgen.job.tables.bracket_tables import SHAPES
from fabgen.job.tables.cover_tables import COVER_SIZES
from fabgen.job.tables.flat_tables import HoleGiven
from fabgen.job.tables.place_tables import PlaceGiven
from fabgen.shop.tables import data

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def manual(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("manual")
    done = CliRunner().invoke(app, ["manual", "--out", str(out)])
    assert done.exit_code == 0, done.output
    assert done.output.strip() == (out / "manual.html").as_posix()
    return out / "manual.html"


def test_every_key_command_and_starter_is_told(manual: Path) -> None:
    text = unescape(manual.read_text(encoding="utf-8"))
    for name in tables():
        for table in table_entries(name):
            assert table.heading in text
            for key in table.keys:
                assert f">{key.name}</th>" in text
                assert key.meaning or key.choices, f"{table.heading} {key.name} has no words"
                assert key.left_out
    for name, path in starters().items():
        assert f'<h3 id="starter-{name}"><code>{name}</code></h3>' in text
        assert path.read_text(encoding="utf-8").strip() in text
    for command in ("make", "check", "look", "start", "cope", "bend", "book", "printer", "keys", "manual"):
        assert f"fabgen {command} " in text or f"fabgen {command}<" in text
    assert "--label-sheet" in text


def test_same_version_same_bytes(manual: Path, tmp_path: Path) -> None:
    CliRunner().invoke(app, ["manual", "--out", str(tmp_path)])
    assert (tmp_path / "manual.html").read_bytes() == manual.read_bytes()


def test_every_example_is_part_of_a_job_that_is_made() -> None:
    """Those jobs are all made, page by page, by test_all_pages.py."""
    found = excerpts([*starters().values(), *samples().values()])
    made = {path.name: path.read_text(encoding="utf-8") for path in JOBS}
    for name, example in found.items():
        assert example.text in made[example.file], name
        assert f"[{name}" in example.text
    assert {"job", "points", "tube", "link", "plate", "bracket", "cover", "stock", "bolt", "weld"} <= set(found)


@pytest.mark.parametrize("name", extra())
def test_further_examples_go_with_the_job_they_are_for(name: str, tmp_path: Path) -> None:
    example = extra()[name]
    path = tmp_path / example.file
    (base,) = [each for each in JOBS if each.name == example.file]
    path.write_text(f"{base.read_text(encoding='utf-8')}\n{example.text}\n", encoding="utf-8")
    done = CliRunner().invoke(app, ["check", str(path)])
    assert done.exit_code in (0, 1), done.output


def test_every_table_has_an_example() -> None:
    found = excerpts([*starters().values(), *samples().values()])
    assert set(tables()) <= set(found) | set(extra())


def test_blocks_keep_their_remarks_and_leave_the_next_heading() -> None:
    lines = ["# about it", "[[tube]]", 'mark = "T1"', "", "# ------- next", "[[plate]]", "thickness = 3"]
    assert list(blocks(lines)) == [("tube", lines[:3]), ("plate", lines[5:])]


def test_the_first_ten_minutes_as_they_stand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for step in data("begin", "fabgen.documents.manual")["step"]:
        if step["line"]:
            done = CliRunner().invoke(app, step["line"].split()[1:])
            assert done.exit_code == 0, f"{step['title']}: {done.output}"
    assert {"tube-templates.pdf", "cut-list.pdf", "page.html"} <= {p.name for p in (tmp_path / "output/mine").iterdir()}


def test_every_starter_opens_with_comments_that_teach() -> None:
    for name, path in starters().items():
        opening = re.match(r"(?:#.*\n)+", path.read_text(encoding="utf-8"))
        assert opening is not None, name
        lines = [line.strip("# \n") for line in opening[0].splitlines()]
        assert len([line for line in lines if line]) >= 3, name


def test_accuracy_names_tests_that_are_there() -> None:
    for each in data("accuracy", "fabgen.documents.manual")["output"]:
        assert each["tests"]
        for test in each["tests"]:
            assert (ROOT / test).is_file(), test
        assert all(each[key] for key in ("name", "within", "against", "not_covered"))


def test_every_rule_is_listed_with_its_levels_and_its_source(manual: Path) -> None:
    text = unescape(manual.read_text(encoding="utf-8"))
    for group in groups():
        assert f">{group.about}</h3>" in text
        for rule in group.rules:
            about = unescape(set_in_type(rule.about, frozenset(tables())))
            listed = text[text.index(f"<li>{about} ") :].split("</li>")[0]
            assert listed.endswith(f"; {rule.source}</small>")
            assert all(level.word in listed for level in rule.levels)


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_it_is_read_without_a_network_and_fits_the_screen(browser: object, manual: Path, size: tuple[int, int]) -> None:
    look = Look(browser, manual.as_uri(), size)
    assert look.faults() == []
    assert look.asked() <= {manual.as_uri(), "about:blank"}
    assert look.do("return document.documentElement.scrollWidth <= innerWidth")


def test_the_contents_have_every_heading_and_no_section_is_empty(manual: Path) -> None:
    text = manual.read_text(encoding="utf-8")
    main, contents = text[text.index("<main>") :], text[text.index("<nav") : text.index("</nav>")]
    headings = re.findall(r'<h([234]) id="([^"]+)">', main)
    assert len(headings) == main.count("<h2") + main.count("<h3") + main.count("<h4") == contents.count("<li")
    assert re.findall(r'href="#([^"]+)"', contents) == [id for _, id in headings]
    assert len({id for _, id in headings}) == len(headings)
    for below in re.split(r"</h[234]>", main)[1:]:
        assert len(re.sub("<[^>]+>", "", below.split("<h")[0]).strip()) > 20


def test_every_shape_pattern_and_way_of_placing_is_drawn(manual: Path) -> None:
    cases: dict[str, set[str]] = {}
    for each in examples():
        cases.setdefault(each.of, set()).add(each.case)
    assert cases["bracket"] == set(SHAPES)
    assert cases["cover"] == set(COVER_SIZES)
    assert {"at", "length", "row", "grid", "circle"} == cases["plate-holes"] <= set(HoleGiven.model_fields)
    ways = {"against", "side", "near", "gauge", "stands_on", "turn", "between", "along", "hole"}
    assert ways <= set(PlaceGiven.model_fields)
    assert cases["plate-place"] == ways | {"foot"}
    text = manual.read_text(encoding="utf-8")
    assert text.count("<figure") == len(examples())


def test_pictures_name_the_sizes_that_keys_give() -> None:
    drawn = {each.example.name: "".join(one.svg for one in each.drawings) for each in shown("bracket")}
    for name, words in {
        "angle": ("60 legs", "40 legs", "80 length"),
        "channel": ("70 web", "50 flanges", "35 flanges", "90 length"),
        "hat": ("52 crown", "34 sides", "28 brims", "110 length"),
        "box": ("140 base", "90 base", "40 height"),
        "clevis": ("65 height", "60 length"),
        "ear": ("62 width", "71 height"),
    }.items():
        assert all(f">{word}<" in drawn[name] for word in words), name
    assert ">3 edge<" not in drawn["without a shape: a base and its flanges"]


def test_a_note_is_set_as_paragraphs_lists_and_drawings() -> None:
    note = "About it: all\nof it.\n\none: a\n     b\ntwo:  c\n\n  |--|\n  |  |"
    assert list(blocks_of(note)) == [
        Block(text="About it: all of it."),
        Block(rows=(("one", "a b"), ("two", "c"))),
        Block(drawing="  |--|\n  |  |"),
    ]
    assert set_in_type("`a < b` of [[tube]], [[x]] & so", frozenset({"tube"})) == (
        '<code>a &lt; b</code> of <a href="#table-tube">[[tube]]</a>, [[x]] &amp; so'
    )


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_search_is_worked_by_keyboard_and_says_when_nothing_is_found(
    browser: object, manual: Path, size: tuple[int, int]
) -> None:
    look = Look(browser, manual.as_uri(), size)
    look.driver.find_element("tag name", "body").send_keys("/")  # type: ignore[attr-defined]
    look.press("[[bracket]]")
    assert "places" in look.do("return document.getElementById('count').textContent")
    look.press("\ue015")  # arrow down: the heading itself is the first
    look.press("\ue007")
    assert look.do("return document.activeElement.id") == "table-bracket"
    top = look.do("return document.activeElement.getBoundingClientRect().top")
    assert -2 <= top <= size[1] / 2
    look.press("/")
    look.press("\ue00c")
    look.press("zzqq")
    assert "Nothing found" in look.do("return document.getElementById('count').textContent")
    assert look.do("return document.getElementById('found').childElementCount") == 0
    look.press("\ue00c")
    assert look.do("return document.getElementById('wanted').value") == ""
    assert look.faults() == []


@pytest.mark.slow
def test_axe_finds_no_fault_in_the_manual(browser: object, manual: Path, axe: str) -> None:
    look = Look(browser, manual.as_uri(), DESK)
    look.do(axe)
    assert look.driver.execute_async_script(AXE) == []  # type: ignore[attr-defined]
