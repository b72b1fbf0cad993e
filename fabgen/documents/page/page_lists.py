"""The page's lists: the cut list with boxes to tick, and all checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fabgen.checks.rule import Finding, graded, merged
from fabgen.documents.render.words import size_text, stock_text
from fabgen.job.tables.definitions import FAMILIES
from fabgen.parts.piece import Piece
from fabgen.wording.levels import Level

STATE_WORDS = {"made": "made already", "bought": "bought", "there already": "there already"}
"""What stands in place of the size of a part that is not to be cut."""
MOST_BOXES = 12
"""A mark made more often than this has one box for all of them."""


@dataclass(frozen=True)
class CutRow:
    """A mark in the cut list: `level` of its gravest finding, `print` by which ticks set for other metal are known,
    `words` it is found by, `unit` of its size where that does not say it, and the labels of its boxes."""

    piece: Piece
    level: Level | None
    print: str
    words: str
    stock: str
    size: str
    unit: str
    boxes: tuple[str, ...]


def worst(findings: Sequence[Finding]) -> dict[str, Level]:
    """By mark the level of the gravest finding on it."""
    found: dict[str, Level] = {}
    for finding in graded(findings):
        for mark in finding.marks:
            found.setdefault(mark, finding.level)
    return found


def cut_list(
    pieces: Sequence[Piece], findings: Sequence[Finding], prints: Mapping[str, str], units: str
) -> list[tuple[str, list[CutRow]]]:
    """The families' headings and their rows."""
    gravest = worst(findings)
    groups = []
    for kind, family in FAMILIES.items():
        rows = [_row(p, gravest.get(p.mark), prints[p.mark], units) for p in pieces if p.kind == kind]
        if rows:
            groups.append((family.heading, rows))
    return groups


def _row(piece: Piece, level: Level | None, cut: str, units: str) -> CutRow:
    stock = stock_text(piece, units)
    # What a part is, in the words of its list and of its table in the job file, finds it too.
    words = f"{piece.mark} {piece.title} {piece.kind} {FAMILIES[piece.kind].heading} {stock}".lower()
    size = size_text(piece, units) if piece.is_to_make else STATE_WORDS[piece.state]
    unit = "mm" if piece.is_to_make and units == "mm" else ""
    # One box for all is ticked for so many.
    own = cut if piece.quantity <= MOST_BOXES else f"{cut}x{piece.quantity}"
    return CutRow(piece, level, own, words, stock, size, unit, tuple(_boxes(piece)))


def _boxes(piece: Piece) -> Iterator[str]:
    if not piece.is_to_make:
        return
    count = piece.quantity if piece.quantity <= MOST_BOXES else 1
    for i in range(1, count + 1):
        if piece.quantity == 1:
            yield f"{piece.mark} done"
        elif count == 1:
            yield f"all {piece.quantity} of {piece.mark} done"
        else:
            yield f"{piece.mark}, piece {i} of {count}, done"


def by_level(findings: Sequence[Finding]) -> list[tuple[str, list[Finding]]]:
    """Headings and findings, the gravest first, those that say the same of several marks listed once."""
    every = merged(findings)
    groups = [(level.heading, [each for each in every if each.level == level]) for level in Level]
    return [(heading, found) for heading, found in groups if found]
