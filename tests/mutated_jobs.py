"""Jobs with slips in them, made from all samples and starters by a seed, and what must hold of every one of them.

A job is thinned to a few of its parts, perhaps given one from another job, and then changed a little: by text
(lines lost, letters changed, brackets broken) or by value (figures, units, names, sections, choices).  Whatever comes
of it, `check` answers with findings or with faults on lines of the file, and `make` with a whole folder or none.

`python tests/mutated_jobs.py check 20000` and `… make 2000` run many, and print every seed that fails.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import random
import re
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from typer.testing import CliRunner

from fabgen.app.work import built, planned
from fabgen.cli import app
from fabgen.job.errors import JobError, Problem, describe, plain
from fabgen.job.reader import read_text

REPOSITORY = Path(__file__).parents[1]
SAMPLES = REPOSITORY / "sample_parts"
PATHS = [
    *sorted(REPOSITORY.glob("templates/*.toml")),
    *sorted(SAMPLES.glob("*.toml")),
    *sorted(SAMPLES.glob("*/*arm.toml")),
]
TEXTS = [path.read_text(encoding="utf-8") for path in PATHS]
LONGEST = 120.0
"""Seconds of computing after which a job counts as hanging; the usual one takes less than one."""
MOST_MEMORY = 6 * 1024**3
"""Bytes that a run by hand may take."""

SCRAPS = ['"', "'", "[", "]", "{", "}", "=", ",", "\n", "#", "\r", "\x00", "\x1b", "\ud7ff"]
VALUES = [
    *("-1", "0", "nan", "inf", "-inf", "1e999", "9" * 400, "0x" + "f" * 5000, "true", "false", "[]", "{}", '""', '"x"'),
    *('"\\u0000"', '"\\u001b[2J"', '"é"', "2026-03-14", "07:30:00", "2026-03-14T07:30:00Z", '"1/0 in"', '"sqrt(-1)"'),
    *('"9**9**9"', '"().x"', "[[[]]]", "{a=1}", '{ from = "FL", by = [0, 0, 0] }', '"mm"', '"FL"', '"cap"', '"48 x 3"'),
]
LITTLE = (0.5, 0.8, 0.9, 0.99, 1.01, 1.1, 1.25, 1.5, 2.0)
MUCH = (-1.0, 0.0, 0.001, 0.01, 0.1, 3.0, 10.0, 100.0, 1e4)
"""What figures are multiplied by."""
MATERIALS = ("S235", "S355J2H", "DC01", "304", "316L", "6082-T6", "6060-T66", "5754", "4130", "DX51D", "25CrMo4")
SECTIONS = (
    *("48.3 x 3.2", "33.7 x 2.6", "60.3 x 8", "21.3 x 2", "10 x 4", "60 x 40 x 3", "40 x 40 x 4", "20 x 60 x 2"),
    *("25 solid", "30 x 10 solid", "1 1/2 in x 0.120 in", "2 x 1 x 1/8 in", "200 x 100 x 10", "4 x 0.5"),
)
CHOICES = {  # words that take one another's place
    word: group
    for group in (
        ("inside", "outside"),
        ("left", "right"),
        ("start", "finish"),
        ("along", "across"),
        ("up", "down"),
        ("plain", "cope", "mitre", "plane"),
        ("clear", "outside"),
        ("cap", "panel", "skirt", "cone", "transition"),
        ("angle", "channel", "hat", "zed", "box", "tabbed", "clevis", "gusset", "saddle"),
        ("fillet", "butt"),
        ("above", "below", "ahead", "behind"),
        ("mm", "in"),
        MATERIALS,
        SECTIONS,
    )
    for word in group
}
SHARED = re.compile(
    r"\[+(?:job|dimensions|points|measuring|as_built|saw|motion|material|rod_end|former|stock|movement)\b"
)
"""Tables that stay when a job is thinned."""
_FIGURE = re.compile(r"(?<![\w.])-?[0-9]+(?:\.[0-9]+)?(?![\w.])")
_MARK = re.compile(r'^mark\s*=\s*"([^"\n]*)"', re.MULTILINE)
_QUOTED = re.compile(r'"([^"\n]*)"')


# -- making them ----------------------------------------------------------------------
def mutated(text: str, seed: int) -> str:
    """The text with a few random slips: values swapped for scraps, lines lost, doubled or moved, letters changed."""
    rng = random.Random(seed)
    lines = text.split("\n")
    for _ in range(rng.randint(1, 6)):
        i = rng.randrange(len(lines))
        slip = rng.randrange(7)
        if slip == 0 and "=" in lines[i]:
            lines[i] = lines[i].split("=")[0] + "= " + rng.choice(SCRAPS + VALUES)
        elif slip == 1:
            del lines[i]
        elif slip == 2:
            lines.insert(rng.randrange(len(lines)), lines[i])
        elif slip == 3 and lines[i]:
            at = rng.randrange(len(lines[i]))
            lines[i] = lines[i][:at] + rng.choice(SCRAPS + VALUES) + lines[i][at + 1 :]
        elif slip == 4 and "=" in lines[i]:
            key, value = lines[i].split("=", 1)
            lines[i] = f"{key.strip()[1:] or 'x'} = {value}"
        elif slip == 5:
            found = re.findall(r'"[^"]*"|\d+', lines[i])
            if found:
                lines[i] = lines[i].replace(rng.choice(found), rng.choice(SCRAPS + VALUES), 1)
        else:
            lines[i] = (
                lines[i].replace("[[", "[").replace("]]", "]") if rng.random() < 0.5 else f"[[{lines[i].strip('[]')}]]"
            )
        lines = lines or [""]
    return "\n".join(lines)


def job_text(seed: int) -> tuple[str, Path]:
    """A job with slips, and the file that it comes from; one in eight by text alone, the rest by value."""
    rng = random.Random(seed)
    which = rng.randrange(len(TEXTS))
    text = thinned(TEXTS[which], rng) if rng.random() < 0.85 else TEXTS[which]
    if rng.random() < 0.15:
        text += "\n" + rng.choice(_parts(rng.choice(TEXTS)))
    for _ in range(rng.choice((1, 1, 1, 1, 2, 2, 3, 4))):
        text = with_other_value(text, rng)
    return (mutated(text, seed) if rng.random() < 0.125 else text), PATHS[which]


def thinned(text: str, rng: random.Random) -> str:
    """The text with one to five of its parts and those that they name, or sometimes without what they name."""
    blocks = _blocks(text)
    parts = [i for i, block in enumerate(blocks) if not _is_shared(block)]
    marks = {found[1]: i for i in parts if (found := _MARK.search(blocks[i]))}
    if not marks:
        return text
    first = parts.index(rng.choice(list(marks.values())))
    kept = set(parts[first : first + rng.randint(1, 5)])
    waiting = [] if rng.random() < 0.1 else list(kept)
    while waiting:
        named = {marks[word] for word in _QUOTED.findall(_bare(blocks[waiting.pop()])) if word in marks} - kept
        kept |= named
        waiting += named
    return "\n".join(block for i, block in enumerate(blocks) if _is_shared(block) or i in kept)


def _blocks(text: str) -> list[str]:
    return re.split(r"\n(?=\[)", text)


def _is_shared(block: str) -> bool:
    return not block.startswith("[") or bool(SHARED.match(block))


def _parts(text: str) -> list[str]:
    return [block for block in _blocks(text) if not _is_shared(block)] or [""]


def with_other_value(text: str, rng: random.Random) -> str:
    """The text with one value that another slip of the pen, or another job, might have."""
    slip = rng.randrange(20)
    if slip <= 11 and (figures := list(_FIGURE.finditer(_bare(text)))):
        found = rng.choice(figures)
        value = float(found[0]) * rng.choice(LITTLE if rng.random() < 0.7 else MUCH)
        value += rng.choice((0.0, 0.0, 0.0, 1.0, -1.0, 0.1))
        return _put(text, found, f"{value:.6g}" if abs(value) < 1e6 else f"{value:.0f}")
    words = list(_QUOTED.finditer(_bare(text)))
    if slip <= 13 and words:
        found = rng.choice(words)
        alike = [word for word in words if _key_of(text, word) == _key_of(text, found)]
        return _put(text, found, f'"{rng.choice(alike if rng.random() < 0.8 else words)[1]}"')
    if slip <= 17 and (chosen := [word for word in words if word[1] in CHOICES]):
        found = rng.choice(chosen)
        return _put(text, found, f'"{rng.choice(CHOICES[found[1]])}"')
    lines = text.split("\n")
    keys = [i for i, line in enumerate(lines) if re.match(r"\s*\w+\s*=", line)]
    if slip == 18 and keys:
        del lines[rng.choice(keys)]
    elif slip == 19 and len(keys) > 1:
        one, other = rng.sample(keys, 2)
        lines[other] = lines[other].split("=")[0] + "=" + lines[one].split("=", 1)[1]
    return "\n".join(lines)


def _key_of(text: str, found: re.Match[str]) -> str:
    """The key in whose line the match lies."""
    return text[text.rfind("\n", 0, found.start()) + 1 : found.start()].split("=")[0].strip()


def _bare(text: str) -> str:
    """The text with remarks blanked out, every place where it was."""
    return re.sub(r"#[^\n]*", lambda found: " " * len(found[0]), text)


def _put(text: str, found: re.Match[str], other: str) -> str:
    return text[: found.start()] + other + text[found.end() :]


# -- what must hold ---------------------------------------------------------------------
class HangError(Exception):
    """A job took longer than `LONGEST`."""


@contextmanager
def bounded(seconds: float = LONGEST) -> Iterator[None]:
    """Ends with HangError after so many seconds of computing, however busy the machine is (not on Windows)."""

    def ring(*_: object) -> None:
        raise HangError(f"more than {seconds:g} s of computing")

    if not hasattr(signal, "setitimer"):
        yield
        return
    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def located(problems: list[Problem], text: str, name: str) -> None:
    """Every fault has the file and a line of it, and is printed plainly."""
    count = max(1, len(text.split("\n")))
    assert problems, "refused without a fault"
    for problem in problems:
        printed = describe(problem)
        assert problem.what, printed
        assert problem.line is not None, f"without a line: {printed}"
        assert 1 <= problem.line <= count, printed
        assert printed.startswith(f"{name}:{problem.line}: "), printed
        assert plain(printed) == printed, repr(printed)


def checked(seed: int) -> str:
    """What `check` makes of a job: 'refused', 'stop' or 'checked'.  Raises where it does not answer as it should."""
    text, source = job_text(seed)
    path = source.with_name("mutated.toml")
    with bounded():
        try:
            job = read_text(text, path)
            work = planned(job, built(job), None, None)
        except JobError as error:
            located(error.problems, text, str(path))
            return "refused"
    assert all(finding.text.strip() for finding in work.findings)
    return "stop" if any(finding.is_stop for finding in work.findings) else "checked"


def made(seed: int, folder: Path) -> str:
    """What `make` makes of a job: 'refused', 'stop' or 'made'.  Raises where it does not answer as it should."""
    text, source = job_text(seed)
    job, out = folder / "mutated.toml", folder / "output"
    job.write_bytes(text.encode("utf-8", "surrogatepass"))
    for beside in source.parent.glob("*rod-ends*.toml"):
        (folder / beside.name).write_bytes(beside.read_bytes())
    with bounded():
        done = CliRunner().invoke(app, ["make", str(job), "--out", str(out), "--quiet"])
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    if done.exit_code == 2:
        assert f"{job}:" in done.output, done.output
        assert re.search(rf"^{re.escape(str(job))}:[0-9]+: ", done.output, re.MULTILINE), done.output
        assert not out.exists() or not list(out.iterdir()), "written though refused"
        return "refused"
    assert done.exit_code in (0, 1), done.output
    whole(out, out / job.stem)
    return "stop" if done.exit_code else "made"


def whole(out: Path, target: Path) -> None:
    """The folder has all files that job.json lists, each complete, and nothing lies beside it."""
    assert [path.name for path in out.iterdir()] == [target.name]
    data = json.loads((target / "job.json").read_text(encoding="utf-8"), parse_constant=_no_number)
    files = {path.relative_to(target).as_posix() for path in target.rglob("*") if path.is_file()}
    assert set(data["files"]) == files - {"job.json"} or set(data["files"]) == files
    for name in files:
        content = (target / name).read_bytes()
        assert content, name
        if name.endswith(".pdf"):
            assert content.startswith(b"%PDF"), name
            assert content.rstrip().endswith(b"%%EOF"), name
        if name.endswith(".dxf"):
            assert content.rstrip().endswith(b"EOF"), name


def _no_number(text: str) -> float:
    raise AssertionError(f"{text} in job.json")


# -- many of them -----------------------------------------------------------------------
def made_aside(seed: int) -> str:
    """`made` in a folder of its own that is gone afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        return made(seed, Path(folder))


