"""Checks of left and right hand, parts that have one made to one drawing for both sides; and of what is made again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from fabgen.changes.as_issued import as_issued
from fabgen.changes.same_metal import mirrored_tube, same_metal
from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import Found, found, rule
from fabgen.geometry.space.frame import Array, Frame
from fabgen.job.document import entries, mark_of
from fabgen.job.expansion.copies.mirrored_parts import STANDS
from fabgen.job.tables.definitions import FAMILIES
from fabgen.job.tables.part_tables import Tube
from fabgen.parts.piece import FlatPart, Piece, Place
from fabgen.parts.shape.alike import names
from fabgen.parts.shape.hands.own_image import is_handed
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.shop.sheet_cutting import COMMON
from fabgen.wording.levels import Level

_ACROSS = np.array([1.0, -1.0, 1.0])
_LIKE = 0.01
"""Parts whose masses differ by no more of it are alike."""
COARSE = 1.0
"""Chords of the bodies that are compared, mm."""


@rule("one-hand", Level.WARN, source=COMMON)
def one_hand(job: Checked) -> Iterator[Found]:
    """What differs from its mirror image does not serve left and right of the middle plane, y = 0, turned round: sheet
    parts with a place on either side, and tubes made twice that stand on one."""
    sheet = [piece.mark for piece in job.pieces if piece.is_to_make and _stands_on_both(job, piece)]
    tubes = [piece.mark for piece in job.pieces if piece.is_to_make and _is_half_of_a_pair(job, piece)]
    images = job.written.expanded.images
    for listed_marks, what, do in (
        (sheet, " on the left and on the right", "keep the places of one side and mirror"),
        (tubes, " twice, drawn on one side", "set quantity = 1 and mirror"),
    ):
        marks = [mark for mark in listed_marks if images.get(mark) not in listed_marks]
        if not marks:
            continue
        listed = ", ".join(f'"{mark}"' for mark in marks)
        used, whose, them = ("is", "its", "it") if len(marks) == 1 else ("are", "their", "them")
        said = f"{names(marks)} {used} used{what}, but {whose} mirror image is another part"
        yield found(f"{said}: {do} {them}, [[mirror]] parts = [{listed}]", about=marks)


def _opposite_hands(job: Checked, piece: Piece) -> list[Piece]:
    return [each for each in job.pieces if each.opposite_of == piece.mark or each.mark == piece.opposite_of]


def _stands_on_both(job: Checked, piece: Piece) -> bool:
    """Whether a handed part stands left and right, opposite itself and not its opposite hand; of more in a row none are
    taken for a pair."""
    part = piece.flat_part
    if part is None or len(part.places) < 2:
        return False
    given, size = _middles(part)
    middles = np.array(given)
    others = [at for each in _opposite_hands(job, piece) if each.flat_part for at in _middles(each.flat_part)[0]]
    for i, one in enumerate(middles):
        before = middles[:i]
        opposite = (one[1] * before[:, 1] < 0.0) & (np.linalg.norm(one * _ACROSS - before, axis=1) < size / 2.0)
        far = np.minimum(abs(one[1]), np.abs(before[:, 1])) > size / 2.0
        # Of more in a row none are taken for a pair.
        if any(float(np.linalg.norm(one * _ACROSS - at)) < size / 2.0 for at in others):
            continue
        if (opposite & far).any() and (np.hypot(*(middles - one)[:, [0, 2]].T) < size).sum() == 2:
            return is_handed(part)
    return False


def _middles(part: FlatPart) -> tuple[list[Array], float]:
    """The middle of the part at each of its places, and its greatest size, mm."""
    corners = sheet_body(part, COARSE).vertices
    low, high = corners.min(axis=0), corners.max(axis=0)
    middle = (low + high) / 2.0
    return [place.frame.outside(middle) for place in part.places], float((high - low).max())


def _is_half_of_a_pair(job: Checked, piece: Piece) -> bool:
    """Whether a tube made twice stands on one side alone, and differs from its mirror image."""
    part, table = piece.length_part, job.tube_tables.get(piece.mark)
    if part is None or table is None or piece.quantity != 2:
        return False
    sides = [point.y for point in table.route]
    if min(sides) * max(sides) <= 0.0 or min(map(abs, sides)) < part.section.width:
        return False
    if any(other.route[0].y * sides[0] < 0.0 for other in _images_of(job, piece.mark)):
        return False
    (one,) = as_issued((piece,))
    return not same_metal(one, mirrored_tube(one))


def _images_of(job: Checked, mark: str) -> Iterator[Tube]:
    """The tubes that are images of one, or of its images, and those that it is an image of."""
    images = job.written.expanded.images

    def first(mark: str) -> str:
        return first(images[mark]) if mark in images else mark

    own = first(mark)
    return (tube for other, tube in job.tube_tables.items() if other != mark and first(other) == own)


@rule("hand-unplaced", Level.WARN, source=COMMON)
def hand_unplaced(job: Checked) -> Iterator[Found]:
    """Two alike of what differs from its mirror image, without a place, are not one for each side of a job that
    mirrors other parts."""
    if not job.job.mirror:
        return
    marks = [piece.mark for piece in job.pieces if piece.is_to_make and _is_loose_pair(job, piece)]
    if marks:
        several = len(marks) > 1
        are, it = (f"{names(marks)} are", "them") if several else ("is", "it")
        said = f"{are} made twice of one hand, and {'their' if several else 'its'} mirror image is another part"
        listed = ", ".join(f'"{mark}"' for mark in marks)
        do = f"if one is for either side, set quantity = 1, give `place` and mirror {it}"
        yield found(f"{said}: {do}, [[mirror]] parts = [{listed}]", about=marks)


def _is_loose_pair(job: Checked, piece: Piece) -> bool:
    part = piece.flat_part
    if part is None or piece.quantity != 2 or part.places or _opposite_hands(job, piece):
        return False
    return is_handed(part)


# -- one side alone ----------------------------------------------------------------------
@rule("one-side", Level.WARN, source=COMMON)
def one_side(job: Checked) -> Iterator[Found]:
    """A plate, bracket or cover that is placed against a mirrored tube is mirrored with it, or lies across the plane,
    unless the [[mirror]] has it in `one_sided`."""
    images = {own: image for image, own in job.written.expanded.images.items()}
    meant = {name for given in job.job.mirror for name in given.one_sided}
    left: dict[str, list[str]] = {}
    for piece in job.pieces if images else ():
        if piece.mark in meant or piece.mark in images or piece.mark in job.written.expanded.images:
            continue
        on = (each for each in _left_behind(job, piece, images) if piece.mark not in _mirrored_with(job, images[each]))
        if carrier := next(on, ""):
            left.setdefault(carrier, []).append(piece.mark)
    if not left:
        return
    marks = [mark for each in left.values() for mark in each]
    said = [
        f"{carrier} is mirrored to {images[carrier]}, {names(each)} on it {'is' if len(each) == 1 else 'are'} not"
        for carrier, each in left.items()
    ]
    listed = ", ".join(f'"{mark}"' for mark in marks)
    do = f": add {listed} to `parts` of the [[mirror]], or to its `one_sided` where that is meant"
    yield found(named(said, "; ", FEW), do, about=marks)


def _left_behind(job: Checked, piece: Piece, images: Mapping[str, str]) -> Iterator[str]:
    """The mirrored tubes that carry a part on one side of the plane alone, where no like part is on their image."""
    part = piece.flat_part
    if part is None:
        return
    carriers = dict.fromkeys(place.against for place in part.places)
    for carrier in carriers:
        image = images.get(carrier, "")
        if image in job.tubes and image not in carriers and not _has_like(job, piece, image):
            one, other = (job.tubes[mark].frame for mark in (carrier, image))
            places = [place for place in part.places if place.against == carrier]
            if one is not None and other is not None and not all(_lies_across(part, p, one, other) for p in places):
                yield carrier


def _mirrored_with(job: Checked, image: str) -> Sequence[str]:
    """What the [[mirror]] lists that made a tube: a part of those is mirrored, wherever its image came to stand."""
    made_by = job.written.expanded.members.get(image, ())
    return job.job.mirror[int(made_by[1])].parts if made_by[:1] == ("mirror",) else ()


def _has_like(job: Checked, piece: Piece, carrier: str) -> bool:
    """Whether a part of the same metal and weight is on a tube."""
    return any(
        other is not piece and other.material == piece.material and abs(other.mass - piece.mass) <= _LIKE * piece.mass
        for other in job.pieces
        if (part := other.flat_part) is not None and any(place.against == carrier for place in part.places)
    )


def _lies_across(part: FlatPart, place: Place, one: Frame, other: Frame) -> bool:
    """Whether a part is on both sides of the plane between a tube and its image."""
    apart = other.origin - one.origin
    off = (place.frame.outside(sheet_body(part, COARSE).vertices) - (one.origin + other.origin) / 2.0) @ apart
    return bool(off.min() < 0.0 < off.max())


# -- made again --------------------------------------------------------------------------
@rule("made-again", Level.WARN, source=COMMON)
def made_again(job: Checked) -> Iterator[Found]:
    """Of a part that a [[mirror]] or [[repeat]] makes again there are no more than it stands at places: what these make
    is counted besides, so `quantity` is that of the part as drawn."""
    raw = job.written.raw
    own = {mark_of(entry): entry for table in FAMILIES for _, entry in entries(raw, table)}
    for table, given in (("mirror", job.job.mirror), ("repeat", job.job.repeat)):
        listed_marks = dict.fromkeys(mark for each in given for mark in each.parts)
        more = [
            (mark, count, places)
            for mark in listed_marks
            if (entry := own.get(mark)) is not None
            and type(count := entry.get("quantity")) is int
            and 0 < (places := _places_drawn(entry)) < count
        ]
        if not more:
            continue
        one = len(more) == 1
        said = [
            f"{'' if one else f'{mark} '}has quantity = {count} and stands at {places} place{'s' * (places > 1)}"
            for mark, count, places in more
        ]
        whose, what = "its" if one else "their", "image" if table == "mirror" else "copies"
        besides = f"; the [[{table}]] makes {whose} {what}{'s' * (table == 'mirror' and not one)} besides: "
        only = [mark for mark, _, places in more if places == 1]
        out = [f"leave `quantity` out{'' if one else f' of {names(only)}'}"] if only else []
        whole = [f"quantity = {places}{'' if one else f' for {mark}'}" for mark, _, places in more if places > 1]
        yield found(named(said, ", ", FEW), besides, "; ".join([*out, *whole]), about=[mark for mark, _, _ in more])


def _places_drawn(entry: Mapping[str, Any]) -> int:
    """At how many places a part stands by its table; 0 where it stands nowhere, or between ears, which are counted."""
    if isinstance(entry.get("between"), str):
        return 0
    where = next((entry[key] for key in ("place", "at") if key in entry), None)
    return len(where) if isinstance(where, list) else int(any(key in entry for key in STANDS))


RULES = (one_hand, hand_unplaced, one_side, made_again)
