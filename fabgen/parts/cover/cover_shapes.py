"""What all shapes of sheet covers share: a cover as asked for, and the same laid flat.

A flat is drawn from its outside, the side that shows when the cover is on.
"""

from __future__ import annotations

from dataclasses import dataclass

from fabgen.geometry.plane.outline import Loop, Xy
from fabgen.geometry.sheet.folded import Facet
from fabgen.geometry.space.frame import Frame
from fabgen.job.errors import Path, Problem
from fabgen.job.tables.definitions import Cover, Definitions
from fabgen.parts.piece import Concern, FlatBend, Rolled
from fabgen.parts.sheet.bend_data import bend_k
from fabgen.parts.sheet.features import PlacedHole
from fabgen.shop.bends import KFactor
from fabgen.shop.materials import Material


@dataclass(frozen=True, eq=False)
class Asked:
    """A cover as it is asked for: its definition, the job, its material, its own holes, and where faults are told."""

    cover: Cover
    job: Definitions
    material: Material
    holes: tuple[PlacedHole, ...]
    path: Path
    problems: list[Problem]

    def fault(self, key: str | Path, what: str, accepted: str) -> None:
        below = (key,) if isinstance(key, str) else key
        self.problems.append(Problem((*self.path, *below), what, accepted))

    @property
    def radius(self) -> float:
        """Inside radius of its folds, mm."""
        return self.cover.thickness if self.cover.radius is None else self.cover.radius

    @property
    def die(self) -> float | None:
        """Opening of the lower tool its folds are made over, mm; None for the usual one."""
        return self.job.job.die if self.cover.die is None else self.cover.die

    def k(self) -> KFactor:
        """K of its folds; raises Unfit where bend tests leave it open."""
        cover = self.cover
        return bend_k(
            self.job, self.material, cover.thickness, self.radius, cover.k, cover.die, self.path, self.problems
        )


@dataclass(frozen=True, eq=False)
class Laid:
    """A cover laid flat, in the coordinates its holes are given in: a cap's and a panel's are those of its
    opening, all others' begin at the lower left corner of the whole sheet.

    `holes` are those the shape itself brings; `lines` are to be etched, e.g. where a lap ends.
    """

    outline: Loop
    holes: tuple[PlacedHole, ...] = ()
    rolled: Rolled | None = None
    sizes: tuple[tuple[str, float], ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    lines: tuple[tuple[Xy, ...], ...] = ()
    bends: tuple[FlatBend, ...] = ()
    surface: tuple[Facet, ...] = ()
    concerns: tuple[Concern, ...] = ()
    closes: bool = False
    frame: Frame | None = None
    """Where these coordinates lie in the vehicle, z = 0 the middle of the sheet, when its points are given there."""
