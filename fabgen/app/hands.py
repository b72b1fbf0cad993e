"""Left and right hand of a job with a [[mirror]]: which of its parts are their own mirror image."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fabgen.changes.as_issued import as_issued
from fabgen.changes.same_metal import mirrored_tube, same_metal
from fabgen.job.errors import JobError
from fabgen.job.expansion.copies.mirrored_parts import KnownImage, KnownImages
from fabgen.job.reader import Job, read_text
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.flat_tables import Plate
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.build import in_place, starting_from
from fabgen.parts.piece import Piece
from fabgen.parts.shape.hands.own_image import (
    is_alike_end_for_end,
    is_on_itself,
    stands_by_points,
    turns_over,
    ways_to_image,
)

Sheet = Plate | Bracket | Cover | Strap
_SHEET = ("plate", "bracket", "cover", "strap")


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
            stood, pieces = in_place(loaded.definitions, _SHEET)
        except JobError:
            break
        found = _new_images(loaded, unknown, pieces)
        parts = {piece.mark: piece.flat_part for piece in pieces}
        on_itself = {
            key: is_on_itself(parts.get(key[1]), motion) for key, motion in ({} if unknown else straddling).items()
        }
        grows = any(each.ways is not None for each in found.values()) or any(on_itself.values())
        # Those are looked at once all images are known, where a part has all its places.
        waits = len(loaded.definitions.mirror) > 1 or bool(unknown and straddling)
        if not grows and not waits:
            return replace(loaded, definitions=starting_from(loaded.definitions, stood))
        known = KnownImages({**known.images, **found}, {**known.on_itself, **on_itself})
        again = read_text(loaded.text, loaded.path, known)
        loaded = replace(again, definitions=starting_from(again.definitions, stood))
    return loaded


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
    """The pieces, each opposite hand called so; mirror images that are one piece of metal with their first say that.

    Args:
        loaded: the job.
        pieces: all of them.
    """
    images, known = _images(loaded), {piece.mark: piece for piece in pieces}
    done = []
    for piece in pieces:
        first = known.get(images.get(piece.mark, piece.opposite_of))
        if first is not None:
            piece = _with_hand(piece, first)
        done.append(piece)
    return done


def _with_hand(image: Piece, first: Piece) -> Piece:
    """A mirror image that says what it is of its first: the same piece of metal, its opposite hand, or neither."""
    if first.flat_part is not None:
        is_one, is_opposite = ways_to_image(first, image) is not None, True
    else:
        own, other = as_issued((first, image))
        is_one = same_metal(own, other)
        # What is cut of it is the mirror image too? One that meets its first at the plane may sit on it.
        is_opposite = first.length_part is None or (not is_one and same_metal(mirrored_tube(own), other))
    if is_one:
        return replace(image, opposite_of="", same_as=first.mark)
    if is_opposite:
        title = f"{image.title}, opposite hand of {first.mark}".removeprefix(", ")
        return replace(image, opposite_of=first.mark, title=title)
    return image
