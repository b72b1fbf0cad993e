"""Tubes that become several pieces: the pieces' marks, and other tubes' ends that name them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from itertools import count, pairwise, takewhile
from string import ascii_lowercase
from typing import Any

import numpy as np

from fabgen.geometry.space.frame import Array
from fabgen.geometry.space.lines import nearest_of_stretches
from fabgen.job.document import mark_of
from fabgen.job.errors import InputError, Path
from fabgen.job.expansion.bent_crossings import BentTube
from fabgen.job.tables.fields import Context
from fabgen.job.values.point import Point

NEAR = 1.0
"""Pieces as near as this to the nearest are meant as well, mm."""

PASSES = ("through", "sleeve_of")
"""Keys of a tube that name others which it meets anywhere along."""


def letters(number: int) -> str:
    """What the mark of a piece, numbered from 0, ends with: a, b, … z, aa, ab, …"""
    before, last = divmod(number, len(ascii_lowercase))
    return (letters(before - 1) if before else "") + ascii_lowercase[last]


def pieces_of(mark: str, marks: Collection[str]) -> list[str]:
    """The marks of the pieces that a tube was cut in, from its start on; none of a tube that is whole.

    Args:
        mark: of the tube, as the job has it.
        marks: of all parts.
    """
    found = list(takewhile(lambda each: each in marks, (f"{mark}{letters(number)}" for number in count())))
    return found if mark not in marks and len(found) > 1 else []


def whole_or_piece(mark: str, marks: Collection[str]) -> str:
    """A tube's mark, or that of its first piece, which has the same section, where it was cut in pieces.

    Args:
        mark: of the tube, as the job has it.
        marks: of all tubes.
    """
    return next(iter(pieces_of(mark, marks)), mark)


def onto_pieces(entry: Any, carrying: Mapping[str, Callable[[Point], list[str]]], context: Context) -> Any:
    """A tube whose ends name tubes that became pieces names the pieces there instead; any other as it is.

    Args:
        entry: its table.
        carrying: by the mark of each tube that became pieces, the marks of those on which an end at a point may sit.
        context: what the values are read with.
    """
    if not isinstance(entry, Mapping) or not isinstance(route := entry.get("route"), list) or not route:
        return entry
    changed: dict[str, Any] = {}
    for at, written in (("start", route[0]), ("finish", route[-1])):
        end, (point, _) = entry.get(at), context.point_reading.read(written)
        onto = end.get("onto") if isinstance(end, Mapping) else None
        named = [onto] if isinstance(onto, str) else onto
        if not isinstance(end, Mapping) or not isinstance(named, list) or point is None:
            continue
        if all(isinstance(mark, str) for mark in named) and any(mark in carrying for mark in named):
            pieces = [carrying[mark](point) if mark in carrying else [mark] for mark in named]
            changed[at] = dict(end) | {"onto": [mark for each in pieces for mark in each]}
    return dict(entry) | changed if changed else entry


def became(before: Sequence[tuple[Path, Any]], after: Sequence[tuple[Path, Any]]) -> dict[str, list[str]]:
    """The marks of the pieces that tubes became, by the mark of each tube that is no longer there.

    Args:
        before: the tables of tubes, each with its place in the file.
        after: the same when some were cut.
    """
    there = {(place, mark_of(entry)) for place, entry in after if isinstance(entry, Mapping)}
    gone = [
        (place, mark)
        for place, entry in before
        if isinstance(entry, Mapping) and (mark := mark_of(entry)) and (place, mark) not in there
    ]
    return {
        mark: [new for at, new in there if at == place and new.startswith(mark) and new[len(mark) :].isalpha()]
        for place, mark in gone
    }


def whole_of(pieces: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """The mark of the tube that each piece is of: of one cut again, as a side of a ring, of what was whole at first.

    Args:
        pieces: the marks of the pieces, by that of the tube that became them.
    """
    above = {piece: mark for mark, made in pieces.items() for piece in made}

    def first(mark: str) -> str:
        return first(above[mark]) if mark in above else mark

    return {piece: first(piece) for piece in above}


class NamedPieces:
    """What names a tube that became pieces by the mark which that had.

    Args:
        tubes: the tables of tubes as they are now.
        pieces: the marks of the pieces, by that of the tube that became them.
        context: what the values are read with.
    """

    def __init__(self, tubes: Sequence[Any], pieces: Mapping[str, Sequence[str]], context: Context) -> None:
        self.pieces, self.context, self.whole = pieces, context, whole_of(pieces)
        self.lengths = {mark_of(entry): self._length(entry) for entry in tubes if isinstance(entry, Mapping)}
        self.routes = {mark_of(entry): self._route(entry) for entry in tubes if isinstance(entry, Mapping)}

    def tube(self, entry: Any) -> Any:
        """The table of a tube that names the pieces which it passes, or joins, for the tube that became them; a piece
        of one that passes others passes only those that it comes nearest to of all its pieces."""
        if not isinstance(entry, Mapping):
            return entry
        changed: dict[str, Any] = {}
        for key in PASSES:
            given, own = entry.get(key), mark_of(entry)
            named = [given] if isinstance(given, str) else given
            if not isinstance(named, list):
                continue
            if any(isinstance(mark, str) and mark in self.pieces for mark in named):
                route = self._route(entry)
                changed[key] = named = [each for mark in named for each in self._meant(mark, route)]
            if key == "through" and own in self.whole:
                changed[key] = [mark for mark in named if self._comes_nearest(own, mark)]
        return dict(entry) | changed if changed else entry

    def _comes_nearest(self, piece: str, mark: Any) -> bool:
        """Whether of all pieces of a tube this one comes nearest to another tube."""
        there = self.routes.get(mark, []) if isinstance(mark, str) else []
        if len(there) < 2:
            return True
        away = {
            each: min(nearest_of_stretches(one, other)[0] for one in pairwise(route) for other in pairwise(there))
            for each, whole in self.whole.items()
            if whole == self.whole[piece] and len(route := self.routes.get(each, [])) > 1
        }
        return piece not in away or away[piece] <= min(away.values()) + NEAR

    def profile(self, entry: Any) -> Any:
        """The table of a profile whose ends sit on the pieces that are nearest to them, for the tube that became
        them."""

        def nearest_to(mark: str) -> Callable[[Point], list[str]]:
            return lambda point: self._meant(mark, [np.array(point.xyz), np.array(point.xyz)])

        return onto_pieces(entry, {mark: nearest_to(mark) for mark in self.pieces}, self.context)

    def round(self, entry: Any, key: str) -> Any:
        """The table of what goes round a tube, as a U-bolt and a strap do, with the piece that is there, and how far
        along that it stands; where it says nothing of that, with the first piece, which has the tube's section.

        Args:
            entry: its table.
            key: which names the tube.
        Raises:
            InputError: its places are on several pieces.
        """
        if not isinstance(entry, Mapping) or not isinstance(mark := entry.get(key), str) or mark not in self.pieces:
            return entry
        pieces, at = self._leaves(mark), entry.get("at")
        if at is None:
            return dict(entry) | {key: pieces[0]}
        lengths = [length for piece in pieces if (length := self.lengths.get(piece)) is not None]
        try:
            stations = [self.context.length(each) for each in (at if isinstance(at, list) else [at])]
        except ValueError:
            return entry
        if len(lengths) < len(pieces):
            return entry  # a route that cannot be read
        ends = np.cumsum(lengths)
        found = {int(np.searchsorted(ends[:-1], station)) for station in stations}
        if len(found) > 1:
            named = [pieces[number] for number in sorted(found)]
            what = f"{mark} is cut in pieces, and these places are on {' and '.join(named)}"
            raise InputError(what, "a table for each piece", key=("at",))
        number = found.pop()
        begins = float(ends[number - 1]) if number else 0.0
        along = [f"{station - begins!r} mm" for station in stations]
        return dict(entry) | {key: pieces[number], "at": along if isinstance(at, list) else along[0]}

    def node(self, entry: Any) -> Any:
        """The table of a node whose `runs` names the piece that ends there."""
        if not isinstance(entry, Mapping) or entry.get("runs") not in self.pieces:
            return entry
        point, _ = self.context.point_reading.read(entry.get("at"))
        if point is None:
            return entry
        at = np.array(point.xyz)
        ends = {
            mark: min(float(np.linalg.norm(route[i] - at)) for i in (0, -1))
            for mark in self._leaves(str(entry["runs"]))
            if (route := self.routes.get(mark))
        }
        nearest = min(ends, key=lambda mark: ends[mark], default="")
        return dict(entry) | {"runs": nearest} if nearest and ends[nearest] <= NEAR else entry

    def _meant(self, mark: Any, route: Sequence[Array]) -> list[Any]:
        """The pieces of a tube that are nearest to a route; the mark itself where it became none."""
        if not isinstance(mark, str) or mark not in self.pieces or len(route) < 2:
            return [mark]
        away = {
            piece: min(nearest_of_stretches(one, other)[0] for one in pairwise(route) for other in pairwise(theirs))
            for piece in self._leaves(mark)
            if len(theirs := self.routes.get(piece, [])) > 1
        }
        return [piece for piece, off in away.items() if off <= min(away.values()) + NEAR] or [mark]

    def _leaves(self, mark: str) -> list[str]:
        """The pieces that a tube is in now: a side of a ring may have been cut again."""
        if mark not in self.pieces:
            return [mark]
        return sorted(leaf for piece in self.pieces[mark] for leaf in self._leaves(piece))

    def _route(self, entry: Mapping[str, Any]) -> list[Array]:
        route = entry.get("route")
        read = [self.context.point_reading.read(each)[0] for each in route] if isinstance(route, list) else []
        return [np.array(point.xyz) for point in read if point is not None]

    def _length(self, entry: Mapping[str, Any]) -> float | None:
        """How long a tube is along its axis, round its bends, mm; None of one that cannot be read."""
        if (bent := BentTube.of(0, entry, self.context)) is not None:
            return bent.path.length
        route = self._route(entry)
        return float(np.linalg.norm(route[1] - route[0])) if len(route) == 2 else None
