"""Pictures of the manual: small jobs of its own, built as any job is and drawn by the code that draws the sheets.

A size on a picture that a key of the example gives bears that key's name, so that one sees what it measures.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from fabgen.documents.drawing.sheet.space_view import space_view
from fabgen.documents.drawing.sheet.views import View
from fabgen.documents.drawing.sheet_content import sheet_content
from fabgen.documents.page.part_figures import PICTURE_ROOM, Drawing, panel_drawing, view_drawing
from fabgen.documents.scene.bodies import body
from fabgen.documents.scene.body_lines import bodies_picture
from fabgen.documents.set_out.side_view import side_view, sides
from fabgen.job.reader import read_text
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.shape.standing import set_out_on
from fabgen.shop.tables import data
from fabgen.wording.figures import Figures

HEADER = '[job]\ntitle = "example"\nnumber = "1"\nunits = "mm"\nmaterial = "S235"\n'
PLACES = "plate-place"
"""The section on where parts stand: what stands there is drawn in its place."""
ROOM = (135.0, 150.0)
"""What a view with its dimensions takes at most, mm of drawing."""
SET_OUT_WIDTH = 118.0


@dataclass(frozen=True, slots=True)
class Example:
    """One of the small jobs: the section of the manual that has it, what it shows, and its text less the header."""

    of: str
    case: str
    text: str
    name: str

    @property
    def job(self) -> str:
        """The whole of its job file."""
        return f"{HEADER}{self.text}\n"


@dataclass(frozen=True, slots=True)
class Shown:
    """An example with its pictures."""

    example: Example
    drawings: tuple[Drawing, ...]


@cache
def examples() -> tuple[Example, ...]:
    """All examples, in the order in which the manual has them."""
    found = data("shapes", "fabgen.documents.manual")["example"]
    return tuple(Example(**{"name": each["case"], **each, "text": each["text"].strip("\n")}) for each in found)


def shown(of: str) -> list[Shown]:
    """The examples of a section, drawn.

    Args:
        of: the name of a table, or of a key that is a table of its own.
    """
    return [Shown(each, tuple(_drawings(each))) for each in examples() if each.of == of]


def _drawings(example: Example) -> Iterator[Drawing]:
    pieces = all_pieces(read_text(example.job).definitions)
    figures = NamedFigures(names=_names(tomllib.loads(example.text)))
    if example.of == PLACES:
        yield _in_space(pieces, example.name)
        for on in set_out_on(pieces):
            for name, group in sides(on):
                panel = side_view(on.carrier, group).panel(SET_OUT_WIDTH, figures)
                yield panel_drawing(panel, f"{on.name}, {name}, seen square to that side", example.name)
        return
    (piece,) = pieces
    content = sheet_content(piece, {}, figures, "first")
    yield _picture(content.main.view, "Flat pattern" if content.sides else "", example.name)
    for view in content.sides:
        yield _picture(view, view.title, example.name)


def _in_space(pieces: Sequence[Piece], name: str) -> Drawing:
    """What is placed, as the assembly sheet shows it."""
    bodies = [body(piece) for piece in pieces if piece.is_placed]
    points = [each.vertices for each in bodies]
    view = space_view(points, lambda frame, scale: bodies_picture(bodies, frame, scale).picture)
    return _picture(view, "In its place", name)


def _picture(view: View, caption: str, name: str) -> Drawing:
    """A view, called without its scale: no screen shows that."""
    room = ROOM if view.scaled else PICTURE_ROOM
    return view_drawing(replace(view, title="", scaled=False), (room,), caption, name)


# -- the names of sizes -------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class NamedFigures(Figures):
    """Lengths in mm with the name of the key that gives them, where one does."""

    names: Mapping[float, str] = field(default_factory=dict)

    def length(self, value: float) -> str:
        return self._named(value, Figures.length(self, value))

    def size(self, value: float, decimals: int = 1) -> str:
        return self._named(value, Figures.size(self, value, decimals))

    def tape(self, value: float) -> str:
        return self._named(value, Figures.size(self, value))

    def _named(self, value: float, text: str) -> str:
        name = next((name for given, name in self.names.items() if math.isclose(given, value, abs_tol=1e-6)), "")
        return f"{text} {name}" if name else text


_UNSPOKEN = frozenset(
    ("thickness", "route", "corners", "points", "stations", "turn", "angle", "arc", "count", "columns", "rows", "edge",
     "bends", "against_hole", "hole", "start", "tilt")
)  # fmt: skip
"""Keys whose figures no dimension names: they are no lengths, or many alike."""


def _names(table: Mapping[str, object]) -> dict[float, str]:
    """The key of each size in an example; none of a size that two keys give."""
    found: dict[float, set[str]] = {}
    for key, value in _sizes(table):
        found.setdefault(value, set()).add(key)
    return {value: keys.pop() for value, keys in found.items() if len(keys) == 1}


def _sizes(value: object, key: str = "") -> Iterator[tuple[str, float]]:
    if key in _UNSPOKEN:
        return
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _sizes(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from _sizes(inner, key)
    elif isinstance(value, int | float) and not isinstance(value, bool) and value:
        yield key, float(value)
