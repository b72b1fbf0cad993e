"""The word to the test command that gives random tests a fresh seed: it is printed and can be given again."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

INSIDE = """
import random_seeds
from hypothesis import given, strategies as st

def test_seed(request):
    print("first", random_seeds.first_seed(5), "many", random_seeds.how_many(9, 2))

@given(st.integers(0, 10**9))
def test_drawn(number):
    print("drawn", number)
"""
TESTS = Path(__file__).parent


def run(folder: Path, *words: str) -> str:
    (folder / "conftest.py").write_text((TESTS / "conftest.py").read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "random_seeds.py").write_text((TESTS / "random_seeds.py").read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "test_inside.py").write_text(INSIDE, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-s", "-p", "no:cacheprovider", "--rootdir", str(folder), *words]
    environment = {key: value for key, value in os.environ.items() if not key.startswith("FABGEN_TESTS")}
    environment["PYTHONPATH"] = str(TESTS.parent)
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def drawn(output: str) -> list[str]:
    return re.findall(r"(?:first|drawn) \d+", output)


def test_without_it_seeds_are_fixed(tmp_path: Path) -> None:
    one, other = run(tmp_path), run(tmp_path)
    assert drawn(one) == drawn(other)
    assert "first 5 many 2" in one
    assert "fresh seed" not in one


def test_a_fresh_seed_prints_itself_and_can_be_given_again(tmp_path: Path) -> None:
    fixed, fresh = run(tmp_path), run(tmp_path, "--fresh-seed", "--full")
    seeds = set(re.findall(r"--fresh-seed=(\d+)", fresh))
    assert len(seeds) == 1
    (seed,) = seeds
    assert f"first {5 + 1_000_000 * int(seed)} many 9" in fresh
    assert drawn(fresh) != drawn(fixed)
    assert drawn(run(tmp_path, f"--fresh-seed={seed}")) == drawn(fresh)


@pytest.mark.parametrize("words", [(), ("-n", "2")], ids=["alone", "shared out"])
def test_all_processes_have_the_one_seed(tmp_path: Path, words: tuple[str, ...]) -> None:
    assert "random tests with the fresh seed 77;" in run(tmp_path, "--fresh-seed=77", *words)
