"""The two ends of a link rod: a rod end screwed in, or a sleeve that the tube is coped to.

Along the rod from one pin: the rod end's shank, `shank` long from the ball's centre to its
end, goes `depth` deep into the bung, counted from the bung's outer face; the bung's head
stands out of the tube.  The depth runs from the least engagement (shallower must not be) to the
depth at which the jam nut, kept on the thread, meets the end of the thread: thread length less
nut, or the tapped depth if that is less.  The tube is sawn for the middle of that range.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from fabgen.job.errors import InputError, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.link_tables import EyeGiven, Link, RodEndGiven, RodEndKind
from fabgen.shop import rod_ends
from fabgen.shop.engagement import CLASS, HANDBOOK, PRACTICE, breaking_engagement, class_strengths, practice_engagement
from fabgen.shop.section import Section
from fabgen.shop.strength import strength
from fabgen.shop.threads import Hand, Thread, ThreadError, parse_thread


@dataclass(frozen=True, slots=True)
class RodEndSetup:
    """One end of a link rod, mm.

    `depth`: how far the shank is screwed in from the bung's outer face as the rod is set up,
    between `least_depth` (the least engagement, from `least_source`) and `most_depth`.  `tapped`:
    length of thread in the bung, or in the tube where there is none.  `swing` degrees, from
    `swing_source`; `rating` N and `mass` kg where the job tells them; `property_class` of the shank,
    '' where it does not.  `female`: threaded inside, it screws on the bar's turned end; `shank` goes
    to its open face then, and `thread_length` is the depth of its thread.  `remembered` tells
    which figures came from the table.
    """

    thread: Thread
    shank: float
    thread_length: float
    bore: float | None
    eye_width: float | None
    usual_pitch: float | None
    tapped: float
    head: float
    least_depth: float
    most_depth: float
    remembered: tuple[str, ...]
    least_source: str = PRACTICE
    swing: float | None = None
    swing_source: str = ""
    rating: float | None = None
    property_class: str = ""
    mass: float | None = None
    female: bool = False

    @property
    def turned(self) -> float:
        """Length of thread on the bar's own end, for a rod end threaded inside: it and the jam nut."""
        return self.most_depth + self.thread.jam_nut if self.female else 0.0

    @property
    def room(self) -> float:
        """How far it can be screwed from one limit to the other; 0 where there is no room."""
        return max(0.0, self.most_depth - self.least_depth)

    @property
    def depth(self) -> float:
        """As set up: the middle of the range, or as deep as it goes."""
        return self.most_depth - self.room / 2.0

    @property
    def reach(self) -> float:
        """From the tube's end to the pin as set up."""
        return self.head + self.shank - self.depth

    @property
    def showing(self) -> float:
        """Thread in sight outside the bung as set up, jam nut included."""
        return (self.turned if self.female else self.thread_length) - self.depth

    def engaged(self, depth: float) -> float:
        """Thread engaged when the shank is in by `depth`."""
        return min(depth, self.tapped)

    def sight_hole(self) -> float | None:
        """Where along the tube, from its end, a hole shows whether the shank is in far enough, mm; None where that
        place is outside the tube or past the thread."""
        place = self.least_depth - self.head
        if self.female:
            return None
        return place if self.head < self.least_depth <= self.tapped else None


@dataclass(frozen=True, slots=True)
class EyeSetup:
    """A fixed end: `sleeve` of that `width` across the link, its axis `offset` off the tube's; mm.  `reach`: from the
    tube's longest point to the pin along the tube."""

    sleeve: Section
    width: float
    offset: float
    reach: float = 0.0


LinkEnd = RodEndSetup | EyeSetup


def link_end(job: Definitions, link: Link, place: int) -> LinkEnd:
    """The end as the job gives it; a sleeve's reach is still to be found.  Raises InputError."""
    given = link.rod_ends[place]
    if isinstance(given, EyeGiven):
        return _eye(given, place)
    return _rod_end(job, link, given, place)


def _eye(given: EyeGiven, place: int) -> EyeSetup:
    if not given.eye.is_round or given.eye.is_solid:
        what, accepted = "the sleeve of a fixed end is a round tube", 'e.g. eye = "38.1 x 3.2"'
        raise InputError(what, accepted, key=("rod_ends", place, "eye"))
    return EyeSetup(given.eye, given.width, given.offset)


