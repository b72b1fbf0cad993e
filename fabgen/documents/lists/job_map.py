"""The job map: the steps of the job, their order, and what to check with a tape on the way."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from fabgen.documents.render.flow import Noted, section, table
from fabgen.documents.render.prose import prose
from fabgen.documents.render.words import counted, length_text, tape_text
from fabgen.parts.piece import (
    FlatPart,
    LengthPart,
    LinkPart,
    Piece,
    ProfilePart,
    WorkedEnd,
    drilled_to_make,
    holes_to_make,
    leg_holes_to_make,
    length_parts,
    made_here,
    profile_parts,
    taken_as_it_is,
    to_make,
)
from fabgen.parts.shape.standing import needs_set_out, set_out_marks
from fabgen.plan.fit_order import FitStep, TapeCheck, fit_steps, profile_checks, profile_steps
from fabgen.plan.plan import Plan

MOST_CHECKS = 6
"""So many readings of one step are listed here; the drawings have all."""

MOST_MARKS, MOST_PLACES = 40, 16
"""Marks of one step, and places along one tube, that are named: a row must fit a page."""

_BY_ASSEMBLY = "their places by the assembly"
_ON_JIG = "their ends: set-out.pdf, On the jig"
_ALSO_BELOW = "their ends, and those of the steps below: set-out.pdf, On the jig"
_STACKS = "from head to nut: set-out.pdf, Bolts"

Row = tuple[str, str, str]
"""What to do, to which marks, what to check."""

NO_BODIES: Mapping[str, str] = MappingProxyType({})


def job_map(
    pieces: Sequence[Piece],
    plan: Plan,
    units: str,
    width: float,
    bodies: Mapping[str, str] = NO_BODIES,
    early: Collection[str] = (),
    first: Sequence[str] = (),
) -> Noted:
    """The table; nothing for a job of one piece, whose drawing says it all.

    Args:
        pieces: of the job.
        plan: its bars, sheets and bolts.
        units: of the job.
        width: of the table, mm.
        bodies: the body that moves on which a part rides, by its mark.
        early: names of bolts that cannot be put in once all stands.
        first: marks of tubes that are welded before what would be in a torch's way goes on.
    """
    steps = list(map_rows(pieces, plan, units, bodies, early, first))
    if len(pieces) < 2:
        return Noted()
    rows = [[str(number), *step] for number, step in enumerate(steps, 1)]
    heads = ["", "do", "parts", "check with a tape"]
    notes = " ".join(prose("cut_list", name) for name in _notes(pieces))
    return Noted(section("Job map", table(heads, rows, width)), "Job map", notes)


def _notes(pieces: Sequence[Piece]) -> Iterator[str]:
    """Which notes go with the table."""
    profiles = any(profile_parts(pieces))
    if not profiles or any(length_parts(pieces)):
        yield "job_map"
    if profiles:
        yield "job_map_profiles"


def map_rows(
    pieces: Sequence[Piece],
    plan: Plan,
    units: str,
    bodies: Mapping[str, str] = NO_BODIES,
    early: Collection[str] = (),
    first: Sequence[str] = (),
) -> Iterator[Row]:
    """The steps in order, with `bodies`, `early` and `first` as for the table; each body that moves is welded by
    itself."""
    yield from _buying(plan)
    cut = to_make(pieces)
    yield from _tube_work(cut, units)
    yield from _profile_work(cut, units)
    yield from _sheet_work(cut, units)
    on_jig = _ON_JIG if needs_set_out(pieces) else ""
    # What is there already and has ends says of all where these are, else the first step does.
    by_site = any(isinstance(piece.shape, LengthPart | ProfilePart) for piece in taken_as_it_is(pieces))
    yield from _on_site(pieces, _ALSO_BELOW if on_jig and by_site else "")
    yield from _welded_first(first)
    frame = [piece for piece in pieces if piece.mark not in bodies]
    yield from _welding(frame, on_jig, by_site, units)
    for name in dict.fromkeys(bodies.values()):
        yield from _body(name, [piece for piece in pieces if bodies.get(piece.mark) == name], on_jig, units)
    yield from _early_bolts(plan, early)
    yield from _last(made_here(pieces), units)
    yield from _bolting(plan, early)


def _welding(pieces: Sequence[Piece], on_jig: str, is_said: bool, units: str) -> Iterator[Row]:
    """What does not move: fitted, tacked, measured again and welded.

    `is_said`: a step above says of all on which paper their ends are; else the first here does, and any that has no
    reading.
    """
    first_step = 1 if any(piece.as_it_is for piece in pieces) else 0
    steps, profiles = fit_steps(pieces), profile_steps(pieces)
    lines = [_ALSO_BELOW if on_jig and not is_said else "", *[""] * (len(steps) + len(profiles))]
    for number, step in enumerate(steps):
        yield _fitting(number + first_step, step, lines[number] or ("" if step.checks else on_jig), units)
    for number, own in enumerate(profiles):
        readings = _readings(list(profile_checks(own, pieces)), units)
        line = lines[len(steps) + number] or ("" if readings else on_jig)
        yield _fitting_profiles(number + first_step, own, readings, line)
    if len(steps) > 1 or (len(profiles) > 1 and not steps):
        first = mark_ranges(steps[0].pieces) if steps and steps[0].checks else ""
        again = f"again the readings of {first}, above" if first else "the readings of the steps before"
        yield ("Measure again, then weld in turns on opposite sides", "the tacked frame", again)


def _body(name: str, pieces: Sequence[Piece], on_jig: str, units: str) -> Iterator[Row]:
    """A body that moves, in one step of its own: what it turns on must not be welded to it."""
    tubes, profiles = fit_steps(pieces), profile_steps(pieces)
    orders = [step.pieces for step in tubes] + list(profiles)
    if sum(len(order) for order in orders) < 2:
        return
    checks = [check for step in tubes for check in step.checks]
    checks += [check for own in profiles for check in profile_checks(own, pieces)]
    what = f"Fit, tack, measure again and weld {name} by itself, off the frame"
    parts = "; then ".join(mark_ranges(order) for order in orders)
    yield (what, parts, _with("\n".join(_readings(checks, units)), on_jig) or "by the drawings")


def _welded_first(first: Sequence[str]) -> Iterator[Row]:
    if first:
        yield ("In the steps below, weld before what would be in the torch's way goes on", ", ".join(first),
               "which joints, and before what: see the findings, weld-first")  # fmt: skip


def _early_bolts(plan: Plan, early: Collection[str]) -> Iterator[Row]:
    if names := ", ".join(stack.name for stack in plan.bolts if stack.name in early):
        yield ("Put in the bolts that have no way in later", names, "before what shuts them out, see the findings")


def _bolting(plan: Plan, early: Collection[str]) -> Iterator[Row]:
    if names := ", ".join(stack.name for stack in plan.bolts if stack.name not in early):
        what = "Bolt together" + (", those above are in already" if len(early) else "")
        yield (what, names, _STACKS)


def _buying(plan: Plan) -> Iterator[Row]:
    bars, sheets = sum(bar.count for bar in plan.bars), len(plan.sheets)
    parts = [counted(bars, "bar")] if bars else []
    parts += [counted(sheets, "sheet")] if sheets else []
    if parts:
        yield ("Buy, from shopping-list.pdf", ", ".join(parts), "diameter, wall and thickness with a caliper")


def _on_site(pieces: Sequence[Piece], on_jig: str) -> Iterator[Row]:
    """What is bought or there already: set up before anything is fitted to it, and drilled.

    Args:
        on_jig: which paper says where ends lie, in words; '' where none does.
    """
    if not (there := taken_as_it_is(pieces)):
        return
    check = "against its drawn sizes: the rest follows it"
    yield ("Set up what is there already or bought", mark_ranges(there), _with(check, on_jig))
    bores = {piece.mark for piece, _ in holes_to_make(pieces)}
    drilled = [piece for piece in there if piece.mark in bores or drilled_to_make(piece) or leg_holes_to_make(piece)]
    if drilled:
        how = "each template by its lines, from an end that is there"
        yield ("Drill it on site, with tube-templates.pdf", mark_ranges(drilled), how)


def _tube_work(pieces: Sequence[Piece], units: str) -> Iterator[Row]:
    lengths = [(piece, piece.shape) for piece in pieces if isinstance(piece.shape, LengthPart)]
    if not lengths:
        return
    longest = max(lengths, key=lambda each: each[1].length)
    reading = f"each length; the longest, {longest[0].mark}: {tape_text(longest[1].length, units)}"
    slanted = any(_is_slanted(end) for _, part in lengths for end in part.ends)
    how = "Saw the bars: ends square, or slanted as the saw sheet says" if slanted else "Saw the bars square"
    yield (how, mark_ranges([piece for piece, _ in lengths]), reading)
    # Before they are bent: a die stock needs room to turn.
    formed = [piece for piece, part in lengths if any(end.form is not None for end in part.ends)]
    if formed:
        yield (
            "Thread or beat flat the ends, by the drawings",
            mark_ranges(formed),
            "a nut runs on by hand, as far as it must",
        )
    bent = [(piece, part) for piece, part in lengths if part.bends]
    if bent:
        flat = all(abs(math.sin(bend.rotation)) < 1e-6 for _, part in bent for bend in part.bends[1:])
        angle = "the first bend's angle" + ("; it lies flat" if flat else ", then each plane")
        yield ("Bend, by drawings.pdf", mark_ranges([piece for piece, _ in bent]), angle)
    worked = [
        (piece, end)
        for piece, part in lengths
        for end in part.ends
        if end.needs_template and not (end.saw is not None and end.saw.method == "straight saw cut")
    ]
    if worked:
        text = "on the print: the check lines. On the tube: both TOP lines in one line, and the short side"
        what = " and mitre" if any(end.cut == "mitre" for _, end in worked) else ""
        marks = mark_ranges(list({piece.mark: piece for piece, _ in worked}.values()))
        yield (f"Cope{what} the ends, with tube-templates.pdf", marks, text)
    slit = [piece for piece, part in lengths if any(hole.slit for hole in part.drilled)]
    if slit:
        how = "drill the hole at the bottom first, then saw to it; deburr"
        yield ("Slit the ends, with tube-templates.pdf", mark_ranges(slit), how)
    drilled = [
        (piece, replace(part, drilled=own))
        for piece, part in lengths
        if (own := tuple(hole for hole in part.drilled if hole.slit is None))
    ]
    if drilled:
        piece, part = drilled[0]
        along = tape_text(part.drilled[0].along, units)
        where = f"each from the saw cut; {piece.mark} {part.drilled[0].name}: {along} from the start"
        yield ("Drill the holes, with tube-templates.pdf", mark_ranges([piece for piece, _ in drilled]), where)
    sleeved = [piece for piece, part in drilled if any(hole.sleeve is not None for hole in part.drilled)]
    if sleeved:
        yield ("Weld in the crush sleeves, file them flush", mark_ranges(sleeved), "the bolt runs through by hand")


def _profile_work(pieces: Sequence[Piece], units: str) -> Iterator[Row]:
    own = list(profile_parts(pieces))
    if not own:
        return
    piece, part = max(own, key=lambda each: each[1].length)
    reading = f"each length; the longest, {piece.mark}: {tape_text(part.length, units)}"
    slanted = any(not end.is_square for _, each in own for end in each.ends)
    how = "Saw the profiles: ends square, or slanted as the saw sheet says" if slanted else "Saw the profiles square"
    yield (how, mark_ranges([each for each, _ in own]), reading)
    notched = [each for each, part in own if any(end.is_notched for end in part.ends)]
    if notched:
        how = "the inner corners drilled first; each face against its line"
        yield ("Notch the ends, with tube-templates.pdf", mark_ranges(notched), how)
    drilled = [each for each, part in own if part.holes]
    if drilled:
        yield ("Drill the legs, by the drawings", mark_ranges(drilled), "gauge line from the heel, then along it")


def _is_slanted(end: WorkedEnd) -> bool:
    return end.saw is not None and end.saw.method == "straight saw cut" and end.saw.from_square_deg > 0.0


def _sheet_work(pieces: Sequence[Piece], units: str) -> Iterator[Row]:
    flats = [(piece, piece.shape) for piece in pieces if isinstance(piece.shape, FlatPart)]
    sawn = [(piece, part) for piece, part in flats if part.bar is not None]
    if sawn:
        longest = max(sawn, key=lambda each: each[1].size[0])
        size = f"the longest, {longest[0].mark}: {tape_text(longest[1].size[0], units)}"
        yield ("Saw the flat bars square, drill by the drawings", mark_ranges([piece for piece, _ in sawn]), size)
    cut = [(piece, part) for piece, part in flats if part.bar is None]
    if cut:
        largest = max(cut, key=lambda each: each[1].outline.area)
        size = f"{largest[0].mark}: {' by '.join(length_text(side, units) for side in largest[1].size)}"
        yield ("Cut the flats, or order them by flat/*.dxf", mark_ranges([piece for piece, _ in cut]), size)
    shaped = [(piece, part) for piece, part in flats if part.bends or part.rolled]
    if shaped:
        sizes = [f"{piece.mark} {_outside(part, units)}" for piece, part in shaped if part.sizes]
        text = "; ".join(sizes[:MOST_CHECKS]) or "by the drawings"
        yield ("Fold and roll; a test strip first", mark_ranges([piece for piece, _ in shaped]), text)


def _outside(part: FlatPart, units: str) -> str:
    """The size of a folded part that a tape reaches best: over an outside where one is given."""
    what, size = next((each for each in part.sizes if "outside" in each[0]), part.sizes[0])
    return f"{what} {tape_text(size, units)}"


def _with(check: str, more: str) -> str:
    """What to check, and a line below it."""
    return "\n".join(filter(None, (check, more)))


def _fitting(number: int, step: FitStep, on_jig: str, units: str) -> Row:
    what = "Lay out and clamp" if number == 0 else "Fit and tack"
    readings = "\n".join(_readings(step.checks, units))
    return (what, mark_ranges(step.pieces), _with(readings, on_jig) or "by the drawings")


def _readings(checks: Sequence[TapeCheck], units: str) -> list[str]:
    readings = [_reading(check, units) for check in checks]
    if len(readings) > MOST_CHECKS:
        more = counted(len(readings) - MOST_CHECKS + 1, "line")
        readings = [*readings[: MOST_CHECKS - 1], f"and {more} more: see the drawings of the mains"]
    return readings


def _fitting_profiles(number: int, own: Sequence[Piece], readings: Sequence[str], on_jig: str) -> Row:
    what, check = "Fit and tack the profiles", "square to what they sit on"
    if number == 0:
        what = "Lay out, clamp and tack the profiles" if len(own) > 1 else "Lay out the profile"
        check = "both diagonals, by check-table.pdf"
    if any(end.kind == "mitre" for _, part in profile_parts(own) for end in part.ends):
        check = "both diagonals of each frame, by check-table.pdf"
    if readings or on_jig:
        return (what, mark_ranges(own), _with("\n".join([check, *readings]), on_jig))
    return (what, mark_ranges(own), f"{check}; {_BY_ASSEMBLY}")


def _reading(check: TapeCheck, units: str) -> str:
    if check.to:
        places = [f"{mark} {tape_text(length, units)}" for mark, length in zip(check.to, check.lengths, strict=True)]
        if len(places) > MOST_PLACES:
            places = [*places[:MOST_PLACES], f"and {len(places) - MOST_PLACES} more: see its drawing"]
        return f"{check.what} {', '.join(places)}"
    if check.alike:
        return f"{check.what}: {tape_text(check.lengths[0], units)}, alike"
    return f"{check.what}: {' and '.join(tape_text(length, units) for length in check.lengths)}"


def _last(pieces: Sequence[Piece], units: str) -> Iterator[Row]:
    plates = [piece for piece in pieces if isinstance(piece.shape, FlatPart)]
    if plates and len(plates) < len(pieces):
        placed = set_out_marks(plates)
        where = "their places by the assembly and the drawings"
        if placed:
            loose = len(placed) < len(plates)
            where = "both edges of each, by set-out.pdf" + ("; of loose ones by the drawings" if loose else "")
        yield ("Fit plates, brackets and covers", mark_ranges(plates), where)
    bars = [piece for piece, part in length_parts(pieces) if part.is_bent_bar]
    if bars:
        where = f"their places by {'set-out.pdf' if set_out_marks(bars) else 'the drawings'}"
        yield ("Fit the bent bars, lock the nuts of those threaded", mark_ranges(bars), where)
    links = [(piece, piece.shape) for piece in pieces if isinstance(piece.shape, LinkPart)]
    if links:
        pins = "; ".join(f"{piece.mark} {tape_text(part.pin_to_pin, units)}" for piece, part in links)
        yield ("Set the link rods, lock their nuts", mark_ranges([piece for piece, _ in links]), f"pin to pin: {pins}")


def mark_ranges(pieces: Sequence[Piece]) -> str:
    """'T1 to T4, T7, P2': runs of numbered marks are joined, in whatever order they are listed, as images are listed
    after all that is their own."""
    first: dict[str, int] = {}
    for piece in pieces:
        first.setdefault(_split(piece.mark)[0], len(first))
    keyed = [(first[letters], number, piece.mark) for piece in pieces for letters, number in [_split(piece.mark)]]
    groups: list[list[str]] = []
    for *_, mark in sorted(keyed, key=lambda each: each[:2]):
        if groups and _follows(groups[-1][-1], mark):
            groups[-1].append(mark)
        else:
            groups.append([mark])
    names = []
    for group in groups:
        names += [f"{group[0]} to {group[-1]}"] if len(group) > 2 else group
    more = len(names) - MOST_MARKS
    return ", ".join(names) if more <= 0 else f"{', '.join(names[:MOST_MARKS])} and {more} more: see the cut list"


def _follows(one: str, other: str) -> bool:
    (a, first), (b, second) = _split(one), _split(other)
    return a == b and first >= 0 and second == first + 1


def _split(mark: str) -> tuple[str, int]:
    """A mark without the number at its end, and that; -1 where it has none."""
    letters = mark.rstrip("0123456789")
    number = mark[len(letters) :]
    return letters, int(number) if number else -1
