"""The whole of a job's movement: freedoms, sweeps, rod-end angles and clearances."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fabgen.geometry.mechanics.mechanism import Mechanism, Mobility, Screw, plainest
from fabgen.job.tables.definitions import Definitions
from fabgen.motion.keep_out import Clearance, Thing, measured, things
from fabgen.motion.linkage import Assembly, assemble
from fabgen.motion.travel import Follow, SweepResult, Tilt, forced_lengths, run_sweep
from fabgen.parts.piece import LinkPart, Piece, RodEndSetup, length_parts


@dataclass(frozen=True, eq=False)
class Study:
    """What was found.

    `free` are the motions, each as the screws of its bodies, that nothing holds: beside the drivers where these leave
    some, else all there are.  `clearances` go with `sweeps` by number; a job that is not swept
    has one list, as drawn.  `forced` tells rods of a binding assembly and how far they would have to give.
    """

    made: Assembly
    mobility: Mobility | None
    held: Mobility | None
    free: tuple[tuple[Screw, ...], ...]
    sweeps: tuple[SweepResult, ...]
    things: tuple[Thing, ...]
    clearances: tuple[tuple[Clearance, ...], ...]
    far: int
    forced: dict[str, tuple[float, float]]
    links: Mapping[str, LinkPart]

    @property
    def may_sweep(self) -> bool:
        """Whether each sweep has one answer: it moves, and the drivers hold all of it."""
        return self.mobility is not None and sweepable(self.mobility, self.held)


def sweepable(mobility: Mobility, held: Mobility | None) -> bool:
    return held is not None and held.freedoms == 0 and mobility.lasting > 0


def study(job: Definitions, pieces: Sequence[Piece]) -> Study | None:
    """The job's movement looked at; None where nothing moves.  Raises JobError with the faults of its tables."""
    made = assemble(job)
    if made is None:
        return None
    room = things(made, pieces)
    mobility = held = None
    free: list[tuple[Screw, ...]] = []
    if made.mechanism.bodies:
        mobility = made.mechanism.mobility()
        held = made.driven.mobility() if made.drivers else None
        if held is not None and held.freedoms:
            free = _screws(made.driven, held)
        elif mobility.freedoms != (made.wanted or 0) or not made.drivers:
            free = _screws(made.mechanism, mobility)
    sweeps: list[SweepResult] = []
    if mobility is not None and sweepable(mobility, held):
        sweeps = [run_sweep(made, number) for number in range(len(made.job.sweep))]
    follows = [Follow(made, list(result.places)) for result in sweeps] or [Follow(made, [made.driven.system.drawn])]
    looked = [measured(room, follow) if follow.count else ([], 0) for follow in follows]
    short = mobility is not None and made.wanted is not None and mobility.lasting < made.wanted
    return Study(
        made=made,
        mobility=mobility,
        held=held,
        free=tuple(free),
        sweeps=tuple(sweeps),
        things=tuple(room),
        clearances=tuple(tuple(clear) for clear, _ in looked),
        far=min((far for _, far in looked), default=0),
        forced=forced_lengths(made) if short else {},
        links={piece.mark: part for piece, part in length_parts(pieces) if isinstance(part, LinkPart)},
    )


def _screws(mechanism: Mechanism, mobility: Mobility) -> list[tuple[Screw, ...]]:
    return [tuple(mechanism.screws(motion)) for motion in plainest(mobility.motions)]


def swing_limit(study: Study, tilt: Tilt) -> tuple[float | None, str]:
    """How far that ball may tilt, rad, and where the figure comes from; None where nothing tells."""
    for joint in study.made.job.joint:
        if joint.name == tilt.mark:
            return joint.swing, "" if joint.swing is None else "as the job gives it"
    side = study.links[tilt.mark].sides[0 if tilt.at == "start" else 1]
    return (side.swing, side.swing_source) if isinstance(side, RodEndSetup) else (None, "")
