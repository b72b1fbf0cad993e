"""What is printed where somebody looks on, where the output goes on, and what Tab offers."""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from fabgen.app.starters import starters
from fabgen.checks.rule import Finding
from fabgen.cli import app
from fabgen.cli.completing import starter_names, toml_files
from fabgen.cli.terminal import in_order, show_findings
from fabgen.wording.levels import Level
from fabgen.wording.sentence import sentence

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sample_parts" / "curlew-trailer.toml"
FABGEN = Path(sys.executable).with_name("fabgen")

needs_script = pytest.mark.skipif(not FABGEN.exists() or os.name != "posix", reason="no fabgen command, or no pty")


def on_a_terminal(*words: str) -> str:
    """What the command prints to a terminal of 100 columns."""
    import pty

    pid, master = pty.fork()
    if pid == 0:
        os.environ.update(COLUMNS="100", TERM="xterm", NO_COLOR="1")
        os.execv(FABGEN, ["fabgen", *words])
    told = b""
    while True:
        try:
            more = os.read(master, 65536)
        except OSError:
            break
        if not more:
            break
        told += more
    os.waitpid(pid, 0)
    return told.decode()


def test_stops_come_first_and_equal_findings_are_told_once() -> None:
    found = [
        Finding(Level.NOTE, ("T1",), "a", "one"),
        Finding(Level.STOP, ("T2",), "b", "two"),
        Finding(Level.WARN, ("T3",), "c", "three"),
        Finding(Level.NOTE, ("T4",), "a", "one"),
        Finding(Level.NOTE, ("T1",), "a", "one"),
    ]
    assert [(f.level, f.mark) for f in in_order(found)] == [("stop", "T2"), ("warn", "T3"), ("note", "T1, T4")]


def test_piped_output_is_one_plain_line_a_finding() -> None:
    told = CliRunner().invoke(app, ["check", str(DEMO)]).stdout
    lines = told.splitlines()
    assert re.fullmatch(r"\d+ notes, in full with --notes", lines[-3])
    assert re.fullmatch(r"\d+ marks read and checked; nothing written", lines[-2])
    assert lines[-1].startswith("not checked: strength, fatigue")
    assert all(line.split("  ")[0] in ("STOP", "look", "note") for line in lines[:-3])
    assert "\x1b" not in told
    assert "─" not in told
    assert len(set(lines)) == len(lines)


def told_of(marks_and_rules: list[tuple[str, str, Level]], whole: str = "in cut-list.pdf") -> list[str]:
    """The lines printed of findings with these marks, rules and levels."""
    text = "closed all round by welds, so that gas in it can burst it when it is welded, heated or galvanized: drill it"
    findings = [Finding(level, (mark,), rule, sentence(text, " at ", mark)) for mark, rule, level in marks_and_rules]
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        show_findings(findings, whole)
    return printed.getvalue().splitlines()


def test_looks_are_told_in_full_and_notes_folded_to_a_line_a_kind() -> None:
    looks = [(f"T{n}", f"look-{n}", Level.WARN) for n in (10, 2, 1)]
    notes = [(f"P{n}", f"kind-{n % 3}", Level.NOTE) for n in range(1, 40)]
    lines = told_of([*notes, *looks])
    assert [line.split(":")[0] for line in lines[:3]] == ["look  T1", "look  T2", "look  T10"]
    assert all(line.endswith(f"drill it at T{n}") for line, n in zip(lines[:3], (1, 2, 10), strict=True))
    assert len(lines) == 3 + 3 + 1
    assert lines[-1] == "39 notes, in full in cut-list.pdf"
    assert all(len(line) <= 120 and line.endswith("...") for line in lines[3:6])
    assert "P1; like it P4, P7, P10 and 9 more: " in lines[3]


def test_a_screen_holds_what_is_found_of_a_job_with_few_faults() -> None:
    told = CliRunner().invoke(app, ["check", str(DEMO)]).stdout
    assert len(told.splitlines()) <= 24


def test_notes_in_full_are_asked_for() -> None:
    """A rack of shelves has few marks: what is folded stands in the full list word for word."""
    job = str(ROOT / "templates" / "bars.toml")
    folded = CliRunner().invoke(app, ["check", job]).stdout.splitlines()
    full = CliRunner().invoke(app, ["check", job, "--notes"]).stdout.splitlines()
    assert not any("in full" in line for line in full)
    assert len([line for line in full if line.startswith("note")]) >= len(
        [line for line in folded if line.startswith("note")]
    )


