"""Where something is on a flat part, in the words of its drawing: datum, letters of holes, numbers of bends."""

from __future__ import annotations

from collections.abc import Sequence

from fabgen.geometry.plane.outline import Circle, Xy
from fabgen.parts.piece import FlatPart, Hole
from fabgen.parts.shape.hole_groups import centre_of, hole_groups, hole_words, tabled_holes
from fabgen.wording.sentence import Sentence, mm, sentence


def place(flat: FlatPart, point: Xy) -> Sentence:
    """'82 mm from the left, 18 mm from below on the flat', as the drawing measures; from a disc's centre."""
    outline = flat.outline
    x0, y0 = (outline.x, outline.y) if isinstance(outline, Circle) else outline.bounds[:2]
    x, y = point[0] - x0, point[1] - y0
    if isinstance(outline, Circle):
        side, height = "left" if x < 0.0 else "right", "below" if y < 0.0 else "above"
        return sentence(mm(abs(x)), f" {side} of and ", mm(abs(y)), f" {height} the centre")
    made = " on the flat" if flat.bends or flat.rolled or flat.surface else ""
    return sentence(mm(x), " from the left, ", mm(y), f" from below{made}")


def one_of(flat: FlatPart, holes: Sequence[Hole], index: int, all_alike: bool = False) -> Sentence:
    """One of several like holes in words that lead to it on the drawing.

    'hole A3, Ø13.5 for M12 in face "left" (35 mm from the left, 25 mm from below on the flat)', and 'the worst of 4
    holes Ø9 for M8, that in face …' where there are several, or 'each of the 4 holes Ø9 for M8' where these are all
    there are and none is worse than another."""
    hole = holes[index]
    letter = next((each.name for each in tabled_holes(hole_groups(flat)) if each.hole is hole), "")
    face = f' in face "{hole.face}"' if hole.face and flat.bends else ""
    where = sentence(" (", place(flat, centre_of(hole.shape)), ")")
    name = hole_words(hole)
    if len(holes) == 1:
        return sentence(f"hole {letter}, " if letter else "hole ", name, face, where)
    if all_alike and len(holes) == sum(each.label == hole.label for each in flat.all_holes):
        return sentence(f"each of the {len(holes)} holes ", name)
    which = f", {letter}{face}" if letter else f", that{face}" if face else ""
    return sentence(f"the worst of {len(holes)} holes ", name, which, where, "," if which else "")


def bend_words(flat: FlatPart, index: int) -> str:
    """'bend 2 (web / left)': by its number in the bend table."""
    name = flat.bends[index].name
    return f"bend {index + 1} ({name})" if name else f"bend {index + 1}"
