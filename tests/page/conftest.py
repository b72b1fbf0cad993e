"""A real browser, and the accessibility checker that runs in it."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest


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
