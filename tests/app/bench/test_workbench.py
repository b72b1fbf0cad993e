"""The bench without a browser: small edits of the file, undone and redone, beside an editor; and who is answered."""

from __future__ import annotations

import http.client
import json
import random
import threading
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from fabgen.app.bench.bench_server import MOST_ASKED, BenchServer
from fabgen.app.bench.job_form import job_list, table_form
from fabgen.app.bench.serving import served
from fabgen.app.bench.session import Asked, Session
from fabgen.app.bench.workbench import RefusedError, Workbench
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Definitions

SMALL = """# an ear, and what it sits on
[job]
title = "Ear"     # said once
number = "E1"
units = "mm"

[dimensions]
long = "300 mm"

[[tube]]
mark = "T1"
section = "60.3 x 3.2"
route = [[0, 0, 0], ["long", 0, 0]]   # along x

[[plate]]
mark = "P1"
thickness = 3
disc = 50
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "ear.toml"
    path.write_text(SMALL, encoding="utf-8")
    return path


def bench_of(job: Path) -> Workbench:
    return Workbench(job, job.parent / "output" / job.stem)


# -- edits ----------------------------------------------------------------------------
def test_a_field_changes_its_own_place_alone(job: Path) -> None:
    bench = bench_of(job)
    bench.set(0, ("plate", 0), "disc", "60")
    assert job.read_text() == SMALL.replace("disc = 50", "disc = 60")
    bench.set(1, ("tube", 0), "section", "48.3 x 3.2")
    assert job.read_text() == SMALL.replace("disc = 50", "disc = 60").replace("60.3 x 3.2", "48.3 x 3.2")
    bench.back()
    bench.back()
    assert job.read_text() == SMALL
    bench.forward()
    assert job.read_text() == SMALL.replace("disc = 50", "disc = 60")


@pytest.mark.parametrize(
    ("at", "key", "typed", "written"),
    [
        (("plate", 0), "disc", "long / 4", '"long / 4"'),
        (("plate", 0), "disc", "2 3/8 in", '"2 3/8 in"'),
        (("plate", 0), "disc", '2 3/8"', '"2 3/8\\""'),
        (("plate", 0), "disc", "52.5", "52.5"),
        (("tube", 0), "title", "7", '"7"'),
        (("tube", 0), "title", 'the "long" one', '"the \\"long\\" one"'),
        (("tube", 0), "quantity", "2", "2"),
        (("dimensions",), "long", "310", "310"),
        (("dimensions",), "wide", "long / 2", '"long / 2"'),
        (("job",), "date", "2026-03-14", "2026-03-14"),
        (("tube", 0), "route", '[[0, 0, 0], ["long", 0, 5]]', '[[0, 0, 0], ["long", 0, 5]]'),
    ],
)
def test_what_people_type_is_written_as_the_file_has_it(
    job: Path, at: tuple[str, ...], key: str, typed: str, written: str
) -> None:
    bench = bench_of(job)
    bench.set(0, at, key, typed)
    assert f"\n{key} = {written}" in job.read_text()
    assert bench.reading.job is not None


@pytest.mark.parametrize(
    ("at", "key", "typed", "said"),
    [
        (("plate", 0), "disc", "-3", "disc"),
        (("tube", 0), "section", "60.3 x 99", "section"),
        (("plate", 0), "disc", "lnog / 4", "long"),
        (("tube", 0), "mark", "P1", "P1"),
        (("plate", 0), "thicknes", "3", "thickness"),
        (("plate", 0), "disc", "50\nunits = 3", "disc"),
        (("nothing",), "disc", "50", "heading"),
    ],
)
def test_what_does_not_read_is_refused_in_words_and_the_file_stays(
    job: Path, at: tuple[str, ...], key: str, typed: str, said: str
) -> None:
    with pytest.raises(RefusedError, match=said):
        bench_of(job).set(0, at, key, typed)
    assert job.read_text() == SMALL


def test_the_former_text_is_kept_at_the_first_change_alone(job: Path) -> None:
    bench = bench_of(job)
    for number, size in enumerate(("60", "70", "80")):
        bench.set(number, ("plate", 0), "disc", size)
    assert job.with_name("ear.toml.bak").read_text() == SMALL


def test_a_text_that_does_not_read_is_kept_and_told(job: Path) -> None:
    bench = bench_of(job)
    bench.rewrite(0, SMALL.replace("disc = 50", "disc = = 50"))
    assert "= = 50" in job.read_text()
    assert bench.reading.job is None
    assert [each.line for each in bench.reading.faults] == [18]
    bench.back()
    assert bench.reading.job is not None


def test_deleting_says_what_hangs_on_it(job: Path) -> None:
    job.write_text(SMALL + '\n[[weld]]\nof = "P1"\non = "T1"\nthroat = 3\n')
    bench = bench_of(job)
    assert bench.depends(0, ("tube", 0)) == ["weld P1 on"]
    bench = bench_of(job)
    bench.remove(0, ("weld", 0))
    assert bench.reading.job is not None
    assert "[[weld]]" not in job.read_text()


def test_no_file_outside_the_folder_is_read(job: Path) -> None:
    other = job.parent.parent / "secret.toml"
    other.write_text("word = = 'told'\n")
    bench = bench_of(job)
    with pytest.raises(RefusedError, match="outside"):
        bench.set(0, ("job",), "rod_ends", "../secret.toml")
    bench.rewrite(0, SMALL.replace('units = "mm"', f'units = "mm"\nrod_ends = "{other}"'))
    assert bench.reading.job is None
    assert "told" not in str([each.what for each in bench.reading.faults])


# -- beside an editor -------------------------------------------------------------------
def test_an_editors_change_is_merged_or_asked_about(job: Path) -> None:
    bench = bench_of(job)
    job.write_text(SMALL.replace('title = "Ear" ', 'title = "Lug" '))
    bench.set(0, ("plate", 0), "disc", "60")
    assert 'title = "Lug" ' in job.read_text()
    assert "disc = 60" in job.read_text()
    number = bench.session.now[0]
    job.write_text(job.read_text().replace("disc = 60", "disc = 61"))
    asked = bench.set(number, ("plate", 0), "disc", "62")
    assert isinstance(asked, Asked)
    assert "disc = 61" in job.read_text()
    bench.set(number, ("plate", 0), "disc", "62", own_first=True)
    assert "disc = 62" in job.read_text()
    bench.back()
    assert "disc = 61" in job.read_text()
    bench.back()
    assert "disc = 60" in job.read_text()
    bench.back()
    bench.back()
    assert job.read_text() == SMALL


def test_two_sides_at_once_lose_nothing(tmp_path: Path) -> None:
    """1,000 changes by two sides in a random order, on the disk: what was taken and not asked about is there."""
    path, count = tmp_path / "job.toml", 40
    path.write_text("".join(f"k{i} = 0\n# {i}\n" for i in range(count)))
    session, chance = Session(path), random.Random(16)
    kept = dict.fromkeys(range(count), "0")
    seen = session.now
    for turn in range(1000):
        line, who = chance.randrange(count), chance.random()
        if who < 0.15:
            session.look()
            seen = session.now
        elif who < 0.5:
            path.write_text(path.read_text().replace(f"k{line} = {kept[line]}\n", f"k{line} = e{turn}\n"))
            kept[line] = f"e{turn}"
        else:
            old = next(row for row in seen[1].text.splitlines() if row.startswith(f"k{line} = "))
            done = session.change(seen[0], seen[1].text.replace(f"{old}\n", f"k{line} = p{turn}\n"), "k")
            if isinstance(done, Asked):
                assert old != f"k{line} = {kept[line]}"
                continue
            kept[line] = f"p{turn}"
            seen = session.now
        assert path.read_text() == "".join(f"k{i} = {kept[i]}\n# {i}\n" for i in range(count))


def test_threads_that_change_and_undo_at_once_break_nothing(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text("".join(f"k{i} = 0\n# {i}\n" for i in range(4)))
    session = Session(path)

    def work(line: int) -> None:
        for turn in range(15):
            number, history = session.now
            rows = history.text.splitlines(keepends=True)
            rows[2 * line] = f"k{line} = {turn}\n"
            session.change(number, "".join(rows), "k", own_first=True)

    threads = [threading.Thread(target=work, args=(i,)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert path.read_text() == "".join(f"k{i} = 14\n# {i}\n" for i in range(4))


# -- who is answered ----------------------------------------------------------------------
@pytest.fixture
def server(job: Path) -> Iterator[BenchServer]:
    with served(bench_of(job)) as made:
        yield made


def asked(
    server: BenchServer, way: str, path: str, headers: dict[str, str] | None = None, body: bytes | None = None
) -> tuple[int, bytes]:
    line = http.client.HTTPConnection("127.0.0.1", server.server_address[1], timeout=20)
    try:
        line.request(way, path, body, headers or {})
        answer = line.getresponse()
        return answer.status, answer.read()
    finally:
        line.close()


def test_nothing_without_the_token_or_from_elsewhere(server: BenchServer, job: Path) -> None:
    home, own = f"/{server.token}/", f"http://{server.hosts[0]}"
    assert asked(server, "GET", home)[0] == 200
    for path in ("/", "/page.html", "/wrong/", f"/{server.token[:-1]}/", f"//{server.token}x/"):
        assert asked(server, "GET", path)[0] == 403
    for headers in (
        {"Host": "elsewhere.example"},
        {"Host": f"elsewhere.example:{server.server_address[1]}"},
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
    ):
        assert asked(server, "GET", home, headers)[0] == 403
    for path in ("../ear.toml", "papers/../ear.toml", "papers/..%2f..%2fear.toml", "papers//etc/passwd", "ear.toml"):
        assert asked(server, "GET", home + path)[0] == 404
    change = json.dumps({"window": "", "number": 0, "at": ["plate", 0], "key": "disc", "typed": "60"}).encode()
    kind = {"Content-Type": "application/json"}
    for headers in (kind, {**kind, "Origin": "http://elsewhere.example"}, {**kind, "Origin": own, "Host": "a.example"}):
        assert asked(server, "POST", home + "set", headers, change)[0] == 403
    assert asked(server, "POST", home + "set", {"Origin": own, "Content-Type": "text/plain"}, change)[0] == 415
    # No window is open yet, and one that nobody knows may change nothing.
    named = change.replace(b'"window": ""', b'"window": "x"')
    assert asked(server, "POST", home + "set", {**kind, "Origin": own}, named)[0] == 409
    long = {**kind, "Origin": own, "Content-Length": str(MOST_ASKED + 1)}
    assert asked(server, "POST", home + "set", long, b"")[0] == 413
    assert asked(server, "POST", home + "set", {**kind, "Origin": own}, b"[" * 9999)[0] == 400
    assert job.read_text() == SMALL


def news_of(server: BenchServer, window: str) -> tuple[http.client.HTTPConnection, Any]:
    line = http.client.HTTPConnection("127.0.0.1", server.server_address[1], timeout=20)
    line.request("GET", f"/{server.token}/news?window={window}")
    return line, line.getresponse()


def heard(stream: Any, kind: str) -> Any:
    name = ""
    for raw in stream:
        row = raw.decode().strip()
        if row.startswith("event: "):
            name = row[7:]
        elif row.startswith("data: ") and name == kind:
            return json.loads(row[6:])
    raise AssertionError("the stream ended")


def test_the_first_window_changes_and_the_second_looks_on(server: BenchServer, job: Path) -> None:
    home, own = f"/{server.token}/", {"Content-Type": "application/json", "Origin": f"http://{server.hosts[0]}"}
    _, one = news_of(server, "one")
    assert heard(one, "first") is True
    line, two = news_of(server, "two")
    assert heard(two, "first") is False
    change = {"number": 0, "at": ["plate", 0], "key": "disc", "typed": "60"}
    assert asked(server, "POST", home + "set", own, json.dumps({**change, "window": "two"}).encode())[0] == 409
    assert job.read_text() == SMALL
    assert asked(server, "POST", home + "set", own, json.dumps({**change, "window": "one"}).encode())[0] == 200
    assert "disc = 60" in job.read_text()
    while heard(two, "job")["undo"] != "plate P1 disc set":
        pass
    line.close()


ROOT = Path(__file__).parents[3]


@pytest.mark.parametrize("path", sorted((ROOT / "sample_parts").glob("*.toml")), ids=lambda path: path.stem)
def test_every_table_of_a_sample_has_its_form(path: Path) -> None:
    """With the words that `keys` prints, and every value of the file that stands on its own."""
    text = path.read_text(encoding="utf-8")
    raw, loaded = tomllib.loads(text), read_text(text, path)
    listed = job_list(raw)
    assert [group["table"] for group in listed] == sorted(raw, key=list(Definitions.model_fields).index)
    for group in listed:
        for each in group["rows"]:
            made = table_form(text, raw, tuple(each["at"]), loaded)
            entry = raw[each["at"][0]] if len(each["at"]) == 1 else raw[each["at"][0]][each["at"][1]]
            assert {field["key"] for field in made["fields"] if field["given"]} == set(entry)
            for field in made["fields"]:
                if isinstance(entry.get(field["key"]), str):
                    assert field["value"] == entry[field["key"]]


def test_a_newer_change_ends_the_checks_of_an_older(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from fabgen.app.bench import workbench
    from fabgen.app.work import planned

    bench, ended = bench_of(job), []

    def counted(*said: Any) -> Any:
        if not ended:
            bench.set(0, ("plate", 0), "disc", "60")
        try:
            return planned(*said)
        finally:
            ended.append(bench.session.now[0])

    monkeypatch.setattr(workbench, "planned", counted)
    thread = threading.Thread(target=bench.build)
    thread.start()
    number, found = 0, list[Any]()
    while not any(each["number"] == 1 for each in found):
        number, news = bench.board.since(number, 20)
        found += [json.loads(text) for kind, text in news if kind == "findings"]
    bench.board.end()
    thread.join(5)
    assert [each["number"] for each in found] == [1]
    assert len(ended) == 2


def test_a_mark_is_renamed_wherever_it_is_named(job: Path) -> None:
    more = '\n[[weld]]   # P1 on T1\nof = "P1"\non = [\'T1\', "P1"]\ntitle = "T1"\nthroat = 3\n'
    job.write_text(SMALL + more)
    bench = bench_of(job)
    bench.set(0, ("tube", 0), "mark", "LONG-1")
    expected = SMALL.replace('"T1"', '"LONG-1"') + more.replace("'T1'", '"LONG-1"')
    assert job.read_text() == expected
    bench.back()
    assert job.read_text() == SMALL + more


def test_a_mark_that_a_point_has_too_is_renamed_alone(job: Path) -> None:
    text = SMALL.replace("[[tube]]", "[points]\nT1 = [0, 0, 0]\n\n[[tube]]").replace("[[0, 0, 0], [", '["T1", [')
    job.write_text(text)
    bench_of(job).set(0, ("tube", 0), "mark", "T9")
    assert job.read_text() == text.replace('mark = "T1"', 'mark = "T9"')
