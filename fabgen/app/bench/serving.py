"""`fabgen bench`: serves the bench of a job until Ctrl-C."""

from __future__ import annotations

import contextlib
import gc
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from fabgen.app.bench.bench_server import BenchServer
from fabgen.app.bench.workbench import Workbench
from fabgen.documents.bench.bench_html import bench_html


@contextlib.contextmanager
def served(bench: Workbench, port: int = 0) -> Iterator[BenchServer]:
    """The server of a bench, which builds and watches while the block runs."""
    with BenchServer(bench, lambda: bench_html(bench.path.name), port) as server:
        works = [server.serve_forever, bench.watch, bench.build]
        threads = [threading.Thread(target=work, daemon=True) for work in works]
        for thread in threads:
            thread.start()
        try:
            yield server
        finally:
            bench.board.end()
            server.shutdown()
            for thread in threads:
                thread.join(2)


def work_at_bench(
    job: Path, folder: Path, rack: Path | None, tell: Callable[[str], object], show: Callable[[str], object]
) -> None:
    """Serves the bench to this machine until Ctrl-C.

    Args:
        job: the job file.
        folder: where its papers go.
        rack: a rack file, whose stock is used first.
        tell: gets the line to print.
        show: opens an address in the browser.
    Raises:
        JobError: the file is not there, or no text.
    """
    gc.enable()  # this goes on for hours
    with served(Workbench(job, folder, rack)) as server:
        tell(f"{server.address}  (Ctrl-C ends; the address is for this machine and this time alone)")
        show(server.address)
        with contextlib.suppress(KeyboardInterrupt):
            while True:
                time.sleep(3600)
