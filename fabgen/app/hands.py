"""Left and right hand of a job with a [[mirror]]: which of its parts are their own mirror image."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from fabgen.changes.as_issued import as_issued
from fabgen.changes.same_metal import mirrored_tube, same_metal
from fabgen.job.errors import JobError
from fabgen.job.expansion.copies.mirrored_parts import KnownImage
from fabgen.job.reader import Job, read_text
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.flat_tables import Plate
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.build import all_pieces
from fabgen.parts.piece import Piece
from fabgen.parts.shape.hands.own_image import (
    is_alike_end_for_end,
    stands_by_points,
    turns_over,
    ways_to_image,
)


def with_own_images(loaded: Job) -> Job:
    """The job read again, the parts of sheet that are their own mirror image now one mark made more often; the very
    same where there are none, and where its parts have faults, which are reported when they are built.

    Args:
        loaded: as read, with every image of a sheet part as a part of its own.
    """
    images = {each.mark: each.opposite_of or "" for each in _opposite_hands(loaded)}
    images = {image: own for image, own in images.items() if _images(loaded).get(image) == own}
    if not images:
        return loaded
    try:
        known = {piece.mark: piece for piece in all_pieces(loaded.definitions)}
    except JobError:
        return loaded
    on_tubes = {strap.mark for strap in loaded.definitions.strap if strap.at}
    found: dict[str, KnownImage] = {}
    for image, own in images.items():
        ways = ways_to_image(known[own], known[image])
        if own in on_tubes and not is_alike_end_for_end(known[own]):
            ways = None
        found[own] = KnownImage(ways, turns_over(known[own]), stands_by_points(known[own], known[image], ways))
    if all(each.ways is None for each in found.values()):
        return loaded
    return read_text(loaded.text, loaded.path, found)


def _opposite_hands(loaded: Job) -> Iterator[Plate | Bracket | Cover | Strap]:
    """The parts of sheet that are an opposite hand of another, but those whose points say where they are."""
    for part in loaded.definitions.parts():
        points = part.points if isinstance(part, Cover) else None
        if isinstance(part, Plate | Bracket | Cover | Strap) and part.opposite_of and points is None:
            yield part


def _images(loaded: Job) -> dict[str, str]:
    return {} if loaded.expanded is None else dict(loaded.expanded.images)


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
        if first is not None and _is_one(first, piece):
            piece = replace(piece, opposite_of="", same_as=first.mark)
        elif first is not None and _is_opposite(first, piece):
            title = f"{piece.title}, opposite hand of {first.mark}".removeprefix(", ")
            piece = replace(piece, opposite_of=first.mark, title=title)
        done.append(piece)
    return done


def _is_one(first: Piece, image: Piece) -> bool:
    """Whether a piece and its image are one piece of metal."""
    if first.flat_part is not None:
        return ways_to_image(first, image) is not None
    return same_metal(*as_issued((first, image)))


def _is_opposite(first: Piece, image: Piece) -> bool:
    """Whether what is cut of an image is the mirror image too: one that meets its first at the plane may sit on it."""
    if first.length_part is None:
        return True
    one, other = as_issued((first, image))
    return same_metal(mirrored_tube(one), other)
