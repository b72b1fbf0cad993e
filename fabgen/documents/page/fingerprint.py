"""Short figures that change when a part does: for ticks that must not outlive the part they were set for."""

from __future__ import annotations

import dataclasses
import hashlib
from typing import Any

import numpy as np

from fabgen.parts.piece import Piece
from fabgen.wording.sentence import Sentence

_FIGURES = 12


def cut_print(piece: Piece) -> str:
    """Of the cut part: shape, place and material, but neither title nor quantity."""
    part = piece.length_part
    forms = [end.form for end in part.ends if end.form is not None] if part is not None else []
    return _print((piece.mark, piece.material, piece.shape, *forms))


def words_print(piece: Piece) -> str:
    """Of its facts, notes and purchases."""
    return _print((piece.quantity, piece.title, piece.note, piece.facts, piece.hardware))


def marked_print(piece: Piece) -> str:
    """Of what is marked out on it: the parts that sit on it, the holes for their bores, and its own holes."""
    if piece.profile_part is not None and piece.profile_part.landings:
        return _print(piece.profile_part.landings)
    part = piece.length_part
    if part is None:
        return ""
    bores = [(hole.branch, hole.edge.centre) for hole in part.holes]
    landed = (part.landings, part.profiles) if part.profiles else part.landings
    return _print((landed, bores, [(hole.name, hole.edge.centre, hole.slit or hole.bore) for hole in part.drilled]))


def _print(value: Any) -> str:
    seen = hashlib.sha256()
    _feed(value, seen)
    return seen.hexdigest()[:_FIGURES]


def _feed(value: Any, seen: Any) -> None:
    """Lengths count to a thousandth of a millimetre: less is noise.  The name of a class does not count."""
    if isinstance(value, Sentence):
        value = value.words()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        seen.update(b"{")
        for each in dataclasses.fields(value):
            if each.compare:
                _feed(getattr(value, each.name), seen)
    elif isinstance(value, np.ndarray):
        seen.update((np.round(value.astype(float), 3) + 0.0).tobytes())
    elif isinstance(value, float | np.floating):
        seen.update(repr(round(float(value), 3) + 0.0).encode())
    elif isinstance(value, tuple | list):
        seen.update(f"({len(value)}".encode())
        for each in value:
            _feed(each, seen)
    else:
        seen.update(f"|{value!r}".encode())
