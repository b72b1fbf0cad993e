"""The frame built up again from its papers: of every part that has a place the reader calculates where it stands, from
the printed text of set-out.pdf alone and the finished parts in his hands; then it is held against the job.

He knows of a part what can be seen of it on the bench: its metal, which of its faces is called what, and which way the
right of its drawing looks.  Of the job he has no file, and nothing that is not printed."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pypdf
import pytest

from fabgen.app.hands import with_own_images
from fabgen.app.work import built
from fabgen.documents.drawing.drawings import drawing_pages
from fabgen.documents.points.check_table import check_table_pdf
from fabgen.documents.render.paper import A4
from fabgen.documents.render.pdf import render
from fabgen.documents.set_out.set_out_pdf import set_out_pdf
from fabgen.geometry.space.frame import Array
from fabgen.job.reader import read_text
from fabgen.job.tables.definitions import Definitions
from fabgen.parts.piece import Datum, FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.along_tube import saw_cut_at
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.parts.survey.check_distances import heights
from fabgen.parts.survey.following import Survey
from fabgen.plan.buying.hardware import bolt_stacks

ROOT = Path(__file__).parents[2]
WITHIN = 1.0
"""mm."""
NUMBER = r"-?\d+(?:\.\d+)?"
NAME = r"[A-Za-z][\w-]*(?: \(\d+\))?"
ROW = re.compile(
    rf"(?P<name>{NAME}) +its (?P<foot>.+?) {{2,}}(?P<near>{NUMBER}) +(?P<far>{NUMBER}) +(?P<side>\S.*?) {{2,}}"
    rf"(?P<low>{NUMBER}) to (?P<high>{NUMBER}) +(?P<turn>-|{NUMBER}°) +(?P<outside>{NUMBER})(?P<over> over)?$"
)
HOLE = re.compile(
    rf"(?P<name>{NAME}) +(?P<number>\d+) +(?P<along>{NUMBER}) +(?P<across>{NUMBER}) +(?P<over>-|{NUMBER})(?: +|$)"
)
"""Two stand in a line."""
JIG = re.compile(rf"(?P<name>{NAME}) +" + " +".join(f"({NUMBER})" for _ in range(6)) + r" +(?P<turned>\S.*)$")


# -- the text ------------------------------------------------------------------------------
@dataclass
class Row:
    """A part on a carrier, as printed."""

    name: str
    on: str
    foot: str
    near: float
    far: float
    side: str
    low: float
    turn: float
    outside: float
    is_over: bool
    holes: list[tuple[int, float, float, float | None]] = field(default_factory=list)


@dataclass
class Sheet:
    """What set-out.pdf says: rows, the size of each carrier in words, and lines on the jig: ends, and turned how."""

    rows: dict[str, Row] = field(default_factory=dict)
    sizes: dict[str, str] = field(default_factory=dict)
    lines: dict[str, tuple[Array, Array, str]] = field(default_factory=dict)
    datum: float = 0.0


def text_of(paper: bytes) -> list[list[str]]:
    """The lines of each page."""
    pages = pypdf.PdfReader(io.BytesIO(paper)).pages
    return [page.extract_text(extraction_mode="layout").splitlines() for page in pages]


def read(pages: Sequence[Sequence[str]]) -> Sheet:
    """The whole sheet."""
    sheet, on, last = Sheet(), "", None
    every = [line.rstrip() for page in pages for line in page if line.strip()]
    found = re.search(rf"datum is z = ({NUMBER}) mm", " ".join(line.strip() for line in every))
    assert found
    sheet.datum = float(found[1])
    for line in every:
        if heading := re.match(rf"On (?P<name>{NAME}), (?P<rest>.*): from the", line):
            on, last = heading["name"], None
            sheet.sizes[on] = heading["rest"].split(", ")[-1]
        elif row := ROW.match(line):
            turn = 0.0 if row["turn"] == "-" else math.radians(float(row["turn"][:-1]))
            last = Row(
                row["name"], on, row["foot"], *(float(row[key]) for key in ("near", "far")), row["side"],
                float(row["low"]), turn, float(row["outside"]), row["over"] is not None,
            )  # fmt: skip
            assert last.name not in sheet.rows
            sheet.rows[last.name] = last
        elif holes := list(HOLE.finditer(line)) if HOLE.match(line) and not JIG.match(line) else []:
            for hole in holes:
                over = None if hole["over"] == "-" else float(hole["over"])
                sheet.rows[hole["name"]].holes.append(
                    (int(hole["number"]), float(hole["along"]), float(hole["across"]), over)
                )
        elif jig := JIG.match(line):
            at = np.array([float(each) for each in jig.groups()[1:7]]).reshape(2, 3)
            at[:, 2] += sheet.datum
            sheet.lines[jig["name"]] = (at[0], at[1], jig["turned"])
        elif (
            last is not None
            and last.foot.endswith((" face", " leg's"))
            and (more := re.match(r" {8,}(\w+)(?: {2,}|$)", line))
            and not more[1][0].isdigit()
        ):
            last.foot += f" {more[1]}"  # what found no room in the cell's first line
            last = None
    return sheet


# -- where it stands -----------------------------------------------------------------------
@dataclass
class Carrier:
    """A face of a carrier in the job: where along, across and over are 0, these ways, and what lies behind it."""

    origin: Array
    along: Array
    across: Array
    out: Array
    behind: float

    def place(self, along: float, across: float, over: float) -> Array:
        return np.asarray(self.origin + along * self.along + across * self.across + over * self.out)


@dataclass
class Stood:
    """A part as the reader has set it up: the way from its own coordinates to the job's, and what it stands on."""

    axes: Array
    shift: Array
    on: Carrier

    def points(self, own: Array) -> Array:
        return np.asarray(own @ self.axes + self.shift)


