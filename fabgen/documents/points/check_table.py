"""check-table.pdf: what to measure on the jig, how the frame as measured is out, and how well points are known."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from reportlab.lib import colors
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Table, TableStyle

from fabgen.checks.survey.frame_shape import shape_words
from fabgen.documents.points.frame_views import frame_views
from fabgen.documents.render import cautions
from fabgen.documents.render.flow import (
    BODY,
    MARGIN,
    SMALL,
    Column,
    PictureBlock,
    abreast,
    cell,
    flowing_pdf,
    halves,
    listed,
    opening,
    section,
    table,
)
from fabgen.documents.render.paper import Paper
from fabgen.documents.render.prose import prose
from fabgen.documents.render.set_out_words import outside_text
from fabgen.documents.render.words import counted, figure, in_mm, length_text, on_tape, signed, tape_text, with_unit
from fabgen.job.points.as_built import Built
from fabgen.job.tables.definitions import Definitions, Header
from fabgen.job.values.point import Point, Reading
from fabgen.parts.piece import Piece, face_landings_on, tube_parts
from fabgen.parts.shape.standing import set_out_on
from fabgen.parts.survey.between_skins import between_skins
from fabgen.parts.survey.check_distances import (
    CROSSWISE,
    EVERYWHERE,
    MOST,
    TUBES,
    TUBES_ON_FACES,
    Distance,
    Reach,
    distances,
    heights,
    on_faces,
    places,
)
from fabgen.parts.survey.following import Change, Survey, change_fact
from fabgen.parts.survey.measured import LEAST, UNHELD, distance_tolerance, place_tolerance
from fabgen.parts.survey.unchecked import there_already, unchecked
from fabgen.shop.tolerances import welded_length
from fabgen.wording.inches import INCH

PICTURE = 180.0
"""Height that the picture of the points may take, mm: what the first page leaves."""
LEAST_GAP = 0.05
"""A distance from skin to skin that differs by less from that of the axes is not said, mm."""


def check_table_pdf(
    header: Header, survey: Survey, pieces: Sequence[Piece], paper: Paper, tape: Reach = EVERYWHERE
) -> bytes | None:
    """The whole document; None where there is no distance to take.  The same input gives the same bytes.

    Args:
        header: what the title says of the job.
        survey: the job as drawn and as measured.
        pieces: complete, as drawn or as they follow what was measured.
        paper: its size.
        tape: where a tape goes on the job.
    """
    drawn = survey.drawn
    rows, more = distances(drawn, tape)
    if not rows:
        return None
    width = paper.width - 2 * MARGIN
    story: list[Flowable] = [
        *opening(header, f"{header.title}: check table", f"{_between(drawn)} {prose('check_table', 'how')}"),
        *(_as_built(survey.built, survey.changes, header, width) if survey.built else ()),
        *_picture(drawn, _shown(drawn, rows, tape), rows, width),
        *_distances(header, survey, pieces, rows, more, width),
        *_not_reached(drawn, tape),
        *_landings(pieces, header, width),
        *_placed(pieces, header, width),
        *_heights(header, survey, tape, width),
        *_measured(survey.job, width),
        *_lengths(survey.job, header, width),
        *section("Cautions", [cell(prose("check_table", "limits"), SMALL), cell(cautions.PEOPLE, SMALL)]),
    ]
    return flowing_pdf(story, paper, header, "check table")


def _between(job: Definitions) -> str:
    """Between what the distances run: the axes of tubes, the heels of angles and what is to be deducted there."""
    said = [prose("check_table", "faces" if on_faces(job) else "axes")] if job.tube or not job.profile else []
    if job.profile:
        said.append(prose("check_table", "profiles"))
    angles = {profile.section for profile in job.profile if profile.section.kind == "angle"}
    if angles:
        units = job.job.units
        each = sorted(f"{with_unit(a.thickness, units)} of {a.words(units)}" for a in angles)
        said.append(prose("check_table", "deduct").format(each=", ".join(each)))
    return " ".join(said)


def _lines_drawn(job: Definitions) -> str:
    """What the picture draws as lines."""
    if not job.profile:
        return "Axes of the tubes"
    return "Axes of the tubes and lines of the profiles" if job.tube else "Lines of the profiles, of angles their heels"


def _shown(job: Definitions, rows: Sequence[Distance], tape: Reach) -> list[Point]:
    """The places that the picture names: those of the table, and others that a tape can be held to."""
    named = {place.name for row in rows for place in (row.one, row.other)}
    return [place for place in places(job) if place.name in named or tape.is_held(place)]


def _not_reached(job: Definitions, tape: Reach) -> list[Flowable]:
    """Which points are no end for a tape, and why."""
    every = places(job)
    air = [place.name for place in every if not tape.is_held(place)]
    under = [place.name for place in every if place.name not in air and not tape.comes_to(place)]
    said = [
        prose("check_table", key).format(names=", ".join(names))
        for key, names in (("in_the_air", air), ("under_metal", under))
        if names
    ]
    return [cell(f"{prose('check_table', 'not_reached')} {' '.join(said)}", SMALL)] if said else []


def _picture(job: Definitions, shown: Sequence[Point], rows: Sequence[Distance], width: float) -> list[Flowable]:
    sketch, scale = frame_views(job, shown, rows, (width, PICTURE))
    panel = sketch.panel().at(0.0, 2.0)
    text = f"{_lines_drawn(job)}; dashed: the longest crosswise distances. Scale 1 : {figure(1.0 / scale, 1)}"
    return section("Points", [PictureBlock(panel.picture, width, panel.height + 4.0), cell(text, SMALL)])


# -- to measure ------------------------------------------------------------------------------
def _distances(
    header: Header, survey: Survey, pieces: Sequence[Piece], rows: Sequence[Distance], more: int, width: float
) -> list[Flowable]:
    read, units = _read(survey.built), header.units
    skins = _skins(pieces, rows)
    images = {piece.mark: mark for piece in pieces if (mark := piece.opposite_of or piece.same_as)}
    story: list[Flowable] = []
    is_said = False
    for kind in dict.fromkeys(row.kind for row in rows):
        if kind == CROSSWISE:
            is_said = True
            note = prose("check_table", "pairs").format(of_class=header.weld_tolerance)
            two = _crosswise([row for row in rows if row.kind == kind], read, header, width)
            story += section(kind, cell(note, SMALL), two)
            continue
        lines: list[list[str]] = []
        clear = kind == TUBES and bool(skins)
        own = _images_after([row for row in rows if row.kind == kind], images)
        pairs = _alike(own, images)
        for row in own:
            measured = read.get(frozenset((row.one.name, row.other.name)))
            lines.append(
                [
                    row.one.name,
                    row.other.name,
                    row.what,
                    _should_be(row, units),
                    *([tape_text(skins[row.mark], header.units) if row.mark in skins else "-"] if clear else ()),
                    *_read_cells(measured, row.length, header.units),
                    *([""] if pairs else ()),
                ]
            )
        heads = ["from", "to", "of", in_mm("should be", units), *(["skin to skin"] if clear else ()), "is", "out by"]
        heads += ["differs by"] if pairs else []
        for first, last in pairs:
            one, other = (read.get(frozenset((own[i].one.name, own[i].other.name))) for i in (first, last))
            out = welded_length(header.weld_tolerance, max(own[i].length for i in (first, last)))
            lines[first][-1] = _differs(one, other, out, units)
        numbers = tuple(range(3, len(heads)))
        ruled = _to_write(table(heads, lines, width, numbers), numbers[-3 if pairs else -2 :])
        for first, last in pairs:  # one cell for both, and a rule below them
            both = [("SPAN", (-1, first + 1), (-1, last + 1)), ("VALIGN", (-1, first + 1), (-1, last + 1), "MIDDLE")]
            ruled.setStyle(TableStyle([*both, ("LINEBELOW", (0, last + 1), (-1, last + 1), 0.8, colors.black)]))
        title = TUBES_ON_FACES if kind == TUBES and on_faces(survey.drawn) else kind
        notes = [prose("check_table", "skins")] if clear else []
        if pairs and not is_said:
            is_said = True
            notes.append(prose("check_table", "pairs").format(of_class=header.weld_tolerance))
        story += section(title, *(cell(note, SMALL) for note in notes), ruled)
    if more:
        story.append(cell(f"{counted(more, 'further distance')} left out: {MOST} are plenty to hold a frame.", SMALL))
    return story


def _crosswise(rows: Sequence[Distance], read: Mapping[frozenset[str], float], header: Header, width: float) -> Table:
    """The two of a pair side by side in one row; how far each reading is out stands among the readings."""
    units = header.units
    pairs: dict[str, list[Distance]] = {}
    for row in rows:
        pairs.setdefault(row.what, []).append(row)
    lines = []
    for pair in pairs.values():
        one, other = [read.get(frozenset((row.one.name, row.other.name))) for row in pair]
        sides = [
            [row.one.name, row.other.name, "" if at is None else tape_text(at, units)]
            for row, at in zip(pair, (one, other), strict=True)
        ]
        should = " / ".join(dict.fromkeys(_should_be(row, units) for row in pair))
        out = welded_length(header.weld_tolerance, max(row.length for row in pair))
        lines.append([*sides[0], *sides[1], should, _differs(one, other, out, units)])
    heads = ["from", "to", "is", "from", "to", "is", in_mm("should be", units), "differs by"]
    return _to_write(table(heads, lines, width, (2, 5, 6, 7), bold=(0, 3), apart=(3,)), (2, 5, 7))


def _differs(one: float | None, other: float | None, out: float, units: str) -> str:
    """What two readings differ by, over what they may."""
    differs = [] if one is None or other is None else [tape_text(abs(one - other), units)]
    return "\n".join([*differs, f"± {_allowed(out, units)}"])


def _images_after(rows: Sequence[Distance], images: Mapping[str, str]) -> list[Distance]:
    """The rows with those of mirror images after that of their first."""
    places = {row.of_part: i for i, row in enumerate(rows) if row.of_part}

    def place(row: Distance, own: int) -> int:
        mark = row.of_part
        while images.get(mark) in places:
            mark = images[mark]
        return places.get(mark, own)

    return [rows[i] for _, i in sorted((place(row, i), i) for i, row in enumerate(rows))]


def _alike(rows: Sequence[Distance], images: Mapping[str, str]) -> list[tuple[int, int]]:
    """The numbers of rows that follow one another and are alike on a true frame, a part's and its mirror image's."""
    found: list[tuple[int, int]] = []
    for i, (one, other) in enumerate(pairwise(rows)):
        is_image = bool(other.of_part) and images.get(other.of_part) == one.of_part
        alike = is_image and abs(one.length - other.length) < LEAST_GAP
        if alike and (not found or found[-1][1] < i):
            found.append((i, i + 1))
    return found


def _skins(pieces: Sequence[Piece], rows: Sequence[Distance]) -> dict[str, float]:
    """By the marks of tubes, how far it is between the skins of what their ends sit on, where that is not their axis'
    length."""
    tubes = tube_parts(pieces)
    lengths = {row.mark: row.length for row in rows if row.mark in tubes}
    found = {mark: between_skins(tubes[mark], tubes) for mark in lengths}
    return {mark: clear for mark, clear in found.items() if clear and abs(clear - lengths[mark]) > LEAST_GAP}


def _landings(pieces: Sequence[Piece], header: Header, width: float) -> list[Flowable]:
    """Where the ends of profiles, and tubes on profiles, land on what carries them."""
    sizes = [
        (
            piece.mark,
            f"{landing.branch} ({landing.at})",
            tape_text(landing.first, header.units),
            tape_text(landing.last, header.units),
        )
        for piece in pieces
        for landing in face_landings_on(piece)
    ]
    title = "Edges of what lands on profiles, from the start"
    return _on_carriers(title, "far edge", sizes, "the drawings", header.units, width)


def _placed(pieces: Sequence[Piece], header: Header, width: float) -> list[Flowable]:
    """Where placed parts are on what carries them, skin to skin: nothing is to be deducted."""
    sizes = [
        (
            on.name,
            each.name,
            tape_text(found.along[0], header.units),
            outside_text(on.carrier, found, header.units),
        )
        for on in set_out_on(pieces)
        for each, found in on.standing
        if found.along is not None
    ]
    title = "Plates and brackets, from the start or the left edge; outside: over all"
    return _on_carriers(title, "outside", sizes, "set-out.pdf", header.units, width)


def _on_carriers(
    title: str, second: str, sizes: Sequence[tuple[str, str, str, str]], rest: str, units: str, width: float
) -> list[Flowable]:
    """A row for each part on what carries it: its near edge and a `second` size, each with room to write beside it;
    of more rows than a table takes the `rest` is named."""
    if not sizes:
        return []
    rows = [[on, of, near, "", other, ""] for on, of, near, other in sizes[:MOST]]
    more = len(sizes) - MOST
    heads = ["on", "of", in_mm("near edge", units), "is", in_mm(second, units), "is"]
    ruled = _to_write(table(heads, rows, width, (2, 3, 4, 5)), (3, 5))
    left = [cell(f"{counted(more, 'further row')} left out: see {rest}.", SMALL)] if more > 0 else []
    return section(title, ruled, *left)


def _read(built: Built | None) -> dict[frozenset[str], float]:
    if built is None:
        return {}
    return {frozenset((one, other)): length for one, other, length in built.given.distances}


def _heights(header: Header, survey: Survey, tape: Reach, width: float) -> list[Flowable]:
    datum, every = heights(survey.drawn)
    held = {place.name for place in places(survey.drawn) if tape.is_held(place)}
    every = {name: height for name, height in every.items() if name in held}
    read = survey.built.given.heights if survey.built else {}
    lines = []
    for name, height in sorted(every.items(), key=lambda item: (item[1], item[0])):
        lines.append([name, tape_text(height, header.units), *_read_cells(read.get(name), height, header.units)])
    given = survey.job.measuring.datum is not None
    what = "the datum" if given else "the lowest point"
    place = _height_place(survey.drawn)
    intro = f"Above {what}, z = {on_tape(datum, header.units)}; plumb, from a level floor or jig to the {place}."
    heads = ["point", in_mm("should be", header.units), "is", "out by"]
    if len(lines) <= 8:
        return section("Heights", [cell(intro, SMALL), _to_write(table(heads, lines, width, (1, 2, 3)), (2, 3))])
    two = halves(lines, [""] * len(heads))
    ruled = table([*heads, *heads], two, width, (1, 2, 3, 5, 6, 7), bold=(0, 4), apart=(4,))
    return section("Heights", cell(intro, SMALL), _to_write(ruled, (2, 3, 6, 7)))


def _height_place(job: Definitions) -> str:
    """To what of a tube or profile heights are taken."""
    if on_faces(job):
        return "point, on the tube's face where it is drawn so"
    line = "line of the profile, of an angle its heel"
    return ("tube's axis or the " + line if job.tube else line) if job.profile else "tube's axis"


def _read_cells(measured: float | None, drawn: float, units: str) -> list[str]:
    """What was read and how far that is out; empty, to be written in, where nothing was."""
    return ["", ""] if measured is None else [tape_text(measured, units), _out_by(measured - drawn, units)]


def _to_write(ruled: Table, columns: Sequence[int]) -> Table:
    """The table with boxes to write in."""
    ruled.setStyle(
        TableStyle(
            [("INNERGRID", (c, 1), (c, -1), 0.5, colors.black) for c in columns]
            + [("BOX", (c, 1), (c, -1), 0.5, colors.black) for c in columns]
            # A figure in the last of them keeps clear of its line.
            + [("RIGHTPADDING", (-1, 1), (-1, -1), 1.0 * mm)]
        )
    )
    return ruled


# -- as built ----------------------------------------------------------------------------------
def _as_built(built: Built, changed: Sequence[Change], header: Header, width: float) -> list[Flowable]:
    words = shape_words(built)
    texts = [text.words(header.units) for text in words]
    intro = [cell(f"{text[0].upper()}{text[1:]}.", BODY) for text in texts]
    story = section("The frame as built", intro)
    read = built.readings[: len(built.given.distances)]
    columns = [
        Column("measured", lambda r: r.words),
        Column(in_mm("as drawn", header.units), lambda r: length_text(r.drawn, header.units), right=True),
        Column("read", lambda r: length_text(r.read, header.units), right=True),
        Column("out by", lambda r: _signed(r.read - r.drawn, header.units), right=True),
        Column("misfit", lambda r: _signed(r.made - r.read, header.units), right=True),
    ]
    if read:
        story += section("Readings", listed(read, columns, width))
    rows = []
    for i, name in enumerate(built.names):
        held = built.frame.held[i]
        off = zip(built.frame.off[i], held, strict=True)
        out = [_signed(float(v), header.units) if h else "no reading" for v, h in off]
        rows.append([name, *out])
    heads = ["point", in_mm("out along x", header.units), "y", "z"]
    ruled = table(heads, rows, width, (1, 2, 3))
    story += section("How far each point is out", cell(prose("check_table", "as_built"), SMALL), ruled)
    return story + _follows(changed, header, width)


def _follows(changed: Sequence[Change], header: Header, width: float) -> list[Flowable]:
    rows = []
    for change in changed:
        if change.is_any or change.made:
            follows = change_fact(change)
            rows.append([change.mark, follows.label, follows.text.words(header.units)])
    same = [change.mark for change in changed if not change.is_any and not change.made]
    note = f"As drawn: {', '.join(same)}." if same else ""
    blocks: list[Flowable] = []
    if rows:
        blocks.append(table(["mark", "", "new figures"], rows, width))
    if note:
        blocks.append(cell(note, SMALL))
    if not blocks:
        return []
    return section("Parts that follow the frame", *blocks)


# -- measured points -----------------------------------------------------------------------------
def _measured(job: Definitions, width: float) -> list[Flowable]:
    rows: list[list[str]] = []
    remarks: list[str] = []
    units = job.job.units
    for name, point in job.points.items():
        if point.record is None:
            continue
        tolerance = place_tolerance(point)
        at = [f"{length_text(v, units)}{_within(t, units)}" for v, t in zip(point.xyz, tolerance, strict=True)]
        times = point.record.widened
        wide = f"; readings disagree: ± widened {figure(times, 1)} times" if times > 1.0 else ""
        rows.append([name, point.record.how + wide, *at])
        remarks += [f"{name}: {remark.text.words(units)}." for remark in point.record.remarks]
    if not rows:
        return []
    error = f"Tape readings within ± {with_unit(job.measuring.tape_error, units)}, offsets within ± "
    error += f"{with_unit(job.measuring.offset_error or job.measuring.tape_error, units)}, 95 in 100"
    error += "." if "tape_error" in job.measuring.model_fields_set else " (the job gives no other)."
    heads = ["point", "how", in_mm("x", units), "y", "z"]
    story = section("Measured points", cell(error, SMALL), table(heads, rows, width, (2, 3, 4)))
    story += _readings(job, width)
    for each in unchecked(job.points, there_already(job)):
        what = "three readings, which nothing checks" if each.few else "only `side` says on which side it lies"
        remarks.append(f"{each.name}: {what}; take one more, {each.more.words(units)}.")
    if remarks:
        story += section("Notes on the readings", *(cell(text, BODY) for text in remarks))
    return story


def _readings(job: Definitions, width: float) -> list[Flowable]:
    """What was read of each point that several readings place: to hold a tape to again, also where none checks
    another."""
    rows = [
        (name, reading)
        for name, point in job.points.items()
        if point.record and len(point.record.readings) > 1
        for reading in point.record.readings
    ]
    units = job.job.units
    if all(reading.stands_out is None for _, reading in rows):
        said = [[name, reading.words, length_text(reading.read, units)] for name, reading in rows]
        heads = ["point", "reading", in_mm("read", units)]
        intro = cell(prose("check_table", "readings_alone"), SMALL)
        return section("Readings", intro, abreast(heads, said, width, (2,))) if rows else []
    columns = [
        Column("point", lambda row: row[0]),
        Column("reading", lambda row: row[1].words),
        Column(in_mm("read", units), lambda row: length_text(row[1].read, units), right=True),
        Column("fits", lambda row: _checked(row[1], length_text(row[1].made, units)), right=True),
        Column("misfit", lambda row: _checked(row[1], _signed(row[1].made - row[1].read, units)), right=True),
        Column("times chance", lambda row: _times_chance(row[1]), right=True),
    ]
    return section("Readings", cell(prose("check_table", "readings"), SMALL), listed(rows, columns, width))


def _checked(reading: Reading, text: str) -> str:
    """What is said of a reading that others check; '-' of one that they do not."""
    return "-" if reading.stands_out is None else text


def _times_chance(reading: Reading) -> str:
    return _checked(reading, f"{reading.stands_out or 0.0:.1f}")


def _lengths(job: Definitions, header: Header, width: float) -> list[Flowable]:
    """Tubes, profiles and links between measured points with their tolerance."""
    spans: list[tuple[str, str, Sequence[Point]]] = [
        (t.mark, "point to point", (t.route[0], t.route[-1])) for t in job.tube
    ]
    spans += [(p.mark, "end to end", (p.route[0], p.route[1])) for p in job.profile]
    spans += [(link.mark, "pin to pin", link.between) for link in job.link if link.between]
    rows = []
    for mark, what, (one, other) in spans:
        tolerance = distance_tolerance(one, other)
        if tolerance >= LEAST:
            length = math.dist(one.xyz, other.xyz)
            rows.append([mark, what, length_text(length, header.units), _within(tolerance, header.units).strip()])
    if not rows:
        return []
    heads = ["mark", "length", in_mm("it is", header.units), in_mm("95 in 100 within", header.units)]
    return section("Lengths between measured points", abreast(heads, rows, width, (2, 3)))


def _within(tolerance: float, units: str) -> str:
    if tolerance > UNHELD:
        return " not held"
    return f" ± {length_text(tolerance, units)}" if tolerance >= LEAST else ""


def _should_be(row: Distance, units: str) -> str:
    """A distance as a tape shows it, with what it may be out by."""
    tolerance = distance_tolerance(row.one, row.other)
    within = _within(tolerance, units) if tolerance > UNHELD else f" ± {_allowed(tolerance, units)}"
    return tape_text(row.length, units) + (within if tolerance >= LEAST else "")


def _allowed(out: float, units: str) -> str:
    """What a length may be out by, as a tape shows it: of inches 1/32 at least."""
    return tape_text(max(out, INCH / 32.0) if units == "in" else out, units)


def _signed(out: float, units: str) -> str:
    """How far something is out, with its sign; '0' of what is not."""
    text = length_text(out, units)
    return "0" if text == '0"' else signed(text)


def _out_by(out: float, units: str) -> str:
    """How far something is out as a tape shows it."""
    text = tape_text(out, units)
    return "0" if text == '0"' else signed(text)
