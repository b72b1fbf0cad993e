"""movement.pdf: how the job moves, what it does through its travel, and what comes near what."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from fabgen.checks.motion.motion_checks import movement_limits
from fabgen.checks.motion.motion_words import motion_text
from fabgen.checks.rule import Finding, listed_marks, merged
from fabgen.documents.points.mechanism_view import three_views
from fabgen.documents.points.plot import plot
from fabgen.documents.render import cautions
from fabgen.documents.render.findings_table import findings_section
from fabgen.documents.render.flow import (
    BODY,
    MARGIN,
    SMALL,
    Column,
    PictureBlock,
    cell,
    flowing_pdf,
    listed,
    opening,
    section,
    table,
)
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.picture import Picture
from fabgen.documents.render.prose import prose
from fabgen.documents.render.sketch import Panel
from fabgen.documents.render.words import counted, figure, mm_text
from fabgen.geometry.mechanics.constraints import Places
from fabgen.geometry.mechanics.mechanism import Screw
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Header
from fabgen.job.tables.movement_tables import SHOULDER
from fabgen.motion.keep_out import FAR, Clearance
from fabgen.motion.movement import Movement, swing_limit
from fabgen.motion.travel import SIGNS, SweepResult, Tilt
from fabgen.wording.inches import INCH
from fabgen.wording.levels import Level

_MOST_ROWS = 25
_MOST_PICTURES = 3
_PLOT_HEIGHT = 37.0
"""mm of paper; as wide as the page, so that a figure can be read off."""
_AT_LEAST = 1e-3
"""A clearance this little under what is needed is enough, mm."""


def movement_pdf(header: Header, movement: Movement, findings: Sequence[Finding], paper: Paper) -> bytes:
    """The whole document; the same input gives the same bytes."""
    width = paper.width - 2 * MARGIN
    story: list[Flowable] = opening(header, f"{header.title}: movement", mobility_text(header, movement))
    nothing = "The checks of movement found nothing to report."
    # What was taken as rigid is said once here, among the cautions.
    own = [finding for finding in findings if finding.rule != movement_limits.name]
    story += findings_section("Findings", "of", nothing, merged(own), width)
    story += _pictures(movement, width)
    for number, result in enumerate(movement.sweeps):
        story += _sweep(movement, result, number, width)
    if not movement.sweeps:
        story += _clearances(movement, None, 0, width)
    limits = prose("movement", "limits").format(shoulder=mm_text(SHOULDER, _units(movement)))
    story += section("Cautions", [cell(text, SMALL) for text in (limits, cautions.PEOPLE)])
    return flowing_pdf(story, paper, header, "movement")


def mobility_text(header: Header, movement: Movement) -> str:
    """What moves, in how many ways, and what moves it."""
    mobility = movement.mobility
    if mobility is None:
        return "Nothing moves in this job; what must stay free was checked as drawn."
    linkage = movement.linkage
    bodies = counted(len(linkage.mechanism.bodies), "moving body", "moving bodies")
    text = (
        f"{bodies}, {counted(len(linkage.job.joint), 'joint')} "
        f"and {counted(len(linkage.rods), 'link rod')}: as drawn they leave {counted(mobility.freedoms, 'way')} to move"
    )
    if mobility.lasting < mobility.freedoms:
        text += f", but past a small step {mobility.lasting}"
    counted_up = mobility.plain_count + len(linkage.spins)
    text += f" (six for each body, less what each joint and rod holds, would be {counted_up})."
    if linkage.turning:
        turn = "turns about itself" if len(linkage.turning) == 1 else "turn about themselves"
        text += f" Besides, {listed_marks(linkage.turning)} {turn}, which does no harm and is not counted."
    if linkage.drivers:
        text += " Moved by: " + ", ".join(driver.words for driver in linkage.drivers) + "."
    text += f" Lengths in {'inches' if header.units == 'in' else 'mm'}."
    return text


# -- pictures ---------------------------------------------------------------------------
def _pictures(movement: Movement, width: float) -> list[Flowable]:
    blocks: list[list[Flowable]] = [
        [
            cell(seen.words, BODY),
            PictureBlock(seen.panel.picture, width, seen.panel.height + 2.0),
            cell(seen.legend, SMALL),
        ]
        for seen in motion_pictures(movement, width)
    ]
    if len(movement.free) > _MOST_PICTURES:
        blocks.append([cell(f"{len(movement.free) - _MOST_PICTURES} more are listed above, without a picture.", BODY)])
    return section("Picture", *blocks) if blocks else []


@dataclass(frozen=True)
class MotionPicture:
    """Three views of what moves, with words above and a legend below."""

    words: str
    panel: Panel
    legend: str


def motion_pictures(movement: Movement, width: float) -> list[MotionPicture]:
    """The job as drawn and at the ends of its travels, or each free motion, in views that share `width` mm."""
    if movement.mobility is None:
        return []
    ghosts: list[Places] = []
    for result in movement.sweeps:
        if result.places:
            ghosts += [result.places[0], result.places[-1]]
    if movement.free:
        note = "Thick arrow: the way it can move (and back); its axis runs right through; dashed: a little moved."
        return [
            _views(
                movement,
                [],
                motion,
                width,
                f"Free: {motion_text(movement.linkage, motion).words(_units(movement))}.",
                note,
            )
            for motion in movement.free[:_MOST_PICTURES]
        ]
    words = "As drawn, and dashed at both ends of each travel." if ghosts else "As drawn."
    return [_views(movement, ghosts, (), width, words, "")]


def _views(
    movement: Movement, ghosts: Sequence[Places], screws: Sequence[Screw], width: float, words: str, note: str
) -> MotionPicture:
    sketch, scale = three_views(movement.linkage, ghosts, screws, (width, 150.0))
    panel = sketch.panel().at(0.0, 0.0)
    legend = "Circles: joints and rod ends. Chain line: springs and dampers. " + note
    legend += f" Scale 1 : {figure(1.0 / scale, 1)}; the points' coordinates are in the job file."
    return MotionPicture(words, panel, legend)


# -- sweeps -------------------------------------------------------------------------------
def _sweep(movement: Movement, result: SweepResult, number: int, width: float) -> list[Flowable]:
    title = sweep_title(movement, result)
    if not result.places:
        return section(title, cell("No position of this travel could be reached.", BODY))
    blocks = _figures(movement, result, width)
    if result.wheels:
        blocks.append(cell(SIGNS, SMALL))
    story = section(title, *blocks)
    story += _plots(movement, result, width)
    story += _tilts(movement, result, width)
    return story + _clearances(movement, result, number, width)


def sweep_title(movement: Movement, result: SweepResult) -> str:
    """'Travel: wheel travel', and what is held in it."""
    title = f"Travel: {result.name}"
    if result.held:
        lengths = _Lengths(_units(movement))
        held = (f"{name} held at {lengths.held(change)}" for name, change in result.held.items())
        title += f" ({', '.join(held)})"
    return title


def _units(movement: Movement) -> str:
    return movement.linkage.job.job.units


@dataclass(frozen=True)
class _Lengths:
    """How lengths are tabled and plotted: in the job's units, which their heads name."""

    units: str

    @property
    def each(self) -> float:
        """mm of one."""
        return INCH if self.units == "in" else 1.0

    @property
    def places(self) -> int:
        return 3 if self.units == "in" else 1

    def held(self, change: float) -> str:
        """'+12.5 mm'."""
        return f"{change / self.each:+.{self.places}f} {self.units}"

    def text(self, length: float) -> str:
        """With its places, never '-0.0'."""
        return _signed(length / self.each, self.places)

    def column(self, head: str, lengths: Array) -> tuple[str, Array, int]:
        """A column of lengths, mm."""
        return f"{head}, {self.units}", lengths / self.each, self.places


