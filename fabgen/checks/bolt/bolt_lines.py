"""Bolts where they stand: whether the holes of what each goes through are in line, and what lies along it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, product

from fabgen.checks.bolt.bolt_places import at_places
from fabgen.checks.bolt.off_points import kept_out_by_points
from fabgen.checks.bolt.spacers import with_spacers
from fabgen.checks.bolt.unheld import unheld
from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import FROM_JOB, Found, found, rule
from fabgen.parts.piece import FlattenedHole
from fabgen.parts.shape.bored.bolt_lines import BoltLine
from fabgen.parts.shape.bored.bolt_room import PARALLEL
from fabgen.parts.shape.bored.passages import Passage, passages
from fabgen.plan.buying.bolt_ways import meant
from fabgen.plan.buying.standing_sleeves import FREE
from fabgen.plan.plan import TIGHT
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence, spacer_to_paste


@rule("bolt-out-of-line", Level.STOP, source=FROM_JOB)
def bolt_out_of_line(job: Checked) -> Iterator[Found]:
    """The holes of the parts that a bolt is named through lie on one axis, as far as their clearance lets the bolt
    pass; so does the middle of a rod end's eye.  Of a hole that misses the point which its part stands near that is
    told in its place."""
    cases: list[tuple[str, Sentence]] = []
    for stack in job.plan.bolts:
        astray = [line for line in stack.lines if not line.in_line]
        if astray and stack.name not in kept_out_by_points(job):
            worst = max(astray, key=lambda line: round(line.off, 2))
            off = sentence(f"{_astray(worst)} by ", mm(worst.off), at_places(job, stack, astray))
            cases.append((stack.name, off))
    if cases:
        each = [said if len(cases) == 1 else sentence(f"{name}, ", said) for name, said in cases]
        marks = [name for name, _ in cases]
        yield found("out of line, so it does not pass: ", named(each, "; ", FEW), ": move one of them", about=marks)


def _is_flat(passage: Passage) -> bool:
    """Whether it leads through a crushed or flattened end."""
    return any(isinstance(way.hole, FlattenedHole) for way in passage.ways)


def _astray(line: BoltLine) -> str:
    """'P1 from P2': which parts' holes are farthest from one another; 'L from the others' of an eye."""
    seats = {seat.layer: seat.passage for seat in line.seats}
    one, other = (seats[layer] for layer in line.astray)
    if len(seats) > 2:
        odd = other if not other.ways else one
        return f"{odd.mark} from the others"
    first, second = sorted((one, other), key=lambda each: (bool(each.ways), each.mark))
    return f"{first.mark} from {second.mark}"


@rule("bolt-no-axis", Level.STOP, source=FROM_JOB)
def bolt_no_axis(job: Checked) -> Iterator[Found]:
    """The holes of the parts that a bolt is named through look the same way, and it passes both walls of a tube."""
    by_mark = {piece.mark: piece for piece in job.pieces}
    for stack in job.plan.bolts:
        marks = list(dict.fromkeys(layer.mark for layer in stack.layers if layer.mark))
        along = {layer.mark for layer in stack.layers if layer.along}
        ways = {
            mark: own
            for mark in marks
            if (own := [way for way in passages(by_mark[mark]) if way.is_bore == (mark in along)])
        }
        half = [mark for mark, own in ways.items() if all(way.one_wall for way in own)]
        if half:
            walls = f"passes {half[0]}, which is drilled through one wall only"
            yield found(walls, ": `both_walls = true` at its hole", about=stack.name)
        bolt = stack.choice.thread.diameter
        holed = [mark for mark in ways if any(way.axis is not None for way in ways[mark])]
        wide = [mark for mark in holed if any(way.lets_through(bolt) for way in ways[mark])]
        if len(wide) > 1 and not stack.lines:
            one, other = next(
                (pair for pair in combinations(sorted(wide), 2) if not _look_alike(*(ways[mark] for mark in pair))),
                sorted(wide)[:2],
            )
            what = f"has no axis: no {_hole(ways[one])} of {one} looks the way of one of {other}: "
            yield found(what, _turn(wide, ways), about=stack.name)


