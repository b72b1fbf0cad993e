"""The bench's page for this machine only: whoever asks must know the address's token, and come from the page itself.

What is asked and sent is small and bounded; nothing names a file but the list of the papers that were made.
"""

from __future__ import annotations

import hmac
import json
import secrets
import threading
from collections.abc import Callable
from dataclasses import asdict
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

from fabgen.app.bench.session import Asked
from fabgen.app.bench.workbench import RefusedError, Workbench
from fabgen.job.errors import Path
from fabgen.job.text.safe_file import NotWrittenError
from fabgen.job.text.text_file import LARGEST_FILE

MOST_ASKED = 2 * LARGEST_FILE + 100_000
"""Bytes of one request: a text of the largest size, its characters escaped."""
ALIVE_EVERY = 2.0
"""A comment goes down the stream this often, so that a page that went away is noticed, s."""
LONGEST_WAIT = 30.0
"""Of a request that does not come to its end, s."""
KINDS = {
    ".pdf": "application/pdf",
    ".html": "text/html; charset=utf-8",
    ".json": "application/json",
    ".txt": "text/plain; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".svg": "image/svg+xml",
}
HEADERS = {
    "Cache-Control": "no-store",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


class Windows:
    """Who changes the job: the window that came first, until it is gone; others look on."""

    def __init__(self) -> None:
        self._open: list[str] = []
        self._lock = threading.Lock()

    def opened(self, name: str) -> None:
        with self._lock:
            self._open.append(name)

    def closed(self, name: str) -> None:
        with self._lock:
            self._open.remove(name)

    @property
    def first(self) -> str:
        with self._lock:
            return self._open[0] if self._open else ""


class BenchServer(ThreadingHTTPServer):
    """On 127.0.0.1, a free port unless one is given; `page` gives the page."""

    daemon_threads = True

    def __init__(self, bench: Workbench, page: Callable[[], str], port: int = 0) -> None:
        super().__init__(("127.0.0.1", port), _Answer)
        self.bench, self.page = bench, page
        self.token = secrets.token_urlsafe(24)
        self.windows = Windows()

    @property
    def hosts(self) -> tuple[str, str]:
        return f"127.0.0.1:{self.server_address[1]}", f"localhost:{self.server_address[1]}"

    @property
    def address(self) -> str:
        return f"http://{self.hosts[0]}/{self.token}/"


class _Answer(BaseHTTPRequestHandler):
    server: BenchServer
    timeout = LONGEST_WAIT

    def do_GET(self) -> None:
        if (place := self._place()) is None:
            return
        path, query = place
        if path == "":
            self._send("text/html; charset=utf-8", self.server.page().encode())
        elif path == "news":
            self._news(query.get("window", [""])[0][:40])
        elif path == "form":
            self._answered(lambda: self.server.bench.form(_table_of(json.loads(query.get("at", ["[]"])[0]))))
        elif path.startswith("papers/"):
            self._paper(path.removeprefix("papers/"))
        else:
            self.send_error(404)

    def do_POST(self) -> None:
        if (place := self._place()) is None:
            return
        length = self.headers.get("Content-Length", "")
        if not length.isdecimal() or self.headers.get("Transfer-Encoding"):
            self.send_error(411)
        elif len(length) > 9 or int(length) > MOST_ASKED:
            self.close_connection = True
            self.send_error(413)
        elif self.headers.get("Origin") not in [f"http://{host}" for host in self.server.hosts]:
            self.send_error(403)
        elif self.headers.get_content_type() != "application/json":
            self.send_error(415)
        else:
            self._asked(place[0], self.rfile.read(int(length)))

    def _place(self) -> tuple[str, dict[str, list[str]]] | None:
        """What is asked for below the token; None where that is answered already."""
        # A name other than ours in the request means that some web page sent a browser here: not answered.
        strange = self.headers.get("Host", "") not in self.server.hosts
        origin = self.headers.get("Origin")
        strange = strange or (origin is not None and origin not in [f"http://{host}" for host in self.server.hosts])
        strange = strange or self.headers.get("Sec-Fetch-Site", "none") not in ("none", "same-origin")
        parts = urlsplit(self.path)
        token, _, path = parts.path.lstrip("/").partition("/")
        if strange or not hmac.compare_digest(token.encode(), self.server.token.encode()):
            self.close_connection = True
            self.send_error(403)
            return None
        return unquote(path), parse_qs(parts.query, max_num_fields=4)

    # -- changes -------------------------------------------------------------------------
    def _asked(self, path: str, body: bytes) -> None:
        bench = self.server.bench
        try:
            said = json.loads(body)
            window, number = str(said.get("window")), int(said.get("number", 0))
            own_first = said.get("own_first")
            own_first = own_first if isinstance(own_first, bool) else None
            ways: dict[str, Callable[[], Any]] = {
                "set": lambda: bench.set(
                    number, _table_of(said["at"]), str(said["key"]), str(said["typed"]), own_first
                ),
                "text": lambda: bench.rewrite(number, str(said["text"]), own_first),
                "depends": lambda: {"lines": bench.depends(number, _table_of(said["at"]))},
                "delete": lambda: bench.remove(number, _table_of(said["at"])),
                "undo": bench.back,
                "redo": bench.forward,
                "make": bench.make,
            }
        except (ValueError, TypeError, AttributeError, RecursionError):
            self.send_error(400)
            return
        if path not in ways:
            self.send_error(404)
        elif window != self.server.windows.first:
            self._json(409, {"refused": "another window changes this job; this one shows it"})
        else:
            self._answered(ways[path])

    def _answered(self, do: Callable[[], Any]) -> None:
        try:
            made = do()
        except (RefusedError, NotWrittenError) as refused:
            self._json(409, {"refused": str(refused)})
        except (KeyError, ValueError, TypeError, IndexError, RecursionError):
            self.send_error(400)
        else:
            if isinstance(made, Asked):
                made = {"asked": [asdict(each) for each in made.clashes]}
            self._json(200, {"number": made} if isinstance(made, int) else made or {})

    # -- what is sent --------------------------------------------------------------------
    def _news(self, window: str) -> None:
        """The stream of news (WHATWG HTML Standard, server-sent events)."""
        board, windows = self.server.bench.board, self.server.windows
        if not window:
            self.send_error(400)
            return
        self._head(200, "text/event-stream")
        number, first = 0, ""
        windows.opened(window)
        try:
            self.wfile.write(b"retry: 500\n\n")
            while not board.ended:
                if windows.first != first:
                    first = windows.first
                    self._event("first", json.dumps(first == window))
                number, news = board.since(number, ALIVE_EVERY)
                for kind, text in news:
                    self._event(kind, text)
                self.wfile.write(b":\n\n")
                self.wfile.flush()
        except OSError:
            return  # the page was closed
        finally:
            windows.closed(window)

    def _event(self, kind: str, text: str) -> None:
        self.wfile.write(f"event: {kind}\ndata: {text}\n\n".encode())

    def _paper(self, name: str) -> None:
        """One of the papers that were made, by its name in their list and no other."""
        bench = self.server.bench
        if name not in bench.papers:
            self.send_error(404)
            return
        home = bench.folder.resolve()
        path = (home / name).resolve()
        try:
            if not path.is_relative_to(home):
                raise OSError
            content = path.read_bytes()
        except OSError:
            self.send_error(404)
            return
        suffix = PurePosixPath(name).suffix
        # A paper is no page of the bench: what it holds may not ask for anything here.
        more = {} if suffix == ".pdf" else {"Content-Security-Policy": "sandbox allow-scripts"}
        if suffix not in KINDS:
            more["Content-Disposition"] = "attachment"
        self._send(KINDS.get(suffix, "application/octet-stream"), content, more)

    def _json(self, code: int, value: Any) -> None:
        self._send("application/json", json.dumps(value).encode(), code=code)

    def _send(self, kind: str, content: bytes, more: dict[str, str] | None = None, code: int = 200) -> None:
        self._head(code, kind, {**(more or {}), "Content-Length": str(len(content))})
        self.wfile.write(content)

    def _head(self, code: int, kind: str, more: dict[str, str] | None = None) -> None:
        self.send_response(code)
        for name, value in {"Content-Type": kind, **HEADERS, **(more or {})}.items():
            self.send_header(name, value)
        self.end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing: the terminal is for the job."""


def _table_of(at: Any) -> Path:
    """A table's path as the page sends it.  Raises ValueError."""
    match at:
        case [str(name)]:
            return (name,)
        case [str(name), int(number)] if 0 <= number < 1_000_000:
            return (name, number)
    raise ValueError("no path of a table")
