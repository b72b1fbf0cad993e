"""The two ends of a link rod as the job gives them: a rod end screwed in, or a sleeve that the tube is coped to."""

from __future__ import annotations

import math
import re

from fabgen.job.errors import InputError, nearest
from fabgen.job.tables.definitions import Definitions
from fabgen.job.tables.link_tables import EyeGiven, Link, RodEndGiven, RodEndKind
from fabgen.parts.link.nut_metal import nut_metal
from fabgen.parts.piece import EyeSetup, LinkEnd, RodEndSetup
from fabgen.parts.shape.bush_seats import bush_named
from fabgen.shop.threaded import rod_ends
from fabgen.shop.threaded.engagement import (
    CLASS,
    HANDBOOK,
    PRACTICE,
    breaking_engagement,
    class_strengths,
    practice_engagement,
)
from fabgen.shop.threads import Hand, Thread, ThreadError, parse_thread
from fabgen.wording.sentence import mm, sentence


def link_end(job: Definitions, link: Link, place: int) -> LinkEnd:
    """One end of a link rod; a sleeve's reach is still to be found.

    Args:
        place: 0 for the first of the link's `rod_ends`, 1 for the second.
    Raises:
        InputError: the thread, the rod end or the sleeve will not do; its key is below the link's table.
    """
    given = link.rod_ends[place]
    if isinstance(given, EyeGiven):
        return _eye(job, given, place)
    return _rod_end(job, link, given, place)


def _eye(job: Definitions, given: EyeGiven, place: int) -> EyeSetup:
    if not given.eye.is_round or given.eye.is_solid:
        what, accepted = "the sleeve of a fixed end is a round tube", 'e.g. eye = "38.1 x 3.2"'
        raise InputError(what, accepted, key=("rod_ends", place, "eye"))
    if given.bush is not None:
        try:
            bush_named(job, given.bush)
        except InputError as fault:
            raise fault.below("rod_ends", place, "bush") from None
    return EyeSetup(given.eye, given.width, given.offset, bush=given.bush or "")


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
        what = f"the table has no rod end {thread.size}{' threaded inside' if female else ''}"
        accepted = f"{', '.join(rod_ends.sizes())}; or a table with shank and thread_length of your own"
        raise InputError(what, accepted, key=key)
    if thread_length >= shank:
        raise InputError(
            sentence(
                "the rod end's thread (",
                mm(thread_length, 3),
                ") is as long as its shank to the ball's centre (",
                mm(shank, 3),
                ")",
            ),
            "shank counts from the ball's centre to the end of the thread",
            key=("rod_ends", place),
        )
    property_class = own.property_class or (kind.property_class if kind else None) or ""
    least, source = _least(job, link, thread, property_class)
    bung = rod_ends.usual_bung(thread, least)
    in_bar = female or link.bung == "none"
    tapped = thread_length if in_bar else bung.thread_length
    tapped = tapped if female or link.bung_length is None else link.bung_length
    head = 0.0 if in_bar else bung.head
    most = thread_length if female else thread_length - thread.jam_nut
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
        accepted = sentence(fault.takes, f"; or a [[rod_end]]: {', '.join(names)}" if names else "")
        near = nearest(text, names)
        raise InputError(fault.said, accepted, near or fault.nearest, key) from None
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
    nut = nut_metal(job, link)
    usual = practice_engagement(thread, soft=nut.is_aluminium)
    given = link.bung_material is not None or (link.bung == "none" and link.material is not None)
    breaks = nut.strength.breaks
    if not given or breaks is None:
        return usual, PRACTICE
    screw = class_strengths(property_class or CLASS)[0]
    needed = breaking_engagement(thread, screw, breaks)
    return (needed, HANDBOOK) if needed > usual else (usual, PRACTICE)