def _look_alike(some: Sequence[Passage], others: Sequence[Passage]) -> bool:
    """Whether one of some holes looks the way of one of others."""
    axes = [[way.axis for way in ways if way.axis is not None] for ways in (some, others)]
    return any(abs(float(one @ other)) >= PARALLEL for one, other in product(*axes))


def _hole(ways: Sequence[Passage]) -> str:
    return "hole" if any(way.ways for way in ways) else "eye"


def _turn(marks: Sequence[str], ways: Mapping[str, Sequence[Passage]]) -> str:
    """What turns one of them."""
    flat = next((mark for mark in marks if any(_is_flat(way) for way in ways[mark])), None)
    if flat is not None:
        return f"turn the flat of {flat}, `turn` of its `crush`"
    eye = next((mark for mark in marks if _hole(ways[mark]) == "eye"), None)
    return "turn one of them" if eye is None else f"a [[pin]] at that end of {eye} turns its eye"


@rule("bolt-order", Level.WARN, source=FROM_JOB)
def bolt_order(job: Checked) -> Iterator[Found]:
    """What a bolt passes is listed in the order in which it stands along it."""
    for stack in job.plan.bolts:
        astray = [line for line in stack.lines if line.in_line and not line.in_order]
        if not astray or stack.name in unheld(job):
            continue
        marks = [seat.passage.mark for seat in sorted(astray[0].seats, key=lambda seat: seat.begins + seat.ends)]
        if len(marks) < len([layer for layer in stack.layers if not layer.open]):
            listed: Sentence = sentence("list them so")
        else:
            listed = sentence("through = [", ", ".join(f'"{mark}"' for mark in marks), "]")
        where = at_places(job, stack, astray)
        order = sentence(f"passes {', '.join(marks)} in this order where they stand", where, ", not as listed: ")
        yield found(order, listed, about=stack.name)


@rule("bolt-gap", Level.WARN, Level.STOP)
def bolt_gap(job: Checked) -> Iterator[Found]:
    """What lies between two parts along a bolt, as they stand, fills the room there to a millimetre, and goes into it;
    of a sleeve that stands there and does not, that is told."""
    for stack in job.plan.bolts:
        for gap in stack.free:
            one, other = gap.marks
            about = stack.name
            if gap.free < -TIGHT and gap.listed:
                where = at_places(job, stack, gap.lines)
                listed = sentence(mm(gap.listed, 2), f" listed between {one} and {other}", where, " do not go into ")
                room = sentence("the ", mm(gap.listed + gap.free, 2), " there")
                shorter = ": a shorter spacer, or the parts farther apart"
                yield found(listed, room, shorter, level=Level.STOP, about=about)
            elif gap.free > FREE and (bare := stack.without_sleeve(gap)):
                free = sentence(mm(gap.free, 2), f" are free between {one} and {other}", at_places(job, stack, bare))
                spaced = with_spacers(stack, spacer_to_paste(gap.free), gap.places[1:])
                yield found(free, ": a spacer of that length, ", spaced, about=about)


@rule("bolt-nowhere", Level.NOTE, source=FROM_JOB)
def bolt_nowhere(job: Checked) -> Iterator[Found]:
    """A bolt of which one part alone has a place stands in the holes of that, where there are as many for it as there
    are bolts."""
    by_mark = {piece.mark: piece for piece in job.pieces}
    for stack in job.plan.bolts:
        marks = dict.fromkeys(layer.mark for layer in stack.layers if layer.mark)
        placed = [mark for mark in marks if by_mark[mark].is_placed]
        if stack.lines or len(placed) != 1:
            continue
        (mark,) = placed
        thread = stack.choice.thread
        ways = meant([way for way in passages(by_mark[mark]) if way.lets_through(thread.diameter)], thread)
        if not ways or len(ways) < stack.quantity:  # which is said elsewhere
            continue
        holes = "whose eye does not say which way it runs"
        if ways[0].ways:
            bolts = "one bolt" if stack.quantity == 1 else f"{stack.quantity} bolts"
            holes = f"with {len(ways)} holes for {bolts}"
        where = ": where it stands is not known, so it was held against nothing; place another part of it"
        yield found(f"of what it passes only {mark} has a place, {holes}{where}", about=stack.name)


RULES = (bolt_out_of_line, bolt_no_axis, bolt_order, bolt_gap, bolt_nowhere)
