"""Checks of round bar that is bent, threaded or flattened: can it be bent, do its nuts hold, does it fit what it goes
round?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

import numpy as np
import shapely

from fabgen.checks.checked import Checked, Checking, length_parts
from fabgen.checks.rule import FROM_JOB, PRACTICE, Found, found, rule
from fabgen.checks.tube.tube_bends import bends_named
from fabgen.geometry.plane.outline import Circle
from fabgen.parts.piece import FlattenedEnd, LengthPart, ThreadedEnd, WorkedEnd
from fabgen.shop.bending.bar_bending import least_radius
from fabgen.wording.levels import Level
from fabgen.wording.sentence import mm, sentence

GRIP = 2.0
"""Straight beyond the last bend that can be held or levered by, in diameters."""
SLACK = 0.1
"""A U-bolt wider than what it goes round by this share of it, and by `LOOSE` mm, sits loose."""
LOOSE = 4.0
THINNEST = 0.4
"""Bar is beaten flat cold to this share of its diameter, not thinner."""
BESIDE = 0.5
"""Metal on either side of a hole in a flattened end, in diameters of the hole."""
FACING = math.cos(math.radians(20.0))
"""Ends face one another where they are no more askew."""
TOUCH = 0.05
"""What lies on itself by less only touches, mm."""
Worked = Checking[LengthPart]


def bent_bars(checked: Checked) -> Iterator[Worked]:
    """Round bar that is bent, threaded or beaten flat."""
    return (each for each in length_parts(checked) if each.part.is_bent_bar)


def _diameter(of: Worked) -> float:
    return of.part.section.width


def _leg(of: Worked, end: WorkedEnd) -> float:
    """The straight at an end as the bar is when it is done, mm."""
    path = of.part.path
    return of.part.axis if path is None else path.straights[0 if end.at == "start" else -1].length


@rule("bar-radius", Level.WARN)
def bar_radius(of: Worked) -> Iterator[Found]:
    """A bend is no tighter inside than the metal takes cold: its diameter for mild steel, more for harder metals."""
    material = of.job.job.find_material(of.piece.material)
    least, d = least_radius(material, _diameter(of)), _diameter(of)
    inside = {i: bend.radius - d / 2.0 for i, bend in enumerate(of.part.bends, 1)}
    tight = [i for i, radius in inside.items() if radius < least - 0.05]
    if tight:
        radius = mm(min(inside[i] for i in tight))
        said = sentence(f"{bends_named(tight)}: inside radius ", radius, f", but {material.name} of ", mm(d, 2))
        hot = ", or bend it hot" if material.group in ("mild steel", "alloy steel") else ""
        yield found(said, " may crack on the outside under ", mm(least), f": a larger radius{hot}")


@rule("bar-grade", Level.WARN)
def bar_grade(of: Worked) -> Iterator[Found]:
    """Its grade is one that round bar is sold in, not one of sheet or tube."""
    material = of.job.job.find_material(of.piece.material)
    if material.form is not None:
        yield found(
            f"{material.name} is a grade of {material.form}, and no round bar is sold in it: mild steel bar is sold as "
            "S235JR, S355J2, A36 or 1018"
        )


@rule("bar-straight", Level.WARN)
def bar_straight(of: Worked) -> Iterator[Found]:
    """There is straight bar beyond the first and last bend to hold and lever by, two diameters."""
    if not of.part.bends:
        return
    least = GRIP * _diameter(of)
    for at, straight in (("start", of.part.straights[0]), ("finish", of.part.straights[-1])):
        if straight < least - 0.05:
            said = sentence(f"at the {at} there are ", mm(straight), " of straight beyond the bend and ", mm(least))
            yield found(said, " are needed to hold or lever it by: a longer leg, or `trim` to cut off after bending")


@rule("bar-crosses-itself", Level.STOP, source=FROM_JOB)
def bar_crosses_itself(of: Worked) -> Iterator[Found]:
    """The bent bar does not run into itself."""
    path, d = of.part.path, _diameter(of)
    if path is None or not of.part.bends:
        return
    # As seen on its plane: short lengths of bar, sawn flat, so that end faces may meet in a ring that is welded shut.
    at = np.unique([*np.arange(0.0, path.length, d / 4.0), path.length])
    frames = [path.frame_at(float(station)) for station in at]
    plane = np.column_stack((path.start.x, path.start.z))
    half = d / 2.0 - TOUCH
    left, right = (np.array([(f.origin + side * half * f.z) @ plane for f in frames]) for side in (1.0, -1.0))
    quads = shapely.polygons(np.stack((left[:-1], left[1:], right[1:], right[:-1]), axis=1))
    one, two = shapely.STRtree(quads).query(quads, "intersects")
    apart = at[two] - at[one] > 2.0 * d
    one, two = one[apart], two[apart]
    shared = shapely.area(shapely.intersection(quads[one], quads[two]))
    if len(shared) and shared.max() > TOUCH * d:
        worst = int(np.argmax(shared))
        said = sentence(
            "the bar runs into itself: ", mm(at[one[worst]]), " and ", mm(at[two[worst]]), " from its start "
        )
        yield found(said, "lie on one another: shorter legs, or smaller angles")


@rule("bar-ring", Level.NOTE)
def bar_ring(of: Worked) -> Iterator[Found]:
    """A bar whose two ends meet is a ring, which is welded shut: it says so where the job gives no weld."""
    path, given = of.part.path, next(bar for bar in of.job.job.bar if bar.mark == of.mark)
    if path is None or not of.part.bends or given.weld is not None or any(end.form for end in of.part.ends):
        return
    start, finish = path.frame_at(0.0), path.frame_at(path.length)
    between = start.origin - finish.origin
    gap, askew = float(np.linalg.norm(between)), float(np.linalg.norm(between - (between @ start.x) * start.x))
    if gap < _diameter(of) and askew < _diameter(of) / 2.0 and float(start.x @ finish.x) > FACING:
        opening = sentence(" (", mm(gap), " apart)") if gap >= TOUCH else ""
        shut = ": put on what goes inside it, weld it shut all through, and give the weld's length as `weld`"
        yield found("its ends meet", opening, ", a closed ring", shut)


@rule("thread-diameter", Level.STOP, source=FROM_JOB)
def thread_diameter(of: Worked) -> Iterator[Found]:
    """A thread is cut on bar of its own diameter or more."""
    for at, form in _threads(of):
        if form.thread.diameter > _diameter(of) + 0.05:
            said = sentence(
                f"{form.thread.name} {at} on bar of ", mm(_diameter(of), 2), ": a thread is cut into the bar, "
            )
            yield found(said, "which is of its diameter or more: thicker bar, or a smaller thread")


@rule("worked-in-bend", Level.STOP, source=FROM_JOB)
def worked_in_bend(of: Worked) -> Iterator[Found]:
    """A thread, or a flat, ends before the bend."""
    for end in of.part.ends if of.part.bends else ():
        if end.form is not None and end.form.length > (leg := _leg(of, end)) + 0.05:
            what = "thread" if isinstance(end.form, ThreadedEnd) else "flat"
            said = sentence(
                f"the {what} at the {end.at} is ", mm(end.form.length), " long, but straight bar ends after "
            )
            yield found(said, mm(leg), f": a longer leg, or a shorter {what}")


@rule("worked-overlap", Level.STOP, source=FROM_JOB)
def worked_overlap(of: Worked) -> Iterator[Found]:
    """What is worked into the two ends of a straight bar finds room between them."""
    forms = [end.form for end in of.part.ends if end.form is not None]
    whole = sum(form.length for form in forms)
    if of.part.bends or whole <= of.part.axis + 0.05:
        return
    over = mm(whole - of.part.axis)
    if len(forms) == 1:
        what = "thread" if isinstance(forms[0], ThreadedEnd) else "flat"
        yield found(sentence(f"its {what} is ", over, f" longer than the bar: a longer leg, or a shorter {what}"))
        return
    alike = all(isinstance(form, ThreadedEnd) for form in forms) and len({_cut(form) for form in forms}) == 1
    other = ", or one thread from one end over the whole length" if alike else ""
    said = sentence("what is worked into its two ends overlaps by ", over, " on ", mm(of.part.axis), " of bar: ")
    yield found(said, f"a longer leg, or shorter ends{other}")


def _cut(form: ThreadedEnd | FlattenedEnd) -> object:
    return form.thread if isinstance(form, ThreadedEnd) else None


@rule("nut-reach", Level.STOP, source=FROM_JOB)
def nut_reach(of: Worked) -> Iterator[Found]:
    """Nuts and washers find room on the thread with two threads out, and the thread reaches what they clamp."""
    clasp = of.part.clasp
    for at, form in _threads(of):
        room = form.length if clasp is None or not clasp.along else min(form.length, clasp.beyond)
        if form.takes > room + 0.05:
            takes = sentence(", and nuts, washers and two threads out take ", mm(form.takes), ": ")
            if room >= form.length:
                said = sentence(f"{at} the thread is ", mm(room))
            elif room > 0.05:
                said = sentence(f"{at} the leg stands out ", mm(room))
            else:
                short = sentence(mm(-room), " short of") if room < -0.05 else sentence("level with")
                said = sentence(f"{at} the leg ends ", short, " what it clamps")
            yield found(said, takes, mm(form.takes - room), " more")
        elif clasp is not None and clasp.along and form.length < clasp.beyond - form.under - 0.05:
            gap = mm(clasp.beyond - form.under - form.length)
            said = sentence(f"{at} the thread ends ", gap, " before the nut holds what it clamps: ")
            yield found(said, "a longer thread, or shorter legs")


@rule("clasp-width", Level.STOP, Level.WARN, source=FROM_JOB)
def clasp_width(of: Worked) -> Iterator[Found]:
    """What a U-bolt goes round goes between its legs, and does not rattle there."""
    clasp = of.part.clasp
    if clasp is None or not clasp.across:
        return
    said = sentence("its legs are ", mm(clasp.inside), f" apart inside and {clasp.name} is ", mm(clasp.across), " wide")
    if clasp.inside < clasp.across - 0.01:
        yield found(said, ": it does not go on")
    elif clasp.inside - clasp.across > max(LOOSE, SLACK * clasp.across):
        yield found(said, ": it sits loose", level=Level.WARN, source=PRACTICE)


@rule("clasp-bow", Level.WARN)
def clasp_bow(of: Worked) -> Iterator[Found]:
    """The bow of a U-bolt lies on what it goes round: no round bow on a rectangular tube."""
    clasp = of.part.clasp
    if clasp is not None and clasp.stands_off > _diameter(of):
        said = sentence("its bow bears on two corners and stands ", mm(clasp.stands_off), f" off {clasp.name}: ")
        yield found(said, "two bends of 90 degrees with a smaller `radius`, or packing between")


@rule("clasp-metal", Level.WARN)
def clasp_metal(of: Worked) -> Iterator[Found]:
    """A U-bolt is no less noble than the tube it goes round, and aluminium touches aluminium alone."""
    clasp = of.part.clasp
    held = next((each for each in of.job.pieces if clasp and each.mark == clasp.mark), None)
    if held is None:
        return
    own, other = (of.job.job.find_material(piece.material).group for piece in (of.piece, held))
    worse = "aluminium" in (own, other) or (other == "stainless" and own != "stainless")
    if own != other and worse:
        said = sentence(f"{own} on {held.mark} of {other}: where it gets wet the less noble of the two is eaten: ")
        yield found(said, "bar of the tube's own metal, or a sleeve that keeps them apart")


@rule("clasp-beyond", Level.STOP, Level.WARN, source=FROM_JOB)
def clasp_beyond(of: Worked) -> Iterator[Found]:
    """A U-bolt that stands along a tube bears on it over its whole thickness."""
    clasp, d = of.part.clasp, _diameter(of)
    at = next((bar.at for bar in of.job.job.bar if bar.mark == of.piece.mark), None)
    held = next((each for each in length_parts(of.job) if clasp and each.mark == clasp.mark), None)
    if at is None or held is None:
        return
    for name, along in (("start", at), ("finish", held.part.axis - at)):
        over = d / 2.0 - along
        if over > 0.05:
            level = Level.STOP if over > d / 2.0 - 0.05 else Level.WARN
            said = sentence(mm(over), " of its ", mm(d, 2), f" stand beyond the {name} of {held.mark}")
            yield found(said, ": `at` ", mm(over), " further in", level=level)


@rule("clasp-holes", Level.WARN, source=FROM_JOB)
def clasp_holes(of: Worked) -> Iterator[Found]:
    """A sheet part that a U-bolt's nuts clamp has two round holes where its legs come through."""
    clasp = of.part.clasp
    if clasp is None:
        return
    apart, d = clasp.inside + _diameter(of), _diameter(of)
    for piece in of.job.pieces:
        flat = piece.flat_part
        if (
            flat is None
            or piece.mark not in clasp.seats
            or not all(isinstance(h.shape, Circle) for h in flat.all_holes)
        ):
            continue  # what has slots lets legs through at many widths
        wide = [(h.shape, h.face) for h in flat.all_holes if isinstance(h.shape, Circle) and h.shape.diameter >= d]
        gaps = [
            (abs(math.dist((one.x, one.y), (two.x, two.y)) - apart), one.diameter + two.diameter - 2.0 * d)
            for (one, face), (two, other) in combinations(wide, 2)
            if face == other
        ]
        if not any(off <= slack / 2.0 + 0.01 for off, slack in gaps):
            said = sentence(
                f"{piece.mark} has no two holes ", mm(apart), " apart that bar of ", mm(d, 2), " goes through"
            )
            yield found(said, ": its legs come through there")


