"""A sheet part as the job gives it: what its builders need to know, and where its faults are collected."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from typing import Generic, TypeVar

from fabgen.geometry.plane.outline import Loop, OutlineError
from fabgen.job.errors import Path, Problem, Words
from fabgen.job.tables.bend_tables import Pressed
from fabgen.job.tables.bracket_tables import Bracket
from fabgen.job.tables.cover_tables import Cover
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.flat_tables import OutlineKeys, Plate
from fabgen.job.tables.lengths.bar_tables import Strap
from fabgen.parts.shape.outlines import outline_from
from fabgen.shop.materials import Material

SheetTable = TypeVar("SheetTable", bound=Plate | Bracket | Cover | Strap, covariant=True)


class Unfit(Exception):  # noqa: N818 - caught where the family's pieces are made
    """A part whose sizes do not go together; what is wrong is in the request's problems."""


@dataclass(frozen=True, eq=False)
class SheetRequest(Generic[SheetTable]):
    """One plate, bracket or cover: its table of the job file as `given`, where that stands (`path`), and every fault
    found while the part is made (`problems`)."""

    given: SheetTable
    job: Definitions
    path: Path
    problems: list[Problem] = field(default_factory=list)

    @cached_property
    def material(self) -> Material:
        """The part's own, else the job's."""
        return self.job.find_material(self.given.material or self.job.job.material)

    @property
    def thickness(self) -> float:
        return self.given.thickness

    @property
    def die(self) -> float | None:
        """Opening of the lower tool, the part's own or the job's, mm; None for the usual one, and for what is never
        folded."""
        own = self.given
        if not isinstance(own, Pressed):
            return None
        return self.job.job.die if own.die is None else own.die

    # -- faults -----------------------------------------------------------------
    def fault(self, key: str | Path, what: Words, accepted: Words, near: str = "") -> None:
        """Keeps a fault of a key below the part's table."""
        below = (key,) if isinstance(key, str) else key
        self.problems.append(Problem((*self.path, *below), what, accepted, near))

    def unfit(self, key: str | Path, what: Words, accepted: Words, near: str = "") -> Unfit:
        """The same for a fault that ends the making of the part: to be raised."""
        self.fault(key, what, accepted, near)
        return Unfit()

    @contextmanager
    def refusing(self, key: str | Path, accepted: Words) -> Iterator[None]:
        """Outlines within that cannot be drawn are a fault of that key, and the part is unfit."""
        try:
            yield
        except OutlineError as error:
            raise self.unfit(key, error.said, accepted) from error

    def need_no_faults(self) -> None:
        """Raises Unfit where something was at fault so far: what would be built of it has no shape."""
        if self.problems:
            raise Unfit


AnyRequest = SheetRequest[Plate | Bracket | Cover | Strap]


def outline_of(request: AnyRequest, keys: OutlineKeys, *below: str) -> Loop:
    """The outline that `keys` give, found `below` the part's table; raises Unfit when it will not do."""
    outline = outline_from(keys, (*request.path, *below), request.problems)
    if outline is None:
        raise Unfit
    return outline