def _columns(result: SweepResult, units: str) -> list[tuple[str, Array, int]]:
    """Heads, figures and places of what is tabled and plotted over the driver."""
    several, lengths = len(result.wheels) > 1, _Lengths(units)
    found: list[tuple[str, Array, int]] = []
    for wheel in result.wheels:
        of = f"{wheel.name}: " if several else ""
        found.append((f"{of}camber, °", np.degrees(wheel.camber), 2))
        found.append((f"{of}toe, °", np.degrees(wheel.toe), 2))
        found.append(lengths.column(f"{of}track", wheel.outward))
        found.append(lengths.column(f"{of}wheelbase", wheel.forward))
        if not result.words.startswith("height"):
            found.append(lengths.column(f"{of}wheel up", wheel.height))
    found += [lengths.column(name, length) for name, length in result.dampers.items()]
    for give in result.gives:
        found.append(lengths.column(f"{give.joint} endwise", give.endwise))
    return found


def _is_steady(values: Array, places: int) -> bool:
    """Whether a figure stays the same through a travel, to so many decimals; of one position alone none does."""
    return len(values) > 1 and float(np.ptp(values)) < 0.5 * 10.0**-places


def _changing(result: SweepResult, units: str) -> list[tuple[str, Array, int]]:
    """Those of the columns that are worth a column and a graph."""
    return [column for column in _columns(result, units) if not _is_steady(*column[1:])]


