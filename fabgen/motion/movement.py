"""A job's movement: freedoms, sweeps, rod-end angles and clearances."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fabgen.geometry.mechanics.mechanism import Mechanism, Mobility, Screw, plainest
from fabgen.job.tables.definitions import Definitions
from fabgen.motion.assembly import assemble
from fabgen.motion.between_positions import with_what_is_between
from fabgen.motion.keep_out import Clearance, Obstacle, measured, obstacles
from fabgen.motion.linkage import Linkage
from fabgen.motion.travel import Follow, SweepResult, Tilt, forced_lengths, run_sweep
from fabgen.parts.piece import LinkPart, Piece, RodEndSetup, length_parts
from fabgen.parts.shape.bored.bolt_lines import BoltLine


@dataclass(frozen=True, eq=False)
class Movement:
    """What was found of a job that moves.

    `free` are the motions, each as the screws of its bodies, that nothing holds: beside the drivers where these leave
    some, else all there are.  `clearances` go with `sweeps` by number; a job that is not swept
    has one list, as drawn.  `forced`: rods of a binding assembly and how far they would have to give.
    """

    linkage: Linkage
    mobility: Mobility | None
    held: Mobility | None
    free: tuple[tuple[Screw, ...], ...]
    sweeps: tuple[SweepResult, ...]
    obstacles: tuple[Obstacle, ...]
    clearances: tuple[tuple[Clearance, ...], ...]
    far: int
    forced: dict[str, tuple[float, float]]
    links: Mapping[str, LinkPart]


def movement_of(job: Definitions, pieces: Sequence[Piece], bolts: Sequence[BoltLine] = ()) -> Movement | None:
    """How a job moves, and how far its parts stay clear of one another.

    Args:
        job: its definitions.
        pieces: all, complete.
        bolts: where its bolts stand; they are the pins of the rod ends that they hold.
    Returns: None where nothing moves and nothing must be kept free.
    Raises:
        JobError: with the faults of the tables of movement.
    """
    linkage = assemble(job, pieces, bolts)
    if linkage is None:
        return None
    room = obstacles(linkage, pieces)
    mobility = held = None
    free: list[tuple[Screw, ...]] = []
    if linkage.mechanism.bodies:
        mobility = linkage.mechanism.mobility()
        held = linkage.driven.mobility() if linkage.drivers else None
        if held is not None and held.freedoms:
            free = _screws(linkage, linkage.driven, held)
        elif mobility.freedoms != (linkage.wanted or 0) or not linkage.drivers:
            free = _screws(linkage, linkage.mechanism, mobility)
    sweeps: list[SweepResult] = []
    # Each sweep has one answer where it moves and the drivers hold all of it.
    if mobility is not None and mobility.lasting > 0 and held is not None and held.freedoms == 0:
        sweeps = [run_sweep(linkage, number) for number in range(len(linkage.job.sweep))]
    travels = [list(result.places) for result in sweeps] or [[linkage.driven.system.drawn]]
    follows = [Follow(linkage, places) for places in travels]
    looked = [measured(room, follow) if follow.count else ([], 0) for follow in follows]
    cleared = [clear for clear, _ in looked]
    for number, result in enumerate(sweeps):
        cleared[number] = with_what_is_between(room, cleared[number], linkage, result)
    short = mobility is not None and linkage.wanted is not None and mobility.lasting < linkage.wanted
    return Movement(
        linkage=linkage,
        mobility=mobility,
        held=held,
        free=tuple(free),
        sweeps=tuple(sweeps),
        obstacles=tuple(room),
        clearances=tuple(map(tuple, cleared)),
        far=min((far for _, far in looked), default=0),
        forced=forced_lengths(linkage) if short else {},
        links={piece.mark: part for piece, part in length_parts(pieces) if isinstance(part, LinkPart)},
    )


def _screws(linkage: Linkage, mechanism: Mechanism, mobility: Mobility) -> list[tuple[Screw, ...]]:
    """The motions, without the harmless turns that rods make in them about themselves."""
    motions = [tuple(mechanism.screws(motion)) for motion in plainest(mobility.motions)]
    return [
        tuple(s for s in motion if not any(spin.is_own_turn(s) for spin in linkage.spins)) or motion
        for motion in motions
    ]


def swing_limit(movement: Movement, tilt: Tilt) -> tuple[float | None, str]:
    """How far a ball may tilt.

    Returns: rad, None where it is not known; and where the figure comes from.
    """
    for joint in movement.linkage.job.joint:
        if joint.name == tilt.mark:
            return joint.swing, "" if joint.swing is None else "as the job gives it"
    side = movement.links[tilt.mark].sides[0 if tilt.at == "start" else 1]
    return (side.swing, side.swing_source) if isinstance(side, RodEndSetup) else (None, "")
