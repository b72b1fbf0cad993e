"""A page open in a real browser, and what to do with it there."""

from __future__ import annotations

import json

DESK, PHONE = (1400, 900), (390, 844)

AXE = (
    "const done = arguments[0]; axe.run(document).then((r) => done(r.violations.map("
    "(v) => [v.impact, v.id, v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160))])), (e) => done([String(e)]))"
)
"""What axe-core finds against WCAG 2.1 levels A and AA and its best practices."""


class Look:
    """The page open in the browser, of a size."""

    def __init__(self, browser: object, address: str, size: tuple[int, int]) -> None:
        self.driver = browser
        self.do = browser.execute_script  # type: ignore[attr-defined]
        browser.execute_cdp_cmd(  # type: ignore[attr-defined]
            "Emulation.setDeviceMetricsOverride",
            {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": size[0] < 500},
        )
        # Gliding from stand to stand takes time, which a test does not have.
        self.seen_by(("prefers-reduced-motion", "reduce"))
        browser.get("about:blank")  # type: ignore[attr-defined]
        for kind in ("browser", "performance"):
            browser.get_log(kind)  # type: ignore[attr-defined]
        browser.get(address)  # type: ignore[attr-defined]
        self.do("try { localStorage.clear(); sessionStorage.clear() } catch {}")
        self.settle()

    def seen_by(self, *features: tuple[str, str], media: str = "") -> None:
        """The medium, and what its user prefers."""
        told = {"media": media, "features": [{"name": name, "value": value} for name, value in features]}
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", told)  # type: ignore[attr-defined]

    def settle(self) -> None:
        self.driver.execute_async_script(  # type: ignore[attr-defined]
            "const done = arguments[0]; requestAnimationFrame(() => requestAnimationFrame(() => done()))"
        )

    def reload(self) -> None:
        self.driver.refresh()  # type: ignore[attr-defined]
        self.settle()

    def shown(self) -> list[str]:
        """Marks of the sheets one sees."""
        return list(self.do("return $$('article.part').filter(a => a.offsetParent).map(a => a.dataset.mark)"))

    def open(self, mark: str) -> None:
        """Goes to a part and waits until its sheet is unfolded."""
        self.do("location.hash = '#part-' + arguments[0]", mark)
        self.driver.execute_async_script(  # type: ignore[attr-defined]
            "const mark = arguments[0], done = arguments[1], whole = () => article.dataset.mark === mark"
            " && article.dataset.whole === '' ? done() : setTimeout(whole, 10); whole()",
            mark,
        )

    def click(self, x: float, y: float) -> None:
        for kind in ("mousePressed", "mouseReleased"):
            self.driver.execute_cdp_cmd(  # type: ignore[attr-defined]
                "Input.dispatchMouseEvent", {"type": kind, "x": x, "y": y, "button": "left", "clickCount": 1}
            )
        self.settle()

    def tap(self, query: str) -> None:
        """A real click on what the query finds, scrolled to."""
        self.do("document.querySelector(arguments[0]).scrollIntoView({ block: 'center' })", query)
        x, y, w, h = self.do(
            "const b = document.querySelector(arguments[0]).getBoundingClientRect();"
            "return [b.x, b.y, b.width, b.height]",
            query,
        )
        self.click(x + w / 2, y + h / 2)

    def press(self, keys: str) -> None:
        self.driver.switch_to.active_element.send_keys(keys)  # type: ignore[attr-defined]
        self.settle()

    def faults(self) -> list[str]:
        log = self.driver.get_log("browser")  # type: ignore[attr-defined]
        return [entry["message"] for entry in log if entry["level"] == "SEVERE"]

    def asked(self) -> set[str]:
        """Every address asked for since the page was opened."""
        log = self.driver.get_log("performance")  # type: ignore[attr-defined]
        sent = (json.loads(entry["message"])["message"] for entry in log)
        return {each["params"]["request"]["url"] for each in sent if each["method"] == "Network.requestWillBeSent"}
