"""What of a job lies in what, what is seated on what, and what hangs in the air."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from fabgen.contact.meant import are_lengths, are_one, excused, is_at_joint, is_made_for, meet_twice
from fabgen.contact.near import Boxes, by_nearness, near_pairs
from fabgen.contact.pair import gap, into_one_another
from fabgen.contact.pins import Pins
from fabgen.contact.shanks import shanks, whole_bolts
from fabgen.contact.solids import Solid, dampers, solids
from fabgen.contact.through_travel import RunsInto, runs_into
from fabgen.contact.weld_lines import WeldLine, weld_lines
from fabgen.contact.welded_edges import welded_edges
from fabgen.geometry.space.shared_metal import Shared
from fabgen.job.tables.definitions import Definitions
from fabgen.motion.assembly import assemble
from fabgen.motion.movement import Movement
from fabgen.motion.riders import Riders
from fabgen.parts.piece import Piece
from fabgen.parts.shape.welds.welded_edge import WeldedEdge
from fabgen.plan.plan import BoltStack

SEATED = 1.0
"""What is nearer touches, as far as a weld is asked, mm: its gap where the job gives none (common practice, no
source)."""


@dataclass(frozen=True, eq=False)
class Into:
    """Two things that lie in one another though nothing makes that right: the pieces of what they share, the deepest
    first."""

    one: Solid
    other: Solid
    shared: tuple[Shared, ...]

    @property
    def deepest(self) -> Shared:
        return self.shared[0]


How = Literal["into one another", "meant", "seated", "clear"]


@dataclass(frozen=True, eq=False)
class Pair:
    """Two things near one another: how they stand, how far apart, mm, and what they share where nothing makes that
    right.  Meant is what is cut, bored or bolted for one another."""

    one: Solid
    other: Solid
    how: How
    gap: float
    into: Into | None = None


@dataclass(frozen=True, eq=False)
class Contacts:
    """The contacts of a job, worked out as they are asked for.

    Args:
        job: its definitions.
        pieces: all, complete.
        bolts: as planned.
    """

    job: Definitions
    pieces: Sequence[Piece]
    bolts: Sequence[BoltStack] = ()

    @cached_property
    def pins(self) -> Pins:
        """Which way its bolts run."""
        return Pins(self.job, self.pieces, [line for stack in self.bolts for line in stack.lines])

    @cached_property
    def solids(self) -> list[Solid]:
        """Every part that has a place."""
        return solids(self.pieces, self.pins)

    @cached_property
    def dampers(self) -> list[Solid]:
        """Its springs and dampers."""
        return dampers(self.job, self.pins)

    @cached_property
    def in_the_way(self) -> Boxes:
        """What keeps a bolt's head or nut from its room: parts, dampers, and bolts whole."""
        return Boxes([*self.solids, *self.dampers, *whole_bolts(self.bolts)])

    @cached_property
    def fitted(self) -> Boxes:
        """What stands before a bolt is put in."""
        return Boxes(self.solids)

    @cached_property
    def weld_gap(self) -> float:
        """What is nearer is seated, mm."""
        return max(SEATED, self.job.job.weld_gap)

    @cached_property
    def _near(self) -> list[tuple[Solid, Solid]]:
        pairs = near_pairs([*self.solids, *self.dampers, *shanks(self.bolts)], self.weld_gap)
        return [(one, other) for one, other in pairs if not are_one(one, other)]

    @cached_property
    def into(self) -> list[Into]:
        """What lies in what and is not meant to, in the order of the job.  Of tubes and
        profiles among themselves only a bent tube that runs into its own main beside the cope is in it: the others are
        measured by the checks of tubes and profiles."""
        return list(self._into())

    def _into(self) -> Iterator[Into]:
        for one, other in self._near:
            twice = False
            if are_lengths(one, other):
                twice = meet_twice(one, other)
                if not twice:
                    continue
            most = excused(one, other)
            shared = tuple(
                piece
                for piece in into_one_another(one, other)
                if piece.deep > most and not (twice and is_at_joint(one, other, piece.middle))
            )
            if shared:
                yield Into(one, other, shared)

    def is_seated(self, solid: Solid) -> bool:
        """Whether anything is within the weld gap of a thing."""
        return any(gap(solid, each)[0] <= self.weld_gap for each in self._beside.get(solid, ()))

    @cached_property
    def _beside(self) -> dict[Solid, list[Solid]]:
        """What is near each thing and could hold it."""
        found: dict[Solid, list[Solid]] = {}
        for one, other in self._near:
            for each, beside in ((one, other), (other, one)):
                if beside.kind != "damper":
                    found.setdefault(each, []).append(beside)
        return found

    def seated_on(self, mark: str) -> list[Solid]:
        """The parts, bolts not among them, that are within the weld gap of those that go by a mark.

        Args:
            mark: of that.
        """
        found: dict[Solid, None] = {}
        for solid in (each for each in self.solids if each.mark == mark):
            found.update(dict.fromkeys(self.seated_by(solid)))
        return list(found)

    def seated_by(self, solid: Solid) -> list[Solid]:
        """The parts, bolts not among them, that are within the weld gap of one.

        Args:
            solid: that.
        """
        beside = [each for each in self._beside.get(solid, ()) if each.kind != "bolt"]
        return [each for each in beside if gap(solid, each)[0] <= self.weld_gap]

    def nearest(self, solid: Solid, among: Sequence[Solid] | None = None) -> tuple[float, Solid] | None:
        """What is nearest to a thing, and how far off, mm; None where nothing else has a place.

        Args:
            solid: that thing.
            among: what is asked; every part where left out.
        """
        asked = self.solids if among is None else among
        others = [each for each in asked if each is not solid and not are_one(solid, each)]
        best: tuple[float, Solid] | None = None
        least = math.inf
        for away, other in by_nearness(solid, others) if others else ():
            if away >= least:
                break
            if (apart := gap(solid, other)[0]) < least:
                least, best = apart, (apart, other)
        return best

    @cached_property
    def pairs(self) -> list[Pair]:
        """Everything that is near something else, pair by pair, in the order of the job."""
        into = {(each.one, each.other): each for each in self.into}
        found = []
        for one, other in self._near:
            shared, apart, made_for = into.get((one, other)), gap(one, other)[0], is_made_for(one, other)
            if apart == 0.0 and not made_for and are_lengths(one, other) and (pieces := into_one_another(one, other)):
                shared = Into(one, other, tuple(pieces))
            how: How = "seated" if apart <= self.weld_gap else "clear"
            if shared is not None:
                how = "into one another"
            elif made_for:
                how = "meant"
            found.append(Pair(one, other, how, apart, shared))
        return found

    @cached_property
    def weld_lines(self) -> list[WeldLine]:
        """Where sheet could be welded to what it is seated on."""
        return list(weld_lines(self._near, self.weld_gap, self.bolts, self.move_apart))

    @cached_property
    def welded_edges(self) -> dict[str, tuple[WeldedEdge, ...]]:
        """The edges of sheet parts that meet others, each on its part's flat, by the parts' marks."""
        return welded_edges(self.weld_lines)

    @cached_property
    def _riders(self) -> Riders | None:
        linkage = assemble(self.job, self.pieces) if self.job.body else None
        return None if linkage is None else Riders(linkage, self.pieces)

    def move_apart(self, one: Solid, other: Solid) -> bool:
        """Whether two ride on different bodies.

        Args:
            one, other: as drawn.
        """
        bodies = {self._riders.body(solid.source, solid.number) for solid in (one, other)
                  if self._riders is not None and isinstance(solid.source, Piece)}  # fmt: skip
        return len(bodies) > 1

    def runs_into(self, movement: Movement) -> list[RunsInto]:
        """What runs into what in the travels of a job that moves."""
        return runs_into(movement, self.solids, self.pieces)
