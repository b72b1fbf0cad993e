"""Small parts cut from the holes of large ones: each hole is a room of its own, filled first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from shapely import Polygon

from fabgen.plan.plan import PlacedPart
from fabgen.plan.sheets.blanks import Axis, Blank, within
from fabgen.plan.sheets.nesting import CORNER, DOWN, LEFT, Nester
from fabgen.plan.sheets.sheet_stock import Room, fits_alone

_CHORDS = 0.05
"""A hole's arcs are taken as chords that stand in by this at most, mm."""


@dataclass(eq=False)
class Host:
    """One part to be cut, and the parts that lie in its holes: where, in its own coordinates."""

    blank: Blank
    guests: list[tuple[PlacedPart, Host]] = field(default_factory=list)
    is_guest: bool = False


def fill_holes(blanks: Sequence[Blank], nester: Nester) -> list[Host]:
    """The parts that still need room on a sheet, in the given order; all others are their guests.

    The largest hole goes first and takes the largest parts that fit it.
    """
    hosts = [Host(blank) for blank in blanks]
    smallest = min((blank.area for blank in blanks), default=0.0)
    rooms = {mark: list(_rooms(blank, nester.gap, smallest)) for mark, blank in nester.blanks.items()}
    holes = [(room, host) for host in hosts for room in rooms[host.blank.mark]]
    barren: set[Room] = set()
    for room, host in sorted(holes, key=lambda hole: -hole[0].region.area):
        if room in barren:
            continue
        loose = [h for h in hosts if not h.is_guest and h is not host and _may_fit(h.blank, room)]
        loose.sort(key=lambda h: -h.blank.part.outline.area)
        tries = (nester.fill(room, [h.blank for h in loose], toward=toward) for toward in (CORNER, LEFT, DOWN))
        placed, _ = min(tries, key=lambda t: sum(blank.part.outline.area for blank in t[1]))
        for place in placed:
            guest = next(h for h in loose if h.blank.mark == place.mark and not h.is_guest)
            guest.is_guest = True
            host.guests.append((place, guest))
        if not placed:
            barren.add(room)
    return [host for host in hosts if not host.is_guest]


def _rooms(blank: Blank, gap: float, smallest: float) -> Iterator[Room]:
    """The rooms in a part's holes that are larger than the smallest part, in the part's own coordinates."""
    grain: Axis | None = None if blank.grain is None else "x" if blank.grain == "along" else "y"
    for hole in blank.part.holes:
        if hole.shape.area > smallest:
            inside = Polygon(hole.shape.points(_CHORDS)).buffer(-gap - _CHORDS)
            for region in getattr(inside, "geoms", [inside]):
                if region.area > smallest:
                    yield Room(region, grain)


def _may_fit(blank: Blank, room: Room) -> bool:
    return blank.part.outline.area < room.region.area and fits_alone(blank, room)


def waiting_hosts(hosts: Iterable[Host]) -> dict[str, list[Host]]:
    """The hosts by their marks."""
    waiting: dict[str, list[Host]] = {}
    for host in hosts:
        waiting.setdefault(host.blank.mark, []).append(host)
    return waiting


def with_guests(placed: Iterable[PlacedPart], waiting: dict[str, list[Host]]) -> Iterator[PlacedPart]:
    """Where all parts lie, given where the hosts do; each host is followed by its guests and waits no more."""
    for place in placed:
        yield from _with_own(place, waiting[place.mark].pop(0))


def _with_own(place: PlacedPart, host: Host) -> Iterator[PlacedPart]:
    yield place
    for inner, guest in host.guests:
        yield from _with_own(within(inner, place), guest)