RUNS: dict[str, Callable[[int], str]] = {"check": checked, "make": made_aside}


def keep_memory() -> None:
    """From now on what takes more than `MOST_MEMORY` fails, and brings no other program down (not on Windows)."""
    try:
        import resource
    except ImportError:
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, most))


def answer(what: str, seed: int) -> tuple[int, str, float, str]:
    """(seed, what came of it, seconds of computing, the traceback where it failed)."""
    begun = time.process_time()
    try:
        came, told = RUNS[what](seed), ""
    except Exception:
        came, told = "FAILED", traceback.format_exc()
    return seed, came, time.process_time() - begun, told


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    options.add_argument("what", choices=sorted(RUNS))
    options.add_argument("count", type=int)
    options.add_argument("--first", type=int, default=0, help="the first seed")
    options.add_argument("--processes", type=int, default=multiprocessing.cpu_count())
    given = options.parse_args()
    seeds = range(given.first, given.first + given.count)
    came: Counter[str] = Counter()
    slowest: list[tuple[float, int]] = []
    with ProcessPoolExecutor(given.processes, initializer=keep_memory) as pool:  # ends where one of its processes does
        for seed, result, seconds, told in pool.map(partial(answer, given.what), seeds, chunksize=4):
            came[result] += 1
            slowest = sorted([*slowest, (seconds, seed)], reverse=True)[:5]
            if told:
                print(f"---- seed {seed}\n{told}", flush=True)
            if came.total() % 500 == 0:
                print(f"{came.total()}: {dict(came)}", file=sys.stderr, flush=True)
    print(f"{came.total()} jobs through {given.what}: {dict(sorted(came.items()))}")
    print("slowest: " + ", ".join(f"seed {seed} {seconds:.1f} s" for seconds, seed in slowest))
    return 1 if came["FAILED"] else 0


if __name__ == "__main__":
    raise SystemExit(main())
