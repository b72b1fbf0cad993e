"""In which order parts are placed that are placed against one another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fabgen.job.errors import Path, Problem, Problems, listed, nearest, shown
from fabgen.job.expansion.pieces import pieces_of
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.place_tables import Placeable, PlaceGiven

CARRIERS = ("tube", "profile", "plate", "bracket", "cover")
"""Tables of the parts that others can be placed against."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """A part that is placed against others: its table, its number there, its mark, and its places."""

    table: str
    number: int
    mark: str
    places: tuple[PlaceGiven, ...]

    @property
    def path(self) -> Path:
        return self.table, self.number, "place"

    def path_of(self, number: int) -> Path:
        """Of one of its places."""
        return (*self.path, number) if len(self.places) > 1 else self.path

    def against(self) -> Iterator[tuple[int, str]]:
        """The numbers of those places that are against something, and its mark."""
        return ((number, each.against) for number, each in enumerate(self.places) if each.against is not None)


def in_order(job: Definitions, problems: Problems) -> list[Wanted]:
    """The parts that are placed against others, each after what it is against; () where one cannot be placed.

    Args:
        job: the definitions.
        problems: takes marks that there are not, and parts that are placed against one another in a circle.
    """
    wanted: dict[str, Wanted] = {}
    for table, number, part in job.part_entries():
        if isinstance(part, Placeable) and any(each.against is not None for each in part.place):
            wanted.setdefault(part.mark, Wanted(table, number, part.mark, tuple(part.place)))
    if not wanted:
        return []
    tables = {part.mark: table for table, _, part in job.part_entries()}
    before = len(problems)
    problems += (problem for each in wanted.values() for problem in _unknown(each, tables))
    order: list[Wanted] = []
    for mark in wanted:
        if (problem := _visit(mark, wanted, order, [])) is not None:
            problems.append(problem)
            break
    return order if len(problems) == before else []


def _unknown(wanted: Wanted, tables: Mapping[str, str]) -> Iterator[Problem]:
    carriers = [mark for mark, table in tables.items() if table in CARRIERS and mark != wanted.mark]
    accepted = "the mark of a tube, profile, plate, bracket or cover" + (
        f": {listed(carriers, 12)}" if carriers else ""
    )
    for number, mark in wanted.against():
        path = (*wanted.path_of(number), "against")
        if mark == wanted.mark:
            yield Problem(path, f"{mark} cannot stand against itself", accepted)
        elif pieces_of(mark, tables):
            continue  # a tube that was cut in pieces: one of them carries it
        elif mark not in tables:
            yield Problem(path, f"there is no part {shown(mark)}", accepted, nearest(mark, carriers))
        elif tables[mark] not in CARRIERS:
            yield Problem(
                path, f"{mark} is a {tables[mark].replace('_', ' ')}: nothing is placed against one", accepted
            )


def _visit(mark: str, wanted: Mapping[str, Wanted], order: list[Wanted], way: list[str]) -> Problem | None:
    """Puts a part after what it is against; the fault of a circle, if it is in one."""
    if any(each.mark == mark for each in order):
        return None
    each = wanted[mark]
    for number, against in each.against():
        if against in (*way, mark) and against != mark:
            ring = [*way[way.index(against) :], mark]
            told = ", ".join(f"{one} against {other}" for one, other in zip(ring, [*ring[1:], against], strict=True))
            what = f"these are placed against one another in a circle: {told}"
            return Problem((*each.path_of(number), "against"), what, "one of them against a tube, or by a point")
        if against in wanted and against != mark:
            fault = _visit(against, wanted, order, [*way, mark])
            if fault is not None:
                return fault
    order.append(each)
    return None