def test_no_colour_where_none_is_wanted() -> None:
    """NO_COLOR is set for `on_a_terminal`: tables may be bold, nothing is coloured."""
    assert not re.search(
        r"\x1b\[(?:\d+;)*(?:3[0-7]|9[0-7])m", on_a_terminal("check", str(ROOT / "templates/bars.toml"))
    )


def test_help_is_not_cut_off() -> None:
    told = CliRunner().invoke(app, ["--help"], env={"COLUMNS": "80"}).stdout
    assert "..." not in told.split("Commands:")[1]


@needs_script
def test_a_terminal_gets_a_table() -> None:
    told = on_a_terminal("check", str(DEMO))
    assert "what was found" in told
    assert "───" in told
    shown = re.sub(r"\x1b\[[0-9;]*m", "", told).replace("\r", "\n")
    assert max(len(line) for line in shown.splitlines()) <= 100


@needs_script
def test_starters_are_listed_as_a_table_on_a_terminal_and_plainly_elsewhere() -> None:
    assert "what it is for" in on_a_terminal("start")
    plain = CliRunner().invoke(app, ["start"]).stdout
    assert "what it is for" not in plain
    assert [line.split()[0] for line in plain.splitlines()[:-2]] == sorted(starters())


def test_quiet_says_nothing_but_stops(tmp_path: Path) -> None:
    for words in (["check"], ["make", "--out", str(tmp_path)], ["look", "--out", str(tmp_path)]):
        result = CliRunner().invoke(app, [words[0], str(ROOT / "templates" / "tubes.toml"), "--quiet", *words[1:]])
        assert (result.exit_code, result.output) == (0, "")
    wrong = (ROOT / "templates" / "plates.toml").read_text().replace("thickness = ", "thickness = 0.125 #", 1)
    path = tmp_path / "wrong.toml"
    path.write_text(wrong)
    result = CliRunner().invoke(app, ["check", str(path), "--quiet"])
    assert result.exit_code == 1
    assert all(line.startswith("STOP") for line in result.stdout.splitlines())


def test_check_as_json(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["check", str(DEMO), "--json"])
    told = json.loads(result.stdout)
    assert (told["stops"], result.exit_code) == (0, 0)
    assert told["marks"] > 30
    assert set(told["checks"][0]) == {"level", "mark", "marks", "rule", "text", "source"}
    bad = tmp_path / "bad.toml"
    bad.write_text('[job]\ntitle = "x"\nnumber = "1"\nunits = "mm"\n[[tubo]]\n')
    result = CliRunner().invoke(app, ["check", str(bad), "--json"])
    assert result.exit_code == 2
    (problem,) = json.loads(result.stdout)["problems"]
    assert problem["line"] == 5


def test_job_files_and_starters_are_offered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("one.toml", "other.toml", "note.txt", ".hidden.toml"):
        (tmp_path / name).touch()
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "three.toml").touch()
    assert toml_files("") == ["jobs/", "one.toml", "other.toml"]
    assert toml_files("o") == ["one.toml", "other.toml"]
    assert toml_files("jobs/") == ["jobs/three.toml"]
    assert toml_files("nowhere/") == []
    assert [name for name, _ in starter_names("t")] == ["trailer", "tubes"]


@needs_script
@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("fabgen start tu", "tubes"),
        ("fabgen check o", "one.toml"),
        ("fabgen keys bra", "bracket"),
        ("fabgen make one.toml --paper L", "Legal"),
        ("fabgen st", "start"),
    ],
)
def test_bash_completes(typed: str, offered: str, tmp_path: Path) -> None:
    """The installed script run by a real bash, as Tab would run it."""
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("no bash")
    (tmp_path / "one.toml").touch()
    words = typed.split()
    path = f"{FABGEN.parent}{os.pathsep}{os.environ['PATH']}"
    asked = subprocess.run(
        [str(FABGEN), "--show-completion", "bash"], capture_output=True, text=True, env=os.environ | {"PATH": path}
    )
    script = asked.stdout if asked.returncode == 0 and asked.stdout else _bash_script()
    quoted = " ".join(f"'{word}'" for word in words)
    lines = f"{script}\nCOMP_WORDS=({quoted}); COMP_CWORD={len(words) - 1}\n"
    lines += '_fabgen_completion fabgen; printf "%s\\n" "${COMPREPLY[@]}"\n'
    done = subprocess.run(
        [bash, "-c", lines], capture_output=True, text=True, cwd=tmp_path, env=os.environ | {"PATH": path}
    )
    assert offered in done.stdout.split(), done.stderr


def _bash_script() -> str:
    """The script as typer writes it, where it does not print it for a named shell."""
    from typer._completion_shared import get_completion_script

    return get_completion_script(prog_name="fabgen", complete_var="_FABGEN_COMPLETE", shell="bash")
