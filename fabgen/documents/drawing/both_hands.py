"""Two hands of a part on one drawing: the first as drawn, of the other the figures that differ.

The trade writes 'as drawn' and 'opposite hand' (ISO 128 lets a mirror image go without views of its own; clause from
memory, check against your copy).  A piece that is its own mirror image is one piece of metal under two marks: only
what lands on it differs.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from fabgen.documents.drawing.shared_sheets import Detail, Note
from fabgen.documents.drawing.sheet.views import TableText
from fabgen.parts.piece import Piece
from fabgen.parts.shape.alike import names


def title_of(marks: Sequence[str], called: str) -> str:
    """'T1, T2 +3 cross member'."""
    more = f" and {len(marks) - 2} more" if len(marks) > 2 else ""
    return f"{', '.join(marks[:2])}{more} {called}"


def groups_of_hands(groups: Sequence[Sequence[Piece]]) -> list[list[Sequence[Piece]]]:
    """Groups of pieces made alike, each with those of its opposite hand and of the same metal under other marks; the
    first of each is the one to draw."""
    found: list[list[Sequence[Piece]]] = []
    first: dict[str, list[Sequence[Piece]]] = {}
    for group in groups:
        lead = group[0]
        hands = first.get(lead.same_as) or first.get(lead.opposite_of)
        if hands is None:
            hands = []
            found.append(hands)
        hands.append(group)
        first |= {piece.mark: hands for piece in group}
    return found


def hand_note(group: Sequence[Piece], known: Mapping[str, Piece], told: Collection[str] = ()) -> list[Note]:
    """Of which hand a part is, and where the other is drawn; or that it is the same piece as another.

    Args:
        group: pieces made alike.
        known: all pieces of the job by mark.
        told: marks of all that its drawing is for.
    """
    piece = group[0]
    if piece.same_as and all(each.mark != piece.same_as for each in group):
        has_hand = any(piece.same_as in (each.opposite_of, each.mark) and each.opposite_of for each in known.values())
        why = "mirrored twice it is that again" if has_hand else "its mirror image is the same"
        return [(f"One piece of metal with {piece.same_as}: {why}.", False)]
    others = [each.mark for each in known.values() if each.opposite_of == piece.mark]
    if (first := known.get(piece.opposite_of)) is None:
        drawn_here = not others or set(others) <= set(told)
        return [] if drawn_here else [(f"Of two hands: the opposite hand is {names(others)}.", False)]
    text = f"Opposite hand of {first.mark}, its mirror image."
    if (part := piece.flat_part) is not None and part.band is None:
        bent = ", and every bend the other way" if part.bends else ""
        rolled = ", and rolled the other way" if part.rolled else ""
        text += f" Its flat is that of {first.mark} turned over{bent}{rolled}."
    return [(text, False)]


def with_opposite_hands(hands: Sequence[Detail]) -> Detail:
    """One drawing of several hands: the first one's views; tables and notes that are not the same of all stand once for
    each, with its mark.

    Args:
        hands: what the drawing of each would show, the first as it is drawn.
    """
    if len(hands) == 1:
        return hands[0]
    first = hands[0]
    said = [[note for note in hand.notes if all(note in each.notes for each in hands)] for hand in hands]
    notes: list[Note] = [(f"{names(first.marks)} as drawn.", False)]
    for hand, common in zip(hands, said, strict=True):
        own = [text for text, _ in hand.notes if not any(text == each for each, _ in common)]
        notes += [(f"{names(hand.marks)}: {text}", False) for text in own]
    notes += said[0]
    tables: list[TableText] = []
    left = [[*hand.content.tables] for hand in hands]
    for table in first.content.tables:
        like = [next((each for each in others if _is_like(table, each)), None) for others in left[1:]]
        found = [each for each in like if each is not None]
        if len(found) == len(hands) - 1:
            tables.append(_merged([table, *found], [names(hand.marks) for hand in hands]))
            left[0].remove(table)
            for others, each in zip(left[1:], found, strict=True):
                others.remove(each)
    for hand, others in zip(hands, left, strict=True):
        tables += [replace(table, title=f"{names(hand.marks)}: {table.title}") for table in others]
    later = tuple(dict.fromkeys(table for hand in hands for table in hand.content.later))
    marks = tuple(mark for hand in hands for mark in hand.marks)
    quantity = " + ".join(hand.fields.quantity for hand in hands)
    fields = replace(first.fields, quantity=quantity, title=title_of(marks, first.called))
    return replace(
        first, content=replace(first.content, tables=tuple(tables), later=later), notes=tuple(notes), fields=fields,
        marks=marks,
    )  # fmt: skip


_NAMED = 0.5
"""Tables of two hands are one where no more than this share of the columns differs."""


def _turned(table: TableText) -> TableText:
    return replace(table, rows=table.mirrored or table.rows)


def _differing(one: TableText, other: TableText) -> list[int]:
    return [i for i in range(len(one.heads)) if any(a[i] != b[i] for a, b in zip(one.rows, other.rows, strict=True))]


def _is_like(one: TableText, other: TableText) -> bool:
    """Whether a table of the other hand, read in the mirror or as it is, says the same but for a few columns."""
    if (one.title, one.heads, len(one.rows)) != (other.title, other.heads, len(other.rows)):
        return False
    most = _NAMED * len(one.heads)
    return min(len(_differing(one, other)), len(_differing(one, _turned(other)))) <= most


def _merged(tables: Sequence[TableText], marks: Sequence[str]) -> TableText:
    """One table of all hands: columns that differ stand once for each, headed by its mark."""
    first, title = tables[0], tables[0].title
    read: list[TableText] = [first]
    for table, mark in zip(tables[1:], marks[1:], strict=True):
        plain, turned = _differing(first, table), _differing(first, _turned(table))
        read.append(table if len(plain) <= len(turned) else _turned(table))
        title += "" if len(plain) <= len(turned) else f"; on {mark} counter-clockwise"
    apart = sorted({i for table in read[1:] for i in _differing(first, table)})
    heads: list[str] = []
    columns: list[list[str]] = []
    for i, head in enumerate(first.heads):
        for table, mark in zip(read, marks, strict=True) if i in apart else [(first, "")]:
            heads.append(f"{head} {mark}".strip() if mark else head)
            columns.append([row[i] for row in table.rows])
    return TableText(title, tuple(heads), tuple(zip(*columns, strict=True)))