def square_to(way: Array) -> tuple[Array, Array]:
    """What looks up square to a way, of an upright one forward; and what is clockwise of that, seen from its start."""
    up = np.array([1.0, 0.0, 0.0]) if np.hypot(*way[:2]) < 1e-3 else np.array([0.0, 0.0, 1.0])
    up = up - (up @ way) * way
    up = up / np.linalg.norm(up)
    return up, np.cross(way, up)


def clocked(way: Array, degrees: float) -> Array:
    up, clockwise = square_to(way)
    return np.asarray(math.cos(math.radians(degrees)) * up + math.sin(math.radians(degrees)) * clockwise)


class Reader:
    """Who builds it up again."""

    def __init__(self, sheet: Sheet, hands: Mapping[str, Piece]) -> None:
        self.sheet, self.hands = sheet, hands
        self.done: dict[str, Stood] = {}
        self.bodies: dict[str, Array] = {}

    def body(self, name: str) -> Array:
        """The metal of a part in its own coordinates, (n, 3) mm."""
        mark = name.split(" ")[0]
        if mark not in self.bodies:
            self.bodies[mark] = sheet_body(self.part(mark), 0.01).vertices
        return self.bodies[mark]

    def part(self, name: str) -> FlatPart:
        part = self.hands[name.split(" ")[0]].flat_part
        assert part is not None
        return part

    def stood(self, name: str) -> Stood:
        """A part, after what it stands on."""
        if name not in self.done:
            self.done[name] = self._stood(self.sheet.rows[name])
        return self.done[name]

    def _stood(self, row: Row) -> Stood:
        on, part = self.carrier(row), self.part(row.name)
        clockwise = np.cross(on.along, on.out)
        run = math.cos(row.turn) * on.along + math.sin(row.turn) * clockwise
        foot, _, face = row.foot.partition(" of face ")
        datum = part.datums[face] if face else next(iter(part.datums.values()))
        axes = turned(datum, foot, run, on.out)
        body = self.body(row.name) @ axes
        over = row.outside if row.is_over else row.outside - on.behind
        moves = (
            (row.near - float((body @ on.along).min())) * on.along,
            (row.low - float((body @ on.across).min())) * on.across,
            (over - float((body @ on.out).max())) * on.out,
        )
        return Stood(axes, on.origin + sum(moves), on)

    def carrier(self, row: Row) -> Carrier:
        if row.on in self.sheet.lines:
            return self._length(row)
        stood, part, size = self.stood(row.on), self.part(row.on), self.sheet.sizes[row.on]
        side, _, face = row.side.partition(" of ")
        datum = part.datums[face] if face else next(iter(part.datums.values()))
        u0, v0, *_ = datum.bounds
        thick = float(size.split()[0])
        corner = stood.points(datum.at((u0, v0), thick if side == "front" else 0.0))
        front = datum.front @ stood.axes
        return Carrier(corner, datum.u @ stood.axes, datum.v @ stood.axes, front if side == "front" else -front, thick)

    def _length(self, row: Row) -> Carrier:
        start, finish, turned_by = self.sheet.lines[row.on]
        along = (finish - start) / np.linalg.norm(finish - start)
        size = [float(each) for each in re.findall(NUMBER, self.sheet.sizes[row.on])]
        if "leg" in turned_by:  # an angle: face by name, from the heel
            a, b = (clocked(along, float(each)) for each in re.findall(rf"({NUMBER})°", turned_by))
            leg, other = (a, b) if "leg a" in row.side else (b, a)
            inside = row.side.endswith("inside")
            return Carrier(start + size[2] * inside * other, along, leg, other if inside else -other, math.nan)
        way = float(row.side.split("°")[0])
        top = 0.0 if turned_by == "-" else float(turned_by.split()[1][:-1])
        out = clocked(along, top + way)
        whole = size[0] if len(size) == 2 or abs(math.cos(math.radians(way))) > 0.5 else size[1]
        return Carrier(start + whole / 2.0 * out, along, np.cross(along, out), out, whole)


