"""Shared by all tests: hand-made pieces that need no job file."""

from __future__ import annotations

import math
import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import random_seeds
from hypothesis import settings

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.space.frame import Frame
from fabgen.parts.piece import CutLine, FlatPart, Hole, Joint, LengthPart, Piece, WorkedEnd
from fabgen.shop.section import Section

settings.register_profile("fabgen", deadline=None, derandomize=True)
settings.register_profile("fresh", deadline=None, database=None)
settings.load_profile("fabgen")


# -- options: seeds of random tests, and how many cases -------------------------------
def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("random tests")
    about = "a new seed for all random tests, which is printed; or that of an earlier run"
    group.addoption("--fresh-seed", nargs="?", type=int, const=0, metavar="NUMBER", help=about)
    group.addoption("--full", action="store_true", help="the longest tests (-m slow) at their full count")


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Before tests are collected, and before hypothesis reads its own option."""
    if config.option.full:
        os.environ[random_seeds.FULL] = "1"
    if config.option.fresh_seed is None:
        return
    # The processes among which xdist shares the tests out read the wish for a seed again: theirs is that of the first.
    given = os.environ.get(random_seeds.FRESH, "0") if hasattr(config, "workerinput") else "0"
    config.option.fresh_seed = config.option.fresh_seed or int(given) or random_seeds.new_seed()
    os.environ[random_seeds.FRESH] = str(config.option.fresh_seed)
    settings.load_profile("fresh")
    config.option.hypothesis_seed = str(config.option.fresh_seed)
    if not hasattr(config, "workerinput"):
        print(_told(config), flush=True)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    if config.option.fresh_seed is not None:
        terminalreporter.write_line(_told(config))


def _told(config: pytest.Config) -> str:
    seed = config.option.fresh_seed
    return f"random tests with the fresh seed {seed}; the same again: --fresh-seed={seed}"


def plain_line(section: Section) -> CutLine:
    phi = np.radians(np.arange(360.0))
    return CutLine(phi, phi * section.width / 2.0, np.zeros(360))


def cope_line(section: Section, main: float, angle: float) -> CutLine:
    """Outer skin of a round branch on a round main of diameter `main`, by the closed form."""
    phi = np.radians(np.arange(360.0))
    r = section.width / 2.0
    y, z = r * np.cos(phi), r * np.sin(phi)
    return CutLine(phi, phi * r, (y * math.cos(angle) + np.sqrt((main / 2.0) ** 2 - z**2)) / math.sin(angle))


def make_tube(mark: str = "T1", length: float = 812.0, quantity: int = 1) -> Piece:
    section = Section("round", 48.3, 48.3, 3.2)
    x, y, z = np.eye(3)
    start = Frame(np.zeros(3), x, y, z)
    finish = Frame(np.array([length, 0.0, 0.0]), -x, y, -z)
    angle = math.radians(60.0)
    ends = (
        WorkedEnd("start", "cope", cope_line(section, 60.3, angle), start, math.pi / 2, (Joint("T9", angle, 0.0),)),
        WorkedEnd("finish", "plain", plain_line(section), finish, -math.pi / 2),
    )
    return Piece(mark, "tube", quantity, "S355", 2.9, LengthPart(section, length, length, ends, start))


def make_plate(mark: str = "P1", width: float = 120.0, height: float = 80.0, quantity: int = 1) -> Piece:
    holes = (Hole(Circle(30.0, 30.0, 11.0), "Ø11 for M10", "M10"), Hole(Outline.stadium(30.0, 9.0).moved(80.0, 40.0)))
    return Piece(mark, "plate", quantity, "S275", 0.5, FlatPart(6.0, Outline.rectangle(width, height, 8.0), holes))


@pytest.fixture(autouse=True)
def no_settings_of_the_user(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands run as for someone who has never corrected a printer."""
    monkeypatch.setenv("FABGEN_SETTINGS", str(tmp_path_factory.getbasetemp() / "no" / "settings.toml"))


# -- a real browser, and the accessibility checker that runs in it ---------------------
@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    chromium = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    driver = shutil.which("chromedriver")
    if chromium is None or driver is None:
        pytest.skip("no chromium with its chromedriver on the path")
    options = webdriver.ChromeOptions()
    options.binary_location = chromium
    for word in (
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        "--enable-unsafe-swiftshader",
        # No name of any host leads anywhere; what the page asks for all the same is seen in the log.
        "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1",
    ):
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    made = webdriver.Chrome(options=options, service=webdriver.ChromeService(driver))
    made.set_script_timeout(60)
    yield made
    made.quit()


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """axe-core (Deque, MPL-2.0) from the npm registry; FABGEN_AXE may name a copy of axe.min.js."""
    if given := os.environ.get("FABGEN_AXE"):
        return Path(given).read_text(encoding="utf-8")
    npm = shutil.which("npm")
    if npm is None:
        pytest.skip("no npm to get axe-core with")
    folder = tmp_path_factory.mktemp("axe")
    words = [npm, "install", "--prefix", str(folder), "--no-audit", "--no-fund", "--silent", "axe-core@4"]
    try:
        done = subprocess.run(words, capture_output=True, timeout=90, check=False)
    except subprocess.TimeoutExpired:
        pytest.skip("npm did not get axe-core in time")
    script = folder / "node_modules" / "axe-core" / "axe.min.js"
    if done.returncode or not script.exists():
        pytest.skip("npm could not get axe-core")
    return script.read_text(encoding="utf-8")
