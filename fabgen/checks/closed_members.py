"""Checks of hollow members that are closed, and of what is hot dip galvanized.

A tube or link is closed where each of its ends sits on another tube, has a plate or another part lying over it or let
into it where they stand, or is capped by a disc, cap or plug that the weld table welds all round; a hole under a part
that lies there opens nothing.  Holes that the job does not tell of are not seen.  Boxes of sheet are not checked.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.rule import PRACTICE, Found, found, listed_marks, rule
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, FlattenedEnd, LengthPart, Piece, ProfilePart
from fabgen.parts.shape.hollow.closed_members import closed_members, drains_zinc, holes_at, low_end
from fabgen.parts.shape.hollow.mouths import Mouths
from fabgen.parts.shape.hollow.open_ends import caps, is_sawn_to_plane
from fabgen.parts.shape.profiles import profile_body
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.shop.galvanizing import EndHoles, end_holes, overlap_hole, weld_vent
from fabgen.shop.section import Section
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, joined, mm, sentence, square_cm, square_mm

GALVANIZED = "galvanized after"
HOLES_SOURCE = "galvanizers' table, as EN ISO 14713-2 has it (from memory); ask your galvanizer"
OVERLAP_SOURCE = "ASTM A385, from memory; ask your galvanizer"
SLOPE = 0.2
"""A tube that rises by less of its length than this has no low end to speak of (common practice, no source)."""
_RING = np.array([[0.0, math.cos(a), math.sin(a)] for a in np.linspace(0.0, 2.0 * math.pi, 33)])
"""Places round an axis along x, (33, 3)."""


@rule("closed-tube", Level.NOTE, source=PRACTICE)
def closed_tube(job: Checked) -> Iterator[Found]:
    """A member that its welds close holds gas, which can burst it when it is welded, heated or galvanized."""
    closed = [piece for piece in _closed(job) if piece.coating != GALVANIZED]
    if closed:
        flat = any(isinstance(end.form, FlattenedEnd) for piece in closed if (part := piece.length_part)
                   for end in part.ends)  # fmt: skip
        how = "closed all round by welds" + (" or crushed ends" if flat else "") + _lids_over(job, closed)
        yield found(
            f"{how}: gas in it can burst it when it is welded, heated or galvanized: drill a vent "
            "of ", mm(weld_vent()), " before its last weld (`vents = true` under [job] puts it in), "
            "where water would gather: ", _low_places(closed),
            about=[piece.mark for piece in closed],
        )  # fmt: skip


@rule("galvanizing-holes", Level.STOP, Level.WARN, source=HOLES_SOURCE)
def galvanizing_holes(job: Checked) -> Iterator[Found]:
    """A closed member that is hot dip galvanized has holes at both ends, of the size its section needs."""
    galvanized = [piece for piece in closed_undrilled(job) if piece.coating == GALVANIZED]
    short = [piece for piece in galvanized if not drains_zinc(part := _aired(job, piece), _needed(part))]
    drilled = [piece for piece in short if _aired(job, piece).drilled]
    if bare := [piece for piece in short if piece not in drilled]:
        yield found(
            f"closed{_lids_over(job, bare)}, and galvanized: steam in it bursts it in the bath; holes at each end, "
            "hard by the weld, those of one end opposite those of the other: ", _holes_of(bare, job.units),
            "; `vents = true` under [job] puts them in", about=[piece.mark for piece in bare],
        )  # fmt: skip
    if drilled:
        yield found(
            f"closed{_lids_over(job, drilled)}, and galvanized, with too little hole hard by its ends; at each end, no "
            "farther from it than the tube is wide: ", _holes_of(drilled, job.units), ": drill them, or give "
            "`{ vent = true }`", level=Level.WARN, about=[piece.mark for piece in drilled],
        )  # fmt: skip


@rule("holds-water", Level.WARN)
def holds_water(job: Checked) -> Iterator[Found]:
    """Rain that gets into a closed tube by its holes runs out again at its low end."""
    marks = []
    for piece in closed_undrilled(job):
        part = _aired(job, piece)
        low = low_end(part)
        if part.drilled and low is not None and piece.coating != GALVANIZED:
            rise = abs(float(part.ends[0].frame.origin[2] - part.ends[1].frame.origin[2]))
            if rise > SLOPE * part.axis and not holes_at(part, low):
                marks.append(piece.mark)
    if marks:
        yield found("water that gets in by its holes stays in its low end, where it has none: drill one there, no "
                    "farther from the end than the tube is wide, or give `{ vent = true }`", about=marks)  # fmt: skip


@rule("galvanizing-overlap", Level.NOTE, source=OVERLAP_SOURCE)
def galvanizing_overlap(job: Checked) -> Iterator[Found]:
    """Two faces welded together all round shut moisture in between them, which bursts the seam in the bath."""
    parts = {piece.mark: piece for piece in job.pieces}
    for weld in job.job.weld:
        first, *others = (parts[mark] for mark in weld.parts if mark in parts)
        laid = first.shape
        if not (weld.all_round and isinstance(laid, FlatPart) and first.coating == GALVANIZED) or laid.holes:
            continue
        area = _laid(laid)
        if any(_has_flat(other) for other in others) and not caps(weld, parts) and (hole := overlap_hole(area)):
            onto = " and ".join(weld.parts[1:])
            yield found("it covers up to ", square_cm(area), f" of {onto}, welded all round, and is galvanized: drill ",
                        mm(hole, 0), " through it, or leave a gap in the weld", about=first.mark)  # fmt: skip


@rule("galvanizing-bath", Level.WARN)
def galvanizing_bath(job: Checked) -> Iterator[Found]:
    """What is galvanized in one is no longer than the bath."""
    bath = job.job.job.bath
    coated = [piece for piece in job.pieces if piece.coating == GALVANIZED]
    if bath is None or not coated:
        return
    placed = [piece for piece in coated if piece.is_placed]
    if placed:
        low, high = _box(placed)
        long = float(np.max(high - low))
        if long > bath + 0.5:
            yield found("its galvanized parts are ", mm(long), " long together, the bath ", mm(bath), ": bolt it "
                        "together of two, or ask whether they dip it twice",
                        about=[piece.mark for piece in placed])  # fmt: skip


@rule("galvanized-metal", Level.WARN)
def galvanized_metal(job: Checked) -> Iterator[Found]:
    """Aluminium and stainless are not hot dip galvanized."""
    metals = {piece.mark: job.job.find_material(piece.material).group for piece in job.pieces}
    wrong = [p.mark for p in job.pieces if p.coating == GALVANIZED and metals[p.mark] in ("aluminium", "stainless")]
    if wrong:
        names = " and ".join(dict.fromkeys(metals[mark] for mark in wrong))
        yield found(
            f'{names} does not go into the zinc bath: give these parts `coating = "none"` and bolt them on after',
            about=wrong,
        )


RULES = (closed_tube, galvanizing_holes, holds_water, galvanizing_overlap, galvanizing_bath, galvanized_metal)


# -- what is closed -------------------------------------------------------------------
@once
def mouths(job: Checked) -> Mouths:
    """What lies over the openings of its tubes."""
    return Mouths(job.job, job.pieces)


@once
def _closed(job: Checked) -> list[Piece]:
    return closed_members(job.job, job.pieces, mouths=mouths(job))


@once
def closed_undrilled(job: Checked) -> list[Piece]:
    """Those that their own holes alone open, too."""
    return closed_members(job.job, job.pieces, drilled=False, mouths=mouths(job))


def _length(piece: Piece) -> LengthPart:
    assert isinstance(piece.shape, LengthPart)
    return piece.shape


def _aired(job: Checked, piece: Piece) -> LengthPart:
    """A member with those of its holes alone that air passes."""
    return mouths(job).aired(piece.mark, _length(piece))


# -- words ----------------------------------------------------------------------------
def _low_places(pieces: Sequence[Piece]) -> str:
    """'near the start of T1, T2; in bend 2 of S', the places where water gathers."""
    places: dict[str, list[str]] = {}
    for piece in pieces:
        places.setdefault(_low_place(_length(piece)), []).append(piece.mark)
    if len(places) == 1:
        return next(iter(places))
    return "; ".join(f"{place} of {', '.join(marks)}" for place, marks in places.items())


def _low_place(part: LengthPart) -> str:
    start, finish = part.ends
    ends = {"start": float(start.frame.origin[2]), "finish": float(finish.frame.origin[2])}
    if part.path is not None:
        low = [
            min(float(turn.frame_at(s).origin[2]) for s in np.linspace(0.0, turn.length, 33))
            for turn in part.path.turns
        ]
        if min(low) < min(ends.values()) - 1.0:
            which = [i for i, z in enumerate(low, 1) if z < min(low) + 1.0]
            return f"in bend {which[0]}" if len(which) == 1 else f"from bend {which[0]} to {which[-1]}"
    if part.frame is None or abs(ends["start"] - ends["finish"]) <= 1.0:
        return "near either end"
    return f"near the {min(ends, key=lambda at: ends[at])}"


def _lids_over(job: Checked, pieces: Sequence[Piece]) -> str:
    """', with P1 and P2 over openings', of what lies over ends that nothing else closes, and over holes; '' of none."""
    marks: dict[str, None] = {}
    for piece in pieces:
        part, known = _length(piece), mouths(job)
        for end in part.ends:
            if is_sawn_to_plane(end):
                over = known.end(piece.mark, part, end).by
                marks.update(dict.fromkeys(by for by in over if by != end.stands_on))
        aired = known.aired(piece.mark, part).drilled
        for hole in part.drilled:
            if hole.lets_through and hole not in aired:
                marks.update(dict.fromkeys(known.hole(piece.mark, part, hole).by))
    return (
        f", with {listed_marks(tuple(marks))} over {'an opening' if len(marks) == 1 else 'openings'}" if marks else ""
    )


def _needed(part: LengthPart) -> EndHoles:
    return end_holes(part.section, part.length)


def _holes_of(pieces: Sequence[Piece], units: str) -> Sentence:
    """'on 60 x 60 x 3 one of 16 mm or two of 12 mm; on …'."""
    groups: dict[Sentence, dict[Section, None]] = {}
    for piece in pieces:
        groups.setdefault(_holes(_length(piece)), {})[_length(piece).section] = None
    each = (
        sentence("on ", ", ".join(section.words(units) for section in sections), " ", holes)
        for holes, sections in groups.items()
    )
    return joined("; ", each)


def _holes(part: LengthPart) -> Sentence:
    """'one of 16 mm or two of 12 mm'."""
    holes = _needed(part)
    if not holes.sizes:
        return sentence(square_mm(holes.area, 0), " of hole in all, as its section is large or it is long")
    words = {1: "one", 2: "two", 4: "four"}
    return joined(" or ", (sentence(f"{words[count]} of ", mm(size, 0)) for count, size in holes.sizes))


# -- overlaps and the bath ------------------------------------------------------------
def _has_flat(piece: Piece) -> bool:
    """Whether a flat can lie on it with its whole face."""
    return not isinstance(piece.shape, LengthPart) or not piece.shape.section.is_round


def _laid(flat: FlatPart) -> float:
    """What it can cover, mm2: of a folded part its first face at most, by its size less its bends."""
    if flat.tree is not None and flat.bends:
        return flat.tree.face.outline.area
    return flat.outline.area


def _along(x: float) -> Array:
    return np.array([x, 0.0, 0.0])


def _box(pieces: Sequence[Piece]) -> tuple[Array, Array]:
    """The box about placed pieces, along the job's axes: its least and greatest corner."""
    points: list[Array] = []
    for piece in pieces:
        part = piece.shape
        if isinstance(part, FlatPart):
            body = sheet_body(part).vertices
            points += [place.frame.outside(body) for place in part.places]
            continue
        if isinstance(part, ProfilePart):
            points.append(profile_body(part).in_frame(part.frame).vertices)
            continue
        ends = [replace(end.frame, origin=end.frame.outside(_along(end.line.longest))) for end in part.ends]
        along = [] if part.path is None else [part.path.frame_at(s) for s in part.path.stations(0.1)]
        points += [frame.outside(part.section.reach * _RING) for frame in (*ends, *along)]
    every = np.concatenate(points)
    return every.min(axis=0), every.max(axis=0)