def turned(datum: Datum, foot: str, run: Array, out: Array) -> Array:
    """The part's own axes in the job, as it touches with its `foot`."""
    if foot in ("back", "front", "bottom", "top"):
        up = -out if foot in ("front", "top") else out
        own = np.array([datum.u, np.cross(datum.front, datum.u), datum.front])
        return np.asarray(own.T @ np.array([run, np.cross(up, run), up]))
    edge = "bottom" if foot.endswith("foot") else foot.split()[0]
    u, v = {"bottom": (run, out), "top": (-run, -out), "left": (out, -run), "right": (-out, run)}[edge]
    own = np.array([datum.u, datum.v, np.cross(datum.u, datum.v)])
    return np.asarray(own.T @ np.array([u, v, np.cross(run, out)]))


# -- held against the job -----------------------------------------------------------------
def placed_lines(pieces: Sequence[Piece]) -> Iterator[tuple[str, Array, Array]]:
    """Where the lines of tubes, profiles and link rods begin and end in the job."""
    for piece in pieces:
        match piece.shape:
            case LinkPart() as link if link.frame is not None:
                ends = -link.sides[0].reach, link.length + link.sides[1].reach
                yield piece.mark, *(link.frame.origin + at * link.frame.x for at in ends)
            case LengthPart() as tube if tube.frame is not None and not tube.is_bent_bar:
                ends = saw_cut_at(tube), saw_cut_at(tube) + tube.length
                yield piece.mark, *(tube.frame.origin + at * tube.frame.x for at in ends)
            case ProfilePart() as profile:
                ends = profile.begins, profile.begins + profile.length
                yield piece.mark, *(profile.frame.origin + at * profile.frame.x for at in ends)


def placed_sheet(pieces: Sequence[Piece]) -> Iterator[tuple[str, FlatPart, int]]:
    """The name of each part of sheet where it stands, with the number of its place from 0."""
    for piece in pieces:
        part = piece.flat_part
        for number in range(len(part.places) if part is not None else 0):
            assert part is not None
            yield (piece.mark if len(part.places) == 1 else f"{piece.mark} ({number + 1})"), part, number


@dataclass(frozen=True)
class Job:
    """A job: its parts, and the texts of its papers by page."""

    definitions: Definitions
    pieces: list[Piece]
    set_out: list[list[str]]
    check_table: list[list[str]]


@pytest.fixture(
    scope="module",
    params=["templates/suspension.toml", pytest.param("sample_parts/curlew-trailer.toml", marks=pytest.mark.slow)],
)
def job(request: pytest.FixtureRequest) -> Job:
    path, paper = ROOT / request.param, A4
    loaded = with_own_images(read_text(path.read_text(encoding="utf-8"), path))
    definitions, pieces = loaded.definitions, built(loaded)
    papers = (
        set_out_pdf(definitions.job, pieces, heights(definitions)[0], paper, bolt_stacks(definitions, pieces)),
        check_table_pdf(definitions.job, Survey(definitions, definitions), pieces, paper),
    )
    return Job(definitions, pieces, *(text_of(paper) for paper in papers if paper is not None))


