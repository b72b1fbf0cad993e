"""Two changes of one text, line by line, as one: both where they lie apart, a question where they meet.

The rule is that of three-way merging (S. Khanna, K. Kunal, B. C. Pierce, 'A Formal Investigation of Diff3', FSTTCS
2007, from memory): a stretch that one side alone changed is taken from that side; what both changed alike is taken
once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher


@dataclass(frozen=True, slots=True)
class Clash:
    """A place that both sides changed: its first line (from 1) in the text before, and the lines of each."""

    line: int
    before: str
    own: str
    other: str


@dataclass(frozen=True, slots=True)
class MergedText:
    """The text with both changes; where they clash it has the other's lines, or one's own where these go first."""

    text: str
    clashes: tuple[Clash, ...]


def merged_text(before: str, own: str, other: str, own_first: bool = False) -> MergedText:
    """Both changes of a text in one.

    Args:
        before: what both began with.
        own: with one's own change.
        other: with the other's.
        own_first: what to take where they clash.
    """
    if own in (before, other):
        return MergedText(other, ())
    if other == before:
        return MergedText(own, ())
    old, mine, theirs = (text.splitlines(keepends=True) for text in (before, own, other))
    left, right = _kept(old, mine), _kept(old, theirs)
    # Lines that all three have, in order: between two of them each side has its stretch.
    anchors = [(i, left[i], right[i]) for i in range(len(old)) if i in left and i in right]
    anchors.append((len(old), len(mine), len(theirs)))
    made: list[str] = []
    clashes: list[Clash] = []
    at, at_mine, at_theirs = 0, 0, 0
    for i, j, k in anchors:
        base, a, b = old[at:i], mine[at_mine:j], theirs[at_theirs:k]
        if a in (base, b):
            made += b
        elif b == base:
            made += a
        else:
            clashes.append(Clash(at + 1, *("".join(lines) for lines in (base, a, b))))
            made += a if own_first else b
        if i < len(old):
            made.append(old[i])
        at, at_mine, at_theirs = i + 1, j + 1, k + 1
    return MergedText("".join(made), tuple(clashes))


def _kept(old: Sequence[str], new: Sequence[str]) -> dict[int, int]:
    """Of each line that a change kept, where it is in the changed text."""
    blocks = SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
    return {block.a + i: block.b + i for block in blocks for i in range(block.size)}
