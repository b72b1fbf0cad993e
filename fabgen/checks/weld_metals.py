"""Checks of metals that are welded to one another: which pairs cannot be, which want a filler of their own, zinc in
the weld, and cold bends too near it.

A pair is known from tube ends on tubes, [[weld]], what brackets sit on, bungs of another metal, and from sheet parts
that are seated on something where the cut list counts a weld (`welded_parts.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from fabgen.checks.checked import Checked, once
from fabgen.checks.contact.welded_parts import seated_welds, told_marks, welded_of
from fabgen.checks.rule import Found, found, rule
from fabgen.contact.weld_bends import near_turns, to_folds
from fabgen.geometry.space.frame import Array
from fabgen.parts.piece import FlatPart, LengthPart, Piece
from fabgen.parts.shape.welds.welded import WeldedPair, welded_pairs
from fabgen.shop.materials import Group
from fabgen.shop.section import Section
from fabgen.shop.welding import NEAR, is_killed, next_row, thickest_by_bend, tube_complies
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, number, sentence

FILLER_SOURCE = "AWS Welding Journal, July 2016, on 304 to carbon steel; 316 by common practice, no source"
NEAR_SOURCE = "EN 1993-1-8:2005, 4.14 and table 4.2"
STEELS = ("mild steel", "alloy steel")
STRIPPED = 25.0
"""Width beside a weld from which zinc is taken off, mm: common practice, no source."""
MOST = 4
"""Pairs that a finding names; of more the rest are counted."""


@rule("metals-apart", Level.STOP)
def metals_apart(job: Checked) -> Iterator[Found]:
    """Aluminium is not welded to steel or stainless: the arc makes a brittle seam of the two, which breaks."""
    apart = _pairs(job, lambda one, other: (one == "aluminium") != (other == "aluminium"))
    if apart:
        yield found(
            f"aluminium cannot be welded to steel: {_named(apart)}; bolt or rivet them, with paint or plastic between "
            "that keeps the two apart, or make both of one metal",
            about=_marks(apart),
        )


@rule("stainless-to-steel", Level.NOTE, source=FILLER_SOURCE)
def stainless_to_steel(job: Checked) -> Iterator[Found]:
    """Stainless is welded to other steel with a filler made for the two."""
    mixed = _pairs(job, lambda one, other: "stainless" in (one, other) and (one in STEELS or other in STEELS))
    if mixed:
        yield found(
            f"stainless welded to mild or alloy steel: {_named(mixed)}; filler 309L (with 316: 309LMo or 309L), "
            "little heat, and paint over the seam and the steel: it rusts beside the stainless",
            about=_marks(mixed),
        )


@rule("zinc-in-weld", Level.WARN)
def zinc_in_weld(job: Checked) -> Iterator[Found]:
    """Zinc is taken off where a weld will be: its fume makes ill, and it leaves pores, and cracks in stainless."""
    coated = welded_of(job, [piece.mark for piece in job.pieces if _has_zinc(job, piece)])
    if not coated:
        return
    stainless = any(
        {pair.one, pair.other} & set(coated) and "stainless" in (metal.group for metal in pair.metals)
        for pair in _all_pairs(job)
    )
    cracks = ", and zinc left there cracks the stainless" if stainless else ""
    yield found(
        "zinc coated and welded: grind it off ", mm(STRIPPED, 0), " to either side of each weld, both faces, and "
        f"paint after; its fume makes ill and its gas leaves pores{cracks}",
        about=coated,
    )  # fmt: skip


@rule("weld-near-bend", Level.WARN, Level.NOTE, source=NEAR_SOURCE)
def weld_near_bend(job: Checked) -> Iterator[Found]:
    """Steel is welded within five thicknesses of a cold bend only where the bend is wide, or the steel thin, enough;
    hot finished tube and steel of quality J2, J2H or K2 up to 12.5 mm are not spoken of."""
    yield from _near_corners(job)
    yield from _seated_near_folds(job)
    yield from _seated_near_turns(job)
    welded = told_marks(job)
    over = {weld.parts[0] for weld in job.job.weld if weld.all_round}
    for piece in job.pieces:
        if piece.mark not in welded or not isinstance(piece.shape, FlatPart):
            continue
        t = piece.shape.thickness
        radius = min((each.bend.radius for each in piece.shape.bends), default=None)
        if radius is None or (limit := _outside(job, piece, radius, t)) is None:
            continue
        bend = sentence("bends of ", mm(radius, 2), " inside radius in ", mm(t), " sheet")
        away = sentence(" must keep ", mm(NEAR * t), " from them (", limit, "): ")
        if piece.mark in over:
            yield found(bend, " lie under a weld all round; welds", away, "bend it wider, or weld the flats only",
                        about=piece.mark)  # fmt: skip
        else:
            yield found(bend, ": welds", away, "or bend it wider", about=piece.mark, level=Level.NOTE)


RULES = (metals_apart, stainless_to_steel, zinc_in_weld, weld_near_bend)


# -- sheet where it is seated ---------------------------------------------------------
def _seated_near_folds(job: Checked) -> Iterator[Found]:
    """Folds of sheet that the job does not say is welded, near where it is seated; one finding a kind."""
    groups: dict[tuple[str, float, float], dict[str, float]] = {}
    pieces = {piece.mark: piece for piece in job.pieces}
    folds = {mark: min(each.bend.radius for each in part.bends)
             for mark, piece in pieces.items()
             if mark not in told_marks(job) and (part := piece.flat_part) is not None and part.bends and part.places
             and _outside(job, piece, min(each.bend.radius for each in part.bends), part.thickness)}  # fmt: skip
    if not folds:
        return
    for line in seated_welds(job):
        for mark in (each.mark for each in (line.one, line.other) if each.mark in folds):
            solid, piece = line.one if line.one.mark == mark else line.other, pieces[mark]
            if (off := to_folds(line, solid)) < NEAR * piece.thickness - 0.05:
                kind = groups.setdefault((piece.material, folds[mark], piece.thickness), {})
                kind[mark] = min(off, kind.get(mark, off))
    for (_, radius, t), offs in groups.items():
        limit = _outside(job, pieces[next(iter(offs))], radius, t)
        assert limit is not None
        yield found("where it is seated a weld would run ", mm(min(offs.values())), " from its bends of ",
                    mm(radius, 2), " inside radius in ", mm(t), " sheet: welds must keep ", mm(NEAR * t),
                    " from them (", limit, "), or bend it wider", about=list(offs), level=Level.NOTE)  # fmt: skip


def _seated_near_turns(job: Checked) -> Iterator[Found]:
    """Sheet seated on a tube at one of its bends. What the outside of a tube is stretched by as it is bent, half its
    width over the radius of its middle, is held against what a sheet's is: its thickness over twice the inside radius
    and itself."""
    bent = {mark: part for mark, part in job.tubes.items() if part.path is not None and part.path.turns}
    tight: dict[str, tuple[float, float]] = {}
    for piece in job.pieces:
        if (part := bent.get(piece.mark)) is not None and part.path is not None:
            wall, half = part.section.wall, max(part.section.width, part.section.depth) / 2.0
            as_sheet = max(0.0, wall * (min(turn.radius for turn in part.path.turns) / half - 1.0) / 2.0)
            complies = tube_complies(job.job.find_material(piece.material), wall)
            if not complies and _outside(job, piece, as_sheet, wall) is not None:
                tight[piece.mark] = as_sheet, half
    if not tight:
        return
    on: dict[str, list[str]] = {}
    for line in seated_welds(job):
        main = line.other.mark
        if main in tight and any(near_turns(line, NEAR * bent[main].section.wall)):
            on.setdefault(main, []).append(line.one.mark)
    for main, marks in on.items():
        path, wall, (as_sheet, half) = bent[main].path, bent[main].section.wall, tight[main]
        assert path is not None
        radius = min(turn.radius for turn in path.turns)
        names = ", ".join(dict.fromkeys(marks))
        yield found(f"{names} would be welded on its cold bend of ", mm(radius), " radius, whose outside is stretched ",
                    number(100.0 * half / radius, 0), " % in a wall of ", mm(wall), ": put it ", mm(NEAR * wall),
                    " or more from the bend, or bend the tube wider", about=main, level=Level.NOTE)  # fmt: skip


# -- corners of rectangular tube ------------------------------------------------------
def _near_corners(job: Checked) -> Iterator[Found]:
    """Rectangular tube welded at its corners, one finding a section and metal."""
    touched = _welded_at_corners(job)
    groups: dict[tuple[Section, str], list[Piece]] = {}
    for piece in job.pieces:
        part = piece.shape
        if isinstance(part, LengthPart) and piece.mark in touched:
            groups.setdefault((part.section, piece.material), []).append(piece)
    for (section, name), members in groups.items():
        material = job.job.find_material(name)
        if tube_complies(material, section.wall):
            continue
        limit = _outside(job, members[0], section.inner_corner, section.wall)
        if limit is None:
            continue
        killed_up_to = thickest_by_bend(section.inner_corner, section.wall, killed=True)
        yield found(
            "welded at cold formed corners of ", mm(section.inner_corner, 2), " inside radius in a wall of ",
            mm(section.wall), " (", limit, "): they may crack there; take quality J2H or hot finished tube "
            "(EN 10210-1), or keep the weld ", mm(NEAR * section.wall), " from the corners",
            about=[piece.mark for piece in members],
            level=Level.NOTE if section.wall <= killed_up_to + 1e-6 else Level.WARN,
        )  # fmt: skip


def _welded_at_corners(job: Checked) -> set[str]:
    """The marks of rectangular tubes with a weld within five walls of a corner: every end that is welded, and the
    mains whose corners a run comes near."""
    parts = {piece.mark: part for piece in job.pieces if (part := piece.length_part) is not None}
    found_at: set[str] = set()
    for mark, part in parts.items():
        for end in part.ends:
            for weld in end.welds:
                if _has_corners(part.section):
                    found_at.add(mark)
                main = parts.get(weld.onto)
                if main is None:
                    continue
                if _has_corners(main.section) and (weld.shared or _near_its_corners(main, weld.run.points)):
                    found_at.add(weld.onto)
    return found_at


def _has_corners(section: Section) -> bool:
    return not section.is_round and not section.is_solid


def _near_its_corners(main: LengthPart, points: Array) -> bool:
    """Whether any of some points (n, 3) on a straight main lies within five walls of its corners' arcs."""
    if main.frame is None or main.path is not None:
        return False
    section, off = main.section, points[~np.isnan(points).any(axis=1)] - main.frame.origin
    flat = np.array([section.width, section.depth]) / 2.0 - section.corner
    beside = np.abs(np.column_stack((off @ main.frame.z, off @ main.frame.y)))
    return bool((np.hypot(*np.maximum(flat - beside, 0.0).T) < NEAR * section.wall).any())


