"""Left and right hand of a job with a [[mirror]]: which of its parts are their own mirror image."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from fabgen.changes.as_issued import as_issued
from fabgen.changes.same_metal import mirrored_tube, same_metal
from fabgen.job.errors import JobError
from fabgen.job.expansion.copies.joined_images import Sheet, likely_joined
from fabgen.job.expansion.copies.mirrored_parts import LYING, SHEET, KnownImage, KnownImages
from fabgen.job.reader import Job, read_text
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.build import in_place, starting_from
from fabgen.parts.piece import Piece
from fabgen.parts.shape.hands.own_image import (
    is_alike_end_for_end,
    is_made_alike,
    is_on_itself,
    laid_onto,
    stands_by_points,
    turns_over,
    ways_to_image,
)


def with_own_images(loaded: Job) -> Job:
    """The job read again, the parts of sheet that are their own mirror image now one mark made more often; the very
    same where there are none, and where its parts have faults, which are reported when they are built.

    So it is with parts of sheet that are not mirrored but hold what is: where one lies on its own image, its bolts and
    welds are on both sides.

    A part that one mirror gives further places is mirrored at all of these by the next, whose image of it is therefore
    looked at once the job is read with them; and what a later mirror makes of an image hangs on whether it is one.

    Args:
        loaded: as read, with every image of a sheet part as a part of its own.
    Returns: the job, those of its places known already that were to be found on what they are against.
    """
    known = KnownImages()
    while True:
        unknown = _unknown_images(loaded, known.images)
        straddling = {} if loaded.expanded is None else loaded.expanded.on_itself
        if not unknown and not straddling:
            break
        try:
            stood, pieces = in_place(loaded.definitions, LYING)
        except JobError:
            break
        found = _new_images(loaded, unknown, pieces)
        parts = {piece.mark: piece.shape for piece in pieces}
        on_itself = {
            key: is_on_itself(parts.get(key[1]), motion) for key, motion in ({} if unknown else straddling).items()
        }
        grows = any(each.ways is not None for each in found.values()) or any(on_itself.values())
        # Those are looked at once all images are known, where a part has all its places.
        waits = len(loaded.definitions.mirror) > 1 or bool(unknown and straddling)
        if not grows and not waits:
            loaded = replace(loaded, definitions=starting_from(loaded.definitions, stood))
            break
        known = KnownImages({**known.images, **found}, {**known.on_itself, **on_itself})
        loaded = _read_again(loaded, known, stood)
    return _with_joined(loaded, known)


def _read_again(loaded: Job, known: KnownImages, stood: Definitions) -> Job:
    again = read_text(loaded.text, loaded.path, known, {each.name: each.text for each in loaded.tried})
    return replace(again, definitions=starting_from(again.definitions, stood))


def _with_joined(loaded: Job, known: KnownImages) -> Job:
    """The job read again, images that are made as an earlier mark is now further places of that."""
    likely = likely_joined(loaded.definitions, _images(loaded), loaded.raw)
    if not likely:
        return loaded
    try:
        stood, pieces = in_place(loaded.definitions, SHEET)
    except JobError:
        return loaded
    parts = {piece.mark: part for piece in pieces if (part := piece.flat_part) is not None}
    joined: dict[str, str] = {}
    for image, before in likely.items():
        alike = (own for own in before if own not in joined and is_made_alike(parts[image], parts[own]))
        if own := next(alike, ""):
            joined[image] = own
    return _read_again(loaded, replace(known, joined=joined), stood) if joined else loaded


def _unknown_images(loaded: Job, known: Mapping[str, KnownImage]) -> Mapping[str, str]:
    """By the image the first of each image of a part of sheet that is not known yet."""
    sheet = {part.mark for part in loaded.definitions.parts() if isinstance(part, Sheet)}
    return {image: own for image, own in _images(loaded).items() if image in sheet and image not in known}


def _new_images(loaded: Job, unknown: Mapping[str, str], made: Sequence[Piece]) -> Mapping[str, KnownImage]:
    """What there is to know of images of parts of sheet, made for it; of one part that is its own mirror image only of
    its first."""
    sheet = {part.mark: part for part in loaded.definitions.parts() if isinstance(part, Sheet)}
    pieces = {piece.mark: piece for piece in made}
    found: dict[str, KnownImage] = {}
    grown: set[str] = set()
    for image, own in unknown.items():
        if own in grown:
            continue
        first, other = pieces[own], pieces[image]
        ways = ways_to_image(first, other) if _may_be_itself(sheet[own], sheet[image], first) else None
        found[image] = KnownImage(ways, turns_over(first), stands_by_points(first, other, ways))
        if ways is not None:
            grown.add(own)
    return found


def _may_be_itself(part: Sheet, image: Sheet, built_part: Piece) -> bool:
    """Whether an image can be one more of its first."""
    if image.opposite_of != part.mark:  # but of an opposite hand, whose image is the first again
        return False
    if isinstance(part, Cover) and part.points is not None:  # which say where it is
        return False
    return not (isinstance(part, Strap) and part.at) or is_alike_end_for_end(built_part)


def _images(loaded: Job) -> Mapping[str, str]:
    return {} if loaded.expanded is None else loaded.expanded.images


def with_hands(loaded: Job, pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces, each opposite hand called so; mirror images that are one piece of metal with their first, or with
    another image of that, say so.

    Args:
        loaded: the job.
        pieces: all of them.
    """
    images, known = _images(loaded), {piece.mark: piece for piece in pieces}
    kin: dict[str, list[Piece]] = {}
    handed: dict[str, Piece] = {}
    for mark in (*(mark for mark in known if mark not in images), *(mark for mark in images if mark in known)):
        piece = known[mark]
        before = kin.setdefault(_first_of_all(mark, images), [])
        if (first := known.get(images.get(mark, piece.opposite_of))) is not None:
            handed[mark] = _with_hand(piece, first, before or [first])
        before.append(piece)
    return [handed.get(piece.mark, piece) for piece in pieces]


def _first_of_all(mark: str, images: Mapping[str, str]) -> str:
    while mark in images:
        mark = images[mark]
    return mark


def _with_hand(image: Piece, first: Piece, before: Iterable[Piece]) -> Piece:
    """A mirror image that says what it is: one piece of metal with one of those `before` it, the opposite hand of its
    first, or neither."""
    if (same := next((each for each in before if _is_one(each, image)), None)) is not None:
        return replace(image, opposite_of="", same_as=same.mark)
    # What is cut of it is the mirror image too? One that meets its first at the plane may sit on it.
    if first.length_part is None or _is_one(first, image, mirrored=True):
        title = f"{image.title}, opposite hand of {first.mark}".removeprefix(", ")
        return replace(image, opposite_of=first.mark, title=title)
    return image


def _is_one(one: Piece, other: Piece, mirrored: bool = False) -> bool:
    """Whether two pieces are one piece of metal, the first as its mirror image where that is asked."""
    if one.flat_part is not None and other.flat_part is not None:
        return laid_onto(other.flat_part, one.flat_part) is not None
    first, image = as_issued((one, other))
    return same_metal(mirrored_tube(first) if mirrored else first, image)