def _tilting(result: SweepResult) -> list[Tilt]:
    """The balls whose angle changes."""
    return [tilt for tilt in result.tilts if not _is_steady(np.degrees(tilt.angle), 1)]


def _ball(tilt: Tilt) -> str:
    return f"{tilt.mark} {tilt.at}".strip()


def steady_text(result: SweepResult, units: str) -> str:
    """One sentence for all that stays as it is through a travel; '' where all changes.

    Args:
        result: of the travel.
        units: of the job.
    """
    said = []
    for head, values, places in _columns(result, units):
        if _is_steady(values, places):
            name, _, unit = head.rpartition(", ")
            said.append(f"{name} {_signed(values[0], places)}{'' if unit == '°' else ' '}{unit}")
    balls: dict[str, list[str]] = {}
    changing = _tilting(result)
    for tilt in result.tilts:
        if not any(tilt is each for each in changing):
            balls.setdefault(_signed(float(np.degrees(tilt.angle[0])), 1), []).append(_ball(tilt))
    said += [f"ball angle {angle}° of {', '.join(names)}" for angle, names in balls.items()]
    return f"The same all through this travel: {'; '.join(said)}." if said else ""


def _figures(movement: Movement, result: SweepResult, width: float) -> list[Flowable]:
    blocks: list[Flowable] = []
    lengths = _Lengths(_units(movement))
    if steady := steady_text(result, lengths.units):
        blocks += [cell(steady, SMALL), Spacer(0, 2 * mm)]
    for heads, rows in swept_tables(movement, result):
        blocks.append(table(heads, rows, width, range(1, len(heads))))
        blocks.append(Spacer(0, 2 * mm))
    for name, path in result.watched.items():
        rows = [[lengths.text(result.driver[i]), *map(lengths.text, path[i])] for i in _picked(result)]
        heads = [f"{result.words}, {lengths.units}", f"{name}: x", "y", "z"]
        blocks.append(table(heads, rows, width, (1, 2, 3)))
        blocks.append(Spacer(0, 2 * mm))
    return blocks


def _picked(result: SweepResult) -> list[int]:
    """Positions that are tabled: as many as a page takes, the ends and the one as drawn among them."""
    every = math.ceil(len(result.driver) / _MOST_ROWS)
    picked = {i for i in range(len(result.driver)) if i % every == 0 or i == len(result.driver) - 1}
    return sorted({*picked, int(np.argmin(np.abs(result.driver)))})


def swept_tables(movement: Movement, result: SweepResult) -> Iterator[tuple[list[str], list[list[str]]]]:
    """Heads and rows of what changes through the travel, seven columns a table at most."""
    lengths = _Lengths(_units(movement))
    columns = _changing(result, lengths.units)
    for first in range(0, max(len(columns), 0 if _columns(result, lengths.units) else 1), 7):
        some = columns[first : first + 7]
        heads = [f"{result.words}, {lengths.units}", *(head for head, _, _ in some)]
        rows = [
            [lengths.text(result.driver[i]), *(_signed(values[i], places) for _, values, places in some)]
            for i in _picked(result)
        ]
        yield heads, rows


