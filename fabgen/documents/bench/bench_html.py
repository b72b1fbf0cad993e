"""The bench's page: its style and scripts in it, nothing of the job; that comes as data and is shown as text."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from fabgen.documents.render.html import filled
from fabgen.documents.render.svg import FACE

_VIEW = ("scene.js", "travel.js", "camera.js", "measure.js", "labels.js", "view.js", "touch.js")
_OWN = ("talk.js", "picture.js", "list.js", "form.js", "text.js", "papers.js", "news.js")


def bench_html(name: str) -> str:
    """The page.

    Args:
        name: of the job file.
    """
    style, script = _parts()
    return filled("fabgen.documents.bench", "bench.html", name=name, style=style, script=script)


@cache
def _parts() -> tuple[str, str]:
    style = _asset("page", "page.css").replace("DRAWING_FACE", FACE) + _asset("bench", "bench.css")
    scripts = [_asset("page", name) for name in _VIEW] + [_asset("bench", name) for name in _OWN]
    return style, "\n".join(scripts)


def _asset(room: str, name: str) -> str:
    return files(f"fabgen.documents.{room}").joinpath(name).read_text(encoding="utf-8")
