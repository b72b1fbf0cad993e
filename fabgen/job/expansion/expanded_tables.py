"""The tables of a job once its frames, repeats and mirrors are worked out, and where each part of them stands in the
file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fabgen.geometry.survey.rigid_fit import RigidMotion
from fabgen.job.errors import Path, Problem


@dataclass(frozen=True)
class Expanded:
    """The tables of a job by name, as a file without [[frame]], [[repeat]] and [[mirror]] would have them.

    `origins`: of each entry of a list that is not at its own number in the file, where it comes from there; likewise
    of keys that come from elsewhere than their entry.
    `made`: the entries that do not stand in the file as they are here.
    `members`: of each tube of a frame, each copy and image, the place of what the frame, repeat or mirror changes of
    it; `given`: its table as made.
    `copies`: of each copy, the mark of the tube it repeats.
    `pieces`: of each piece of a tube that is cut in several, the mark of that tube.
    `images`: of each opposite hand and other mirror image that has a mark of its own, the mark of its first.
    `on_itself`: by the number of a mirror and the mark of a part of sheet that it leaves as it is, the reflection:
    bolts and welds hang on whether the part is its own image there.
    `points`: those that mirrors make, as [points] would give them.
    `feet`: the marks of the plates that tubes have at their ends.
    `problems`: what keeps some of them from being made.
    """

    tables: Mapping[str, Any]
    origins: Mapping[Path, Path] = field(default_factory=dict)
    made: tuple[Path, ...] = ()
    problems: tuple[Problem, ...] = ()
    members: Mapping[str, Path] = field(default_factory=dict)
    given: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    copies: Mapping[str, str] = field(default_factory=dict)
    pieces: Mapping[str, str] = field(default_factory=dict)
    images: Mapping[str, str] = field(default_factory=dict)
    on_itself: Mapping[tuple[int, str], RigidMotion] = field(default_factory=dict)
    points: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    feet: frozenset[str] = frozenset()

    def origin(self, path: Path) -> Path:
        """The place in the file of a key of the expanded tables."""
        for length in (3, 2):
            if (place := self.origins.get(path[:length])) is not None:
                return place + path[length:]
        return path