@rule("bar-flat", Level.WARN)
def bar_flat(of: Worked) -> Iterator[Found]:
    """An end beaten flat is not too thin, and keeps half a hole's diameter of metal round its hole."""
    d = _diameter(of)
    for end in of.part.ends:
        flat = end.form
        if not isinstance(flat, FlattenedEnd):
            continue
        if flat.thickness < THINNEST * d - 0.01:
            said = sentence("beaten from ", mm(d, 2), " to ", mm(flat.thickness, 2), f" the {end.at} splits cold: ")
            yield found(said, mm(THINNEST * d), " or more, or hot")
        beside = min((flat.width - flat.hole) / 2.0, flat.at - flat.hole / 2.0)
        if flat.hole and beside < BESIDE * flat.hole - 0.05:
            said = sentence(f"at the {end.at} ", mm(beside), " of metal are left beside the hole of ", mm(flat.hole))
            yield found(said, ": ", mm(BESIDE * flat.hole), " or more; a thinner, longer flat, or a smaller hole")


def _threads(of: Worked) -> Iterator[tuple[str, ThreadedEnd]]:
    """Each thread with where it is; one for both ends of a U-bolt, which are alike."""
    start, finish = (end.form for end in of.part.ends)
    alike = start == finish and of.part.clasp is not None
    for at, form in (("at both ends", start),) if alike else (("at the start", start), ("at the finish", finish)):
        if isinstance(form, ThreadedEnd):
            yield at, form


RULES = (
    *(bar_grade, bar_radius, bar_straight, bar_crosses_itself, bar_ring, bar_flat),
    *(thread_diameter, worked_in_bend, worked_overlap, nut_reach),
    *(clasp_width, clasp_bow, clasp_metal, clasp_beyond, clasp_holes),
)
