"""Everything of a job that has a place, as solid metal in it: made once, and each thing of it when it is first asked.

Tubes are as they are cut, wall and bore, with the holes that the job gives them; sheet as it is folded or rolled;
links with their rod ends, an eye whose pin's way is not known as the ball in it.  Chords of round skins are within
1 part in 1,000 of a tube's radius, 0.04 mm of a bend's or a hole's in sheet, and 0.15 mm of a strap's.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from fabgen.contact.damper_shells import damper_shells
from fabgen.contact.hole_cutters import hole_cutters
from fabgen.contact.link_shells import link_shells
from fabgen.contact.pins import Pins
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import Mesh
from fabgen.geometry.space.shared_metal import mesh_of, solid_of
from fabgen.geometry.space.skin import STANDING, PlacedSkin, Skin, shrunk
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.movement_tables import Damper
from fabgen.motion.dampers import thickness
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.parts.shape.bodies.length_body import flattened_ends, tube_body
from fabgen.parts.shape.profiles import parted_body
from fabgen.parts.shape.sheet_body import TOLERANCE, sheet_body
from fabgen.plan.plan import BoltStack

if TYPE_CHECKING:
    from manifold3d import Manifold

FINE = 0.04
"""Chords of the bends and holes of sheet stay this near to the true shape, mm; straps are as in pictures."""

Box = tuple[Array, Array]


@dataclass(frozen=True, eq=False)
class Shape:
    """The metal of one mark in its own coordinates, which all that are made alike share.

    Args:
        shells: closed, of its metal.
        holes: what is cut out of them besides.
        thickness: of its thinnest metal, mm.
    """

    shells: tuple[Mesh, ...]
    holes: tuple[Mesh, ...]
    thickness: float

    @cached_property
    def skin(self) -> Skin:
        """Without its holes: what does not come near this does not come near the metal."""
        return Skin(self.shells)

    @cached_property
    def metal(self) -> Manifold:
        """Its holes cut out."""
        return solid_of(self.shells, self.holes)

    @cached_property
    def cut_skin(self) -> Skin:
        """The skin of that."""
        return Skin((mesh_of(self.metal),)) if self.holes else self.skin

    @cached_property
    def cores(self) -> dict[float, Skin]:
        """Its metal with every face so many mm farther in, as they are asked for."""
        return {}

    def core(self, by: float) -> Skin:
        """Its metal with every face farther in, by `by` mm or a third of what is thinner."""
        depth = min(by, self.thickness / 3.0)
        if depth not in self.cores:
            self.cores[depth] = Skin(tuple(shrunk(shell, depth) for shell in self.shells))
        return self.cores[depth]


@dataclass(frozen=True, eq=False)
class Solid:
    """One thing of a job where it stands.

    Args:
        source: the piece that it is one of, the bolt, or the damper.
        number: which of them, from 0 on.
        shape: its metal.
        frame: where that stands.
    """

    source: Piece | BoltStack | Damper
    number: int
    shape: Shape
    frame: Frame = STANDING

    @property
    def mark(self) -> str:
        """Its own, or 'bolt 2'."""
        return self.source.mark if isinstance(self.source, Piece) else self.source.name

    @property
    def kind(self) -> str:
        """The table of its family."""
        if isinstance(self.source, Piece):
            return self.source.kind
        return "damper" if isinstance(self.source, Damper) else "bolt"

    @property
    def owner(self) -> str:
        """The mark of what it is made for, or its own."""
        return (self.source.part_of if isinstance(self.source, Piece) else "") or self.mark

    @property
    def part(self) -> LengthPart | FlatPart | ProfilePart | None:
        """What its piece is like; None of a bolt and of a damper."""
        return self.source.shape if isinstance(self.source, Piece) else None

    @property
    def is_hollow(self) -> bool:
        """Whether it is a straight tube, whose hull is the tube filled up."""
        part = self.part
        straight = isinstance(part, LengthPart) and not isinstance(part, LinkPart) and part.path is None
        return straight and self.kind == "tube"

    @property
    def filled(self) -> Manifold:
        """Its metal, of a straight tube with its hollow."""
        return self.metal.hull() if self.is_hollow else self.metal

    @property
    def is_there(self) -> bool:
        """Whether it was there before the job."""
        return isinstance(self.source, Piece) and self.source.state == "there already"

    @property
    def as_it_is(self) -> bool:
        """Whether it is bought or there already, as a part."""
        return isinstance(self.source, Piece) and self.source.as_it_is

    @cached_property
    def box(self) -> Box:
        """Lower and upper corner of what holds it."""
        points = self.frame.outside(self.shape.skin.mesh.vertices)
        return points.min(axis=0), points.max(axis=0)

    @cached_property
    def skin(self) -> PlacedSkin:
        return PlacedSkin(self.shape.skin, self.frame)

    @cached_property
    def cut_skin(self) -> PlacedSkin:
        return PlacedSkin(self.shape.cut_skin, self.frame)

    def core(self, by: float) -> PlacedSkin:
        """Its metal with every face farther in."""
        return PlacedSkin(self.shape.core(by), self.frame)

    @cached_property
    def metal(self) -> Manifold:
        """What a boolean takes."""
        if self.frame is STANDING:
            return self.shape.metal
        turned = [[*column, shift] for column, shift in zip(self.frame.axes.T, self.frame.origin, strict=True)]
        return self.shape.metal.transform(turned)


def dampers(job: Definitions, pins: Pins) -> list[Solid]:
    """The springs and dampers of a job as drawn.

    Args:
        job: its definitions.
        pins: which way its bolts run.
    """
    shells = [(damper, damper_shells(damper, pins)) for damper in job.damper]
    return [Solid(damper, 0, Shape(own, (), thickness(damper))) for damper, own in shells if own]


def solids(pieces: Sequence[Piece], pins: Pins) -> list[Solid]:
    """Every part of a job that has a place, piece by piece.

    Args:
        pieces: all, complete.
        pins: which way the bolts of the job run.
    """
    pool = _Pool()
    return [solid for piece in pieces if piece.is_placed for solid in _standing(piece, pins, pool)]


class _Pool:
    """Shapes that are alike, made by different pieces, as one: what is worked out of one holds for all."""

    def __init__(self) -> None:
        self._known: dict[bytes, Shape] = {}

    def one(self, shape: Shape) -> Shape:
        """The first shape that is the same to the last 1/1,000,000 mm."""
        kept = hashlib.sha256(repr(shape.thickness).encode())
        for mesh in (*shape.shells, *shape.holes):
            # Adding zero makes one of 0 and -0.
            kept.update((np.round(mesh.vertices, 6) + 0.0).tobytes())
            kept.update(mesh.triangles.tobytes())
        return self._known.setdefault(kept.digest(), shape)


def _standing(piece: Piece, pins: Pins, pool: _Pool) -> Iterator[Solid]:
    part = piece.shape
    if isinstance(part, FlatPart):
        shape = Shape((sheet_body(part, TOLERANCE if part.band is not None else FINE),), (), part.thickness)
        return (Solid(piece, number, shape, place.frame) for number, place in enumerate(part.places))
    if isinstance(part, ProfilePart):
        shape = pool.one(Shape((parted_body(part),), hole_cutters(part), piece.thickness))
        return iter([Solid(piece, 0, shape, part.frame)])
    return _lengths(piece, part, pins, pool)


def _lengths(piece: Piece, part: LengthPart, pins: Pins, pool: _Pool) -> Iterator[Solid]:
    frame = part.frame
    assert frame is not None
    holes: tuple[Mesh, ...] = ()
    if isinstance(part, LinkPart):
        shells = link_shells(part, pins)
    else:
        shells, holes = (tube_body(part, as_sawn=True), *flattened_ends(part)), hole_cutters(part)

    def own(meshes: Sequence[Mesh]) -> tuple[Mesh, ...]:
        return tuple(Mesh(frame.inside(mesh.vertices), mesh.triangles) for mesh in meshes)

    shape = pool.one(Shape(own(shells), own(holes), piece.thickness))
    yield Solid(piece, 0, shape, frame)
    if part.also:
        plain = pool.one(Shape(shape.shells, (), piece.thickness))
        yield from (Solid(piece, number, plain, other) for number, other in enumerate(part.also, 1))