def _signed(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def _plots(movement: Movement, result: SweepResult, width: float) -> list[Flowable]:
    size = (width, _PLOT_HEIGHT)
    blocks: list[Flowable] = []
    for picture in swept_plots(movement, result, size):
        blocks += [Spacer(0, 3 * mm), PictureBlock(picture, *size)]
    return blocks


def swept_plots(movement: Movement, result: SweepResult, size: tuple[float, float]) -> list[Picture]:
    """Every figure that changes in the travel over its driver, each a picture `size` mm."""
    if len(result.driver) < 2:
        return []
    lengths = _Lengths(_units(movement))
    along = f"{result.words}, {lengths.units} from the drawing"
    driver = list(result.driver / lengths.each)
    limits: dict[str, list[tuple[float, str]]] = {}
    for damper in movement.linkage.job.damper:
        ends = ((damper.shortest, "closed"), (damper.longest, "open"))
        levels = [(level / lengths.each, word) for level, word in ends if level is not None]
        limits[f"{damper.name}, {lengths.units}"] = levels
    pictures: list[Picture] = []
    for head, values, _ in _changing(result, lengths.units):
        pictures.append(plot(driver, list(values), head, along, size, limits.get(head, ())))
    for tilt in _tilting(result):
        limit, _ = swing_limit(movement, tilt)
        level = [] if limit is None else [(math.degrees(limit), "limit")]
        head = f"{tilt.mark}{' ' + tilt.at if tilt.at else ''}: ball angle, °"
        pictures.append(plot(driver, list(np.degrees(tilt.angle)), head, along, size, level))
    return pictures


def _tilts(movement: Movement, result: SweepResult, width: float) -> list[Flowable]:
    def most(tilt: Tilt) -> int:
        return int(np.argmax(tilt.angle))

    def limit(tilt: Tilt) -> str:
        angle, _ = swing_limit(movement, tilt)
        return "-" if angle is None else f"{math.degrees(angle):.1f}°"

    tilting, lengths = _tilting(result), _Lengths(_units(movement))
    columns = [
        Column("ball", _ball),
        Column("most", lambda tilt: f"{math.degrees(tilt.angle[most(tilt)]):.1f}°", right=True),
        Column(f"at {result.words}, {lengths.units}", lambda tilt: lengths.text(result.driver[most(tilt)]), right=True),
        Column("limit", limit, right=True),
        Column("limit from", lambda tilt: swing_limit(movement, tilt)[1] or "none given"),
        Column("counted", lambda tilt: "square to its bolt" if tilt.square else "full swing from the drawing"),
    ]
    return section("Ball angles", listed(tilting, columns, width)) if tilting else []


def _clearances(movement: Movement, result: SweepResult | None, number: int, width: float) -> list[Flowable]:
    heads, rows = clearance_table(movement, result, number)
    steady = steady_clearances(movement, result, number)
    if not (rows or steady):
        return []
    far = movement.far + sum(_is_far(clear) for clear in _of_travel(movement, number))
    note = (
        f"{counted(far, 'further pair')} stayed farther apart than {mm_text(FAR, _units(movement))} and the "
        "clearance needed."
        if far
        else ""
    )
    blocks: list[Flowable] = [table(heads, rows, width, (2, 3, 4))] if rows else []
    return section("Least clearances", *blocks, *(cell(each, SMALL) for each in (steady, note) if each))


def _is_still(clear: Clearance) -> bool:
    """Whether two that are far enough apart do not move against one another, as a wheel and what it turns on."""
    return _is_steady(clear.clear, 1) and clear.least >= clear.wanted - _AT_LEAST


def _is_far(clear: Clearance) -> bool:
    """Whether two keep so far apart that nobody wants to know how far."""
    return clear.least >= clear.wanted + FAR


def _of_travel(movement: Movement, number: int) -> Sequence[Clearance]:
    return movement.clearances[number] if number < len(movement.clearances) else ()


def steady_clearances(movement: Movement, result: SweepResult | None, number: int) -> str:
    """One sentence that counts the pairs that ride on one body or else do not move against one another in the travel of
    that number, and keep their distance: no travel changes it; '' without.

    Args:
        movement: of the job.
        result: of that travel; None as drawn.
        number: of it.
    """
    near = (clear for clear in _of_travel(movement, number) if not _is_far(clear))
    still = sum(result is not None and _is_still(clear) for clear in near)
    has = "pair does" if still == 1 else "pairs do"
    kept = "it keeps its clearance" if still == 1 else "they keep their clearances"
    return f"{still} {has} not move against one another in this travel; {kept}." if still else ""


def clearance_table(movement: Movement, result: SweepResult | None, number: int) -> tuple[list[str], list[list[str]]]:
    """Heads and rows of what comes near what, in the travel of that number or as drawn."""
    lengths, rows = _Lengths(_units(movement)), []
    for clear in _of_travel(movement, number):
        if _is_far(clear) or (result is not None and _is_still(clear)):
            continue
        least = lengths.text(clear.least)
        word = (
            Level.STOP.word if clear.least <= 0.0 else Level.WARN.word if clear.least < clear.wanted - _AT_LEAST else ""
        )
        rows.append(
            [
                clear.one,
                clear.other,
                least if clear.least > 0.0 else f"{least} (runs in)",
                figure(clear.wanted / lengths.each, lengths.places),
                lengths.text(clear.driver(result.driver)) if result else "as drawn",
                ", ".join(_signed(float(v) / lengths.each, lengths.places - 1) for v in clear.points.mean(axis=0)),
                word,
            ]
        )
    at = f"at {result.words}, {lengths.units}" if result else "at"
    return ["envelope", "against", f"least, {lengths.units}", "needed", at, "near x, y, z", ""], rows
