"""Serving one page to this machine only, and telling it when it was made again.

A page opened as a file may ask for nothing, so while the job is worked on it comes from a small
server on 127.0.0.1; its news come down one stream (WHATWG HTML Standard, server-sent events).
"""

from __future__ import annotations

import json
import re
import threading
import time
from collections.abc import Callable, Sequence
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from fabgen.job.errors import JobError
from fabgen.job.text.safe_file import NotWrittenError

LOOK_EVERY = 0.1
"""Seconds between two checks of the files."""
ALIVE_EVERY = 10.0
"""A comment goes down the stream this often, so that a page that went away is noticed, s."""

NUMBER = "/*number*/0"
"""Stands in the page's script for the number of the page."""

Build = Callable[[], str]
Stamps = list[tuple[int, int]]


class State:
    """The page of now, its number, and what is wrong with the file as it was last saved."""

    def __init__(self, page: str) -> None:
        self.page = page
        self.number = 1
        self.fault = ""
        self.ended = False
        self.changed = threading.Condition()

    def made(self, page: str) -> None:
        with self.changed:
            self.page, self.fault, self.number = page, "", self.number + 1
            self.changed.notify_all()

    def failed(self, text: str) -> None:
        with self.changed:
            self.fault = text
            self.changed.notify_all()

    def end(self) -> None:
        with self.changed:
            self.ended = True
            self.changed.notify_all()


class Server(ThreadingHTTPServer):
    """On 127.0.0.1, a free port unless one is given."""

    daemon_threads = True

    def __init__(self, state: State, port: int = 0) -> None:
        super().__init__(("127.0.0.1", port), _Answer)
        self.state = state

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}/"


class _Answer(BaseHTTPRequestHandler):
    server: Server

    def do_GET(self) -> None:
        # A name other than ours in the request means that some web page sent a browser here: not answered.
        if self.headers.get("Host", "").rsplit(":", 1)[0] not in ("127.0.0.1", "localhost"):
            self.send_error(403)
        elif self.path.partition("?")[0] in ("/", "/page.html"):
            self._page()
        elif found := re.fullmatch(r"/told\?since=(\d{1,9})", self.path):
            self._tell(int(found[1]))
        else:
            self.send_error(404)

    def _page(self) -> None:
        state = self.server.state
        with state.changed:
            content = state.page.replace(NUMBER, str(state.number)).encode()
        self._head("text/html; charset=utf-8", len(content))
        self.wfile.write(content)

    def _tell(self, number: int) -> None:
        """News since the page of that number."""
        self._head("text/event-stream")
        state, fault = self.server.state, ""
        try:
            # What the stream begins with, so that a browser knows that it is open.
            self.wfile.write(b"retry: 500\n\n")
            while not state.ended:
                with state.changed:
                    if state.number == number and state.fault == fault:
                        state.changed.wait(ALIVE_EVERY)
                    now, wrong = state.number, state.fault
                if wrong and wrong != fault:
                    self._event("fault", wrong)
                elif now != number:
                    self._event("made", now)
                else:
                    self.wfile.write(b":\n\n")
                self.wfile.flush()
                number, fault = now, wrong
        except OSError:
            return  # the page was closed

    def _event(self, name: str, value: Any) -> None:
        self.wfile.write(f"event: {name}\ndata: {json.dumps(value)}\n\n".encode())

    def _head(self, kind: str, length: int | None = None) -> None:
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Cache-Control", "no-store")
        if length is not None:
            self.send_header("Content-Length", str(length))
        self.end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing: the terminal is for the job."""


def watch(
    state: State, files: Sequence[Path], build: Build, tell: Callable[[str], object], seen: Stamps | None = None
) -> None:
    """Makes the page again after each saving of a file, until the state has ended.

    Args:
        state: what the server shows.
        files: whose saving calls for a new page.
        build: gives the page; any error of it is shown in the page's place.
        tell: gets a line each time.
        seen: the files' `stamps` when the page of the state was made.
    """
    before = seen if seen is not None else stamps(files)
    while not state.ended:
        time.sleep(LOOK_EVERY)
        now = stamps(files)
        if now == before:
            continue
        before = now
        begun = time.perf_counter()
        try:
            page = build()
        except (JobError, NotWrittenError) as error:
            state.failed(str(error))
            tell(str(error))
        except Exception as error:  # hours of work hang on this going on
            fault = f"an error in this program: {type(error).__name__}: {error}; the page is as it was before"
            state.failed(fault)
            tell(fault)
        else:
            state.made(page)
            tell(f"made again in {time.perf_counter() - begun:.2f} s")


def stamps(files: Sequence[Path]) -> Stamps:
    """When each file was last saved and how long it is; nought for one that is away, as while it is being saved."""
    found = []
    for path in files:
        try:
            status = path.stat()
        except OSError:
            found.append((0, 0))
        else:
            found.append((status.st_mtime_ns, status.st_size))
    return found