@pytest.fixture(scope="module")
def reader(job: Job) -> Reader:
    return Reader(read(job.set_out), {piece.mark: piece for piece in job.pieces})


def test_every_placed_part_is_built_up_again_within_a_millimetre(job: Job, reader: Reader) -> None:
    off: dict[str, float] = {}
    for name, part, number in placed_sheet(job.pieces):
        body = reader.body(name)
        true = part.places[number].frame.outside(body)
        off[name] = float(np.linalg.norm(reader.stood(name).points(body) - true, axis=1).max())
    for mark, *ends in placed_lines(job.pieces):
        start, finish, _ = reader.sheet.lines[mark]
        off[mark] = max(float(np.linalg.norm(a - b)) for a, b in zip((start, finish), ends, strict=True))
    assert set(off) == {*reader.sheet.rows, *reader.sheet.lines}
    assert max(off.values()) < WITHIN, sorted(off.items(), key=lambda each: -each[1])[:5]


def test_the_holes_of_each_part_are_where_the_sheet_says(reader: Reader) -> None:
    count = 0
    for name, row in reader.sheet.rows.items():
        part, stood = reader.part(name), reader.stood(name)
        for number, along, across, over in row.holes:
            face, at = part.numbered[number - 1]
            datum = part.datums.get(face) or next(iter(part.datums.values()))
            away = stood.points(datum.at(at, part.thickness / 2.0)) - stood.on.origin
            assert float(away @ stood.on.along) == pytest.approx(along, abs=0.25)
            assert float(away @ stood.on.across) == pytest.approx(across, abs=0.25)
            assert over is None or float(away @ stood.on.out) == pytest.approx(over, abs=0.25)
            count += 1
    assert count


def test_the_check_table_says_the_same_edges(job: Job, reader: Reader) -> None:
    line = re.compile(rf" *(?P<on>{NAME}) +(?P<name>{NAME}) +(?P<near>{NUMBER}) +(?P<outside>{NUMBER})(?: over)?$")
    seen = {}
    for page in job.check_table:
        for row in filter(None, (line.match(each.rstrip()) for each in page)):
            seen[row["name"]] = row["on"], float(row["near"]), float(row["outside"])
    for name, row in reader.sheet.rows.items():
        assert seen[name] == (row.on, row.near, row.outside)


ROUND_END = rf"({NAME}) \((?:start|finish)\)"
LANDS = re.compile(
    rf"{ROUND_END}(?: +{ROUND_END})? +({NUMBER})(?: +({NUMBER}|-))? +(?:{NUMBER}°|top|bottom|left|right)"
)
"""An end, and on the other hand's main its twin; where along it comes through the skin, and where the axes meet if that
is elsewhere."""


@pytest.mark.slow
def test_ends_land_where_the_drawings_of_their_mains_say(job: Job, reader: Reader) -> None:
    """Where the axes meet along a main of the sheet, the axis of the branch passes: lines of the jig, and a size of a
    drawing."""
    count = 0
    header = job.definitions.job
    drawn = drawing_pages(job.pieces, header, A4, header.projection, [])
    for sheet, page in zip(drawn, text_of(render(drawn, header.number, "")), strict=True):
        mains = [reader.sheet.lines[mark] for mark in sheet.marks if mark in reader.sheet.lines]
        for row in (found for line in page for found in LANDS.finditer(line)):
            one, other, _ = reader.sheet.lines[row[1]]
            way = (other - one) / np.linalg.norm(other - one)
            axes = float(row[3] if row[4] in (None, "-") else row[4])
            off = []
            for start, finish, _ in mains:
                along = (finish - start) / np.linalg.norm(finish - start)
                away = start + axes * along - one
                gap = abs(float(away @ np.cross(way, along))) / float(np.linalg.norm(np.cross(way, along)))
                off.append(float(np.linalg.norm(away - (away @ way) * way)) - gap)
            assert min(map(abs, off)) < WITHIN, (sheet.marks, row[0])
            count += 1
    assert count > 8
