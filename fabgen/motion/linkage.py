"""The moving side of a job: its mechanism, what drives it, and what rides on which body."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from fabgen.geometry.mechanics.constraints import FRAME, ConstraintRow
from fabgen.geometry.mechanics.mechanism import Mechanism
from fabgen.geometry.space.frame import Array
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.movement_tables import FRAME_NAME, JointGiven
from fabgen.job.values.point import Point
from fabgen.motion.spins import Spin


@dataclass(frozen=True, eq=False)
class Rod:
    """A link rod of the job that holds two bodies apart: its mark, bodies, points as drawn, and number in the job.

    `pins`: the unit direction of the bolt through each of its ends, as drawn; None where nothing says it.
    """

    mark: str
    bodies: tuple[int, int]
    ends: tuple[Array, Array]
    index: int
    pins: tuple[Array | None, Array | None]


@dataclass(frozen=True, eq=False)
class Driver:
    """What a sweep changes: in words, and the row that holds it."""

    words: str
    row: ConstraintRow


@dataclass(frozen=True, eq=False)
class Linkage:
    """The moving side of a job.

    `mechanism` holds joints, link rods and the harmless `spins` of rods about themselves; `driven` also one row for
    each driver, last and in order.  `drives` gives each sweep's driver by number.  `riding` gives the body of a named
    point or a mark, `carried` that of a place where a part of one body alone ends or is drilled.
    """

    job: Definitions
    mechanism: Mechanism
    drivers: tuple[Driver, ...]
    drives: tuple[int, ...]
    rods: tuple[Rod, ...]
    riding: Mapping[str, int]
    spins: tuple[Spin, ...] = ()
    carried: Mapping[tuple[float, float, float], int] = field(default_factory=dict)

    @property
    def driven(self) -> Mechanism:
        return self.mechanism.with_rows([driver.row for driver in self.drivers])

    @property
    def wanted(self) -> int | None:
        """Freedoms it is to have; None where neither a sweep nor the job says."""
        if self.job.movement.freedoms is not None:
            return self.job.movement.freedoms
        return len(self.drivers) or None

    @property
    def turning(self) -> tuple[str, ...]:
        """What turns about itself and does no harm: bodies by name, link rods by mark."""
        bodies = (self.mechanism.bodies[body] for spin in self.spins for body in spin.bodies)
        return tuple(dict.fromkeys([*bodies, *(rod.mark for rod in self.rods)]))

    def number(self, name: str) -> int:
        """A body's number by its name."""
        return FRAME if name == FRAME_NAME else self.mechanism.bodies.index(name)

    def fixed_to(self, body: int) -> frozenset[int]:
        """The bodies that move as one with a body by fixed joints, itself too."""
        found, before = {body}, 0
        pairs = [{self.number(name) for name in joint.between} for joint in self.job.joint if joint.kind == "fixed"]
        while len(found) > before:
            before = len(found)
            found.update(*(pair for pair in pairs if pair & found))
        return frozenset(found)

    def body_of(self, point: Point) -> int:
        """The body a point rides on: the one that names it, else the one whose part ends or is drilled there; the frame
        where there is none."""
        named = self.riding.get(f"point {point.name}") if point.name else None
        return self.carried.get(point.xyz, FRAME) if named is None else named


def stiffness(joint: JointGiven) -> tuple[str, ...]:
    """The ways a bush does not give."""
    return ("radial", "tilt") if joint.stiff is None else tuple(joint.stiff)
