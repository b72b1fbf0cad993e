"""What used to end in a traceback: odd outputs, odd inputs, Ctrl-C while the program loads, faults while watching."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from fabgen.app.page_server import State, watch
from fabgen.app.starters import starters
from fabgen.job.errors import JobError
from fabgen.job.reader import read_text
from fabgen.job.text.text_file import LARGEST_FILE, text_of
from fabgen.parts.build import all_pieces

HEAD = '[job]\ntitle = "x"\nnumber = "x"\nunits = "mm"\n'
CHECK = [sys.executable, "-m", "fabgen", "check", str(starters()["plates"])]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full here")
def test_output_that_cannot_be_printed_is_told() -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run(CHECK, stdout=full, stderr=subprocess.PIPE, text=True)
    assert (done.returncode, done.stderr) == (3, "cannot print what was found: No space left on device\n")


@pytest.mark.skipif(os.name == "nt", reason="needs a shell that closes its output")
def test_a_closed_output_is_told() -> None:
    done = subprocess.run(["sh", "-c", 'exec "$@" >&-', "sh", *CHECK], stderr=subprocess.PIPE, text=True)
    assert (done.returncode, done.stderr) == (3, "cannot print what was found: standard output is closed\n")


@pytest.mark.parametrize("module", ["fabgen.cli", "typer", "fabgen.cli.make"])
def test_ctrl_c_while_the_program_loads_ends_quietly(module: str) -> None:
    """Ctrl-C at the moment that a module is looked for."""
    stopped = f"""
import runpy, sys
class Finder:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            raise KeyboardInterrupt
sys.meta_path.insert(0, Finder())
sys.argv = ["fabgen", "--version"]
runpy.run_module("fabgen", run_name="__main__")
"""
    done = subprocess.run([sys.executable, "-c", stopped], capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")


def test_the_installed_command_loads_nothing_before_it_waits_for_ctrl_c() -> None:
    text = (Path(__file__).parents[2] / "pyproject.toml").read_text()
    assert 'fabgen = "fabgen.__main__:main"' in text


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="there is no /dev/zero here")
def test_a_device_that_never_ends_is_refused() -> None:
    with pytest.raises(JobError, match="more than 2 million"):
        text_of(Path("/dev/zero"), "job file", "trailer.toml")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no pipes with names here")
@pytest.mark.parametrize("size", [100, LARGEST_FILE + 100_000])
def test_a_pipe_is_read_up_to_the_largest_job(tmp_path: Path, size: int) -> None:
    pipe = tmp_path / "job.toml"
    os.mkfifo(pipe)
    write = f"import sys\nopen(sys.argv[1], 'w').write('#' * {size})"
    with subprocess.Popen([sys.executable, "-c", write, str(pipe)], stderr=subprocess.DEVNULL):
        if size < LARGEST_FILE:
            assert text_of(pipe, "job file", "trailer.toml") == "#" * size
        else:
            with pytest.raises(JobError, match="more than 2 million"):
                text_of(pipe, "job file", "trailer.toml")


@pytest.mark.parametrize("count", [60, 978, 200_000])
@pytest.mark.parametrize("around", ["{} = 1", "[{}]", "a = {{ {} = 1 }}"])
def test_very_many_dotted_names_are_refused_with_their_line(count: int, around: str) -> None:
    with pytest.raises(JobError, match="more than 50 names joined by dots") as error:
        read_text(HEAD + around.format(".".join(["a"] * count)))
    assert error.value.problems[0].line == 5


def test_many_numbers_on_a_line_are_no_names() -> None:
    row = ", ".join(["1.5"] * 400)
    with pytest.raises(JobError) as error:
        read_text(HEAD + f'[[plate]]\nmark = "P1"\nthickness = 3\nrectangle = [{row}]\n')
    assert "dots" not in str(error.value)


@pytest.mark.parametrize("points", ['"a", "b", "b", "c", "d"', '"a", "b", "c", "d", "a"'])
@pytest.mark.parametrize("creases", ["[]", '["2-5"]', '["1-3"]'])
def test_a_panel_with_a_point_twice_is_one_clear_fault(points: str, creases: str) -> None:
    corners = "[points]\na = [0, 0, 0]\nb = [500, 0, 0]\nc = [500, 300, 0]\nd = [0, 300, 50]\n"
    cover = f'[[cover]]\nmark = "C1"\nshape = "panel"\nthickness = 1.5\npoints = [{points}]\ncreases = {creases}\n'
    job = read_text(HEAD + corners + cover)
    with pytest.raises(JobError, match="are one point") as error, job.locating():
        all_pieces(job.definitions)
    assert error.value.problems[0].line


def test_watching_goes_on_after_a_fault_of_the_program(tmp_path: Path) -> None:
    job, told, state = tmp_path / "job.toml", [], State("first")
    job.write_text("1")

    def build() -> str:
        if len(told) == 0:
            raise ZeroDivisionError("division by zero")
        return "second"

    def tell(text: str) -> None:
        told.append(text)
        if len(told) == 2:
            state.end()
        job.write_text("1" * (len(told) + 2))

    begun = time.monotonic()
    watch(state, [job], build, tell, seen=[(0, 0)])
    assert time.monotonic() - begun < 60.0
    assert told[0].startswith("an error in this program: ZeroDivisionError: division by zero")
    assert state.page == "second"