def _rod_end(job: Definitions, link: Link, given: str | RodEndGiven, place: int) -> RodEndSetup:
    own = given if isinstance(given, RodEndGiven) else RodEndGiven(thread=given)
    key = ("rod_ends", place, "thread") if own is given else ("rod_ends", place)
    hand: Hand | None = own.hand if own is given and "hand" in own.model_fields_set else None
    thread, kind = _thread(job, own.thread, hand, key)
    female = own.female or bool(kind and kind.female)
    if female and not link.section.is_solid:
        what = "a rod end threaded inside screws on the turned end of a bar, and this link is a tube"
        raise InputError(what, 'solid bar, e.g. section = "20 solid"', key=("section",))
    table = rod_ends.find(thread) if kind is None and not female else None
    figures = {name: _figure(own, kind, table, name) for name in ("shank", "thread_length", "bore", "eye_width")}
    shank, thread_length = figures["shank"], figures["thread_length"]
    if shank is None or thread_length is None:
        raise InputError(
            f"the table has no rod end {thread.size}{' threaded inside' if female else ''}",
            f"{', '.join(rod_ends.sizes())}; or a table with shank and thread_length of your own",
            key=key,
        )
    if thread_length >= shank:
        raise InputError(
            f"the rod end's thread ({thread_length:g} mm) is as long as its shank to the ball's centre ({shank:g} mm)",
            "shank counts from the ball's centre to the end of the thread",
            key=("rod_ends", place),
        )
    bung = rod_ends.usual_bung(thread)
    in_bar = female or link.bung == "none"
    tapped = thread_length if in_bar else bung.thread_length
    tapped = tapped if female or link.bung_length is None else link.bung_length
    head = 0.0 if in_bar else bung.head
    most = thread_length if female else thread_length - thread.jam_nut
    property_class = own.property_class or (kind.property_class if kind else None) or ""
    least, source = _least(job, link, thread, property_class)
    swing, swing_source = _swing(own, kind, thread)
    return RodEndSetup(
        thread=thread,
        shank=shank,
        thread_length=thread_length,
        bore=figures["bore"],
        eye_width=figures["eye_width"],
        usual_pitch=table.pitch if table else None,
        tapped=tapped,
        head=head if female or link.bung_head is None else link.bung_head,
        least_depth=least,
        # A bung is tapped right through; in the tube itself the tap ends somewhere.
        most_depth=max(0.0, min(most, tapped) if in_bar else most),
        remembered=tuple(name for name in figures if getattr(own, name) is None and table is not None),
        least_source=source,
        swing=swing,
        swing_source=swing_source,
        rating=_figure(own, kind, None, "rating"),
        property_class=property_class,
        mass=_figure(own, kind, None, "mass"),
        female=female,
    )


def _figure(own: RodEndGiven, kind: RodEndKind | None, table: object, name: str) -> float | None:
    """The link's own figure, else that of the job's [[rod_end]], else the table's."""
    for given in (own, kind, table):
        if given is not None and (value := getattr(given, name, None)) is not None:
            return float(value)
    return None


def _thread(
    job: Definitions, text: str, hand: Hand | None, key: tuple[str | int, ...]
) -> tuple[Thread, RodEndKind | None]:
    """The thread a link names, outright or by a [[rod_end]], and that rod end if the job has it."""
    named, said = _by_name(job, text)
    try:
        thread = parse_thread(f"{named.thread} {said}" if named else text, hand)
    except ThreadError as fault:
        names = [kind.name for kind in job.rod_end if kind.name]
        accepted = fault.accepted + (f"; or a [[rod_end]]: {', '.join(names)}" if names else "")
        near = nearest(text, names)
        raise InputError(fault.what, accepted, near or fault.nearest, key) from None
    if named is not None:
        return thread, named
    for kind in job.rod_end:
        if not kind.name and _same_thread(kind.thread, thread):
            return thread, kind
    return thread, None


def _same_thread(text: str, thread: Thread) -> bool:
    try:
        return parse_thread(text).name == thread.name
    except ThreadError:
        return False


_HAND = re.compile(r"[\s,-]+(right|left|rh|lh|r|l)(?:[\s-]*hand)?$", re.IGNORECASE)


def _by_name(job: Definitions, text: str) -> tuple[RodEndKind | None, str]:
    """The [[rod_end]] that a text names, and the hand after its name."""
    found = _HAND.search(text)
    for name, said in ((text, ""), (text[: found.start()], found[1])) if found else ((text, ""),):
        for kind in job.rod_end:
            if kind.name and " ".join(kind.name.split()).casefold() == " ".join(name.split()).casefold():
                return kind, said
    return None, ""


def _swing(own: RodEndGiven, kind: RodEndKind | None, thread: Thread) -> tuple[float, str]:
    """How far the ball tilts, rad, and where that comes from."""
    given = own.swing or (kind.swing if kind else None)
    if given is not None:
        return given, "as the job gives it"
    return math.radians(rod_ends.usual_swing(thread)), rod_ends.MEMORY


def _least(job: Definitions, link: Link, thread: Thread, property_class: str) -> tuple[float, str]:
    """Thread that must stay engaged, mm, and its source: practice, and where the nut's material is given as much as
    keeps it from stripping before the shank breaks."""
    tube = job.find_material(link.material or job.job.material)
    nut = job.find_material(link.bung_material) if link.bung_material else tube
    usual = practice_engagement(thread, soft=nut.group == "aluminium")
    given = link.bung_material is not None or (link.bung == "none" and link.material is not None)
    breaks = strength(nut).breaks
    if not given or breaks is None:
        return usual, PRACTICE
    screw = class_strengths(property_class or CLASS)[0]
    needed = breaking_engagement(thread, screw, breaks)
    return (needed, HANDBOOK) if needed > usual else (usual, PRACTICE)