def _outside(job: Checked, piece: Piece, radius: float, thickness: float) -> Sentence | None:
    """The row that a bend lies outside of, in words; None where it lies within, or the table is not for the metal."""
    material = job.job.find_material(piece.material)
    most = thickest_by_bend(radius, thickness, is_killed(material))
    if material.group != "mild steel" or thickness <= most + 1e-6:
        return None
    if most == 0.0:
        return sentence("under 1 t of radius is in no row of the table")
    return sentence("under ", mm(next_row(radius, thickness)), " of radius: up to ", mm(most), " thick")


# -- pairs ----------------------------------------------------------------------------
def _pairs(job: Checked, concerns: Callable[[Group, Group], bool]) -> list[WeldedPair]:
    return [pair for pair in _all_pairs(job) if concerns(pair.metals[0].group, pair.metals[1].group)]


@once
def _all_pairs(job: Checked) -> list[WeldedPair]:
    """Those that the job tells of, then placed sheet with what it is seated on; each pair once."""
    told = welded_pairs(job.job, job.pieces)
    metals = {piece.mark: job.job.find_material(piece.material) for piece in job.pieces}
    if len({metal.group for metal in metals.values()}) < 2:
        return told  # contacts take long to find, and have nothing to say here
    found = {frozenset((pair.one, pair.other)): pair for pair in told}
    for line in seated_welds(job):
        one, other = line.one.mark, line.other.mark
        pair = frozenset((one, other))
        if pair not in found and metals[one].group != metals[other].group:
            found[pair] = WeldedPair(one, other, (metals[one], metals[other]))
    return list(found.values())


def _marks(pairs: Sequence[WeldedPair]) -> list[str]:
    return [mark for pair in pairs for mark in (pair.one, pair.other)]


def _named(pairs: Sequence[WeldedPair]) -> str:
    more = len(pairs) - MOST
    return ", ".join(pair.words for pair in pairs[:MOST]) + (f" and {more} more" if more > 0 else "")


def _has_zinc(job: Checked, piece: Piece) -> bool:
    return piece.coating == "zinc before welding" or job.job.find_material(piece.material).has_zinc
