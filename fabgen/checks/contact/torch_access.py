"""Whether a torch gets to where sheet parts and profiles meet tubes, and round the joints of tubes past what else
stands there; between the feet of tubes that is `checks/tube/access.py`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabgen.checks.checked import Checked
from fabgen.checks.grouped import FEW, named
from fabgen.checks.rule import PRACTICE, Found, found, rule
from fabgen.checks.tube.access import TORCH
from fabgen.contact.solids import Solid
from fabgen.contact.tools.joint_torch_ways import KeptOff, kept_off
from fabgen.contact.tools.torch_ways import Reached, too_little_reached
from fabgen.parts.piece import FlatPart, LengthPart, LinkPart, Piece, ProfilePart
from fabgen.wording.levels import Level
from fabgen.wording.sentence import Sentence, mm, sentence

LEAST = 0.25
"""A torch reaches at least so much of where a sheet part meets a tube, of both its sides (common practice, no source).
"""

COVERED = 0.15
"""Of a joint of tubes others may keep it off less than this (common practice, no source)."""


@rule("torch-access", Level.WARN, source=PRACTICE)
def torch_access(job: Checked) -> Iterator[Found]:
    """A torch, which goes into 20 mm, reaches a quarter at least of where a sheet part or a profile meets a tube, both
    its sides counted, past everything that stands near; of each side, where a [[weld]] asks for one on both."""
    words, about = list[Sentence](), list[str]()
    for sheet, tube in _welded(job):
        both = _on_both_sides(job, sheet.mark, tube.mark)
        way = too_little_reached(sheet, tube, job.contacts.fitted, TORCH, LEAST, each_side=both)
        if way is not None:
            twins = [each for each in job.contacts.solids if each.mark == sheet.mark]
            itself = f"{sheet.mark} itself" if len(twins) == 1 else f"another {sheet.mark}"
            words.append(_case(sheet.mark, tube.mark, way, both, itself))
            about.append(sheet.mark)
    words = list(dict.fromkeys(words))
    if words:
        cure = sentence(": leave ", mm(TORCH), " or more beside it, or weld it before the rest goes in")
        yield found("a torch reaches only ", named(words, "; ", FEW), cure, about=about)


def _on_both_sides(job: Checked, one: str, other: str) -> bool:
    """Whether a [[weld]] of the two asks for a seam on each side of the sheet."""
    pair = {one, other}
    return any(
        (weld.side == "both" or weld.all_round) and weld.parts[0] in pair and pair <= set(weld.parts)
        for piece in job.pieces
        for weld in piece.welds
    )


@rule("weld-first", Level.NOTE, Level.WARN, source=PRACTICE)
def weld_first(job: Checked) -> Iterator[Found]:
    """A joint of tubes that a torch, which goes into 20 mm, reaches all round but for other parts that stand near is
    welded before these go on; what is there already and keeps it off gets a look."""
    cases = list(_kept_off(job))
    later = [each for each in cases if not any(solid.as_it_is for solid in each.by)]
    if later:
        words = [sentence(_joint(each), f" before {_others(each)}", _room(each)) for each in later]
        yield found("weld first ", named(words, "; ", FEW),
                    about=list(dict.fromkeys(each.branch.mark for each in later)))  # fmt: skip
    for each in (case for case in cases if case not in later):
        yield found(f"{_others(each)}, there already, keeps a torch off ", _joint(each), _room(each),
                    ": move the end ", mm(max(TORCH - each.room, 1.0), 0), " away, or take that off to weld",
                    about=[each.branch.mark], level=Level.WARN)  # fmt: skip


def _kept_off(job: Checked) -> Iterator[KeptOff]:
    """The joints of tubes that others keep a torch off."""
    known = {solid.mark: solid for solid in reversed(job.contacts.solids) if solid.number == 0}
    meets = _joined(job.pieces)
    for mark, branch in sorted(known.items(), key=lambda each: job.contacts.solids.index(each[1])):
        part = branch.part
        if not isinstance(part, LengthPart) or isinstance(part, LinkPart) or part.is_bent_bar or part.sleeve_of:
            continue
        for weld in part.welds:
            main = known.get(weld.onto)
            if main is None or main is branch or weld.in_slit or (branch.as_it_is and main.as_it_is):
                continue
            # The others of a corner are welded with it.
            passed = meets.get(mark, set()) | meets.get(weld.onto, set())
            passed |= {each.mark for each in job.contacts.solids if job.contacts.move_apart(branch, each)}
            case = kept_off(branch, main, weld, job.contacts.fitted, passed, TORCH)
            if case is not None and case.lost >= _allowed(case, job) * case.whole:
                yield case


def _allowed(case: KeptOff, job: Checked) -> float:
    """What share of a joint others may cover: a gusset in a corner, which stands on both tubes, somewhat more."""
    both = {case.branch.mark, case.main.mark}
    gussets = all(both <= {each.mark for each in job.contacts.seated_by(solid)} for solid in case.by)
    return LEAST if gussets else COVERED


def _joined(pieces: Sequence[Piece]) -> dict[str, set[str]]:
    """The marks of the tubes that each is welded to by an end of either."""
    found: dict[str, set[str]] = {}
    for piece in pieces:
        for weld in piece.length_part.welds if piece.length_part is not None else ():
            found.setdefault(piece.mark, set()).add(weld.onto)
            found.setdefault(weld.onto, set()).add(piece.mark)
    return found


def _joint(case: KeptOff) -> Sentence:
    return sentence(f"{case.branch.mark} {case.weld.at} to {case.main.mark}")


def _others(case: KeptOff) -> str:
    return " and ".join(list(dict.fromkeys(solid.mark for solid in case.by))[:2])


def _room(case: KeptOff) -> Sentence:
    """' (12 mm of room left, 48 mm of 150 mm not reached)'."""
    lost = sentence(mm(case.lost, 0), " of ", mm(case.whole, 0), " not reached")
    if case.room < 0.5:
        return sentence(" (no room left, ", lost, ")")
    return sentence(" (", mm(case.room, 0), " of room left, ", lost, ")")


def _case(sheet: str, tube: str, way: Reached, both: bool, itself: str) -> Sentence:
    """'12 mm of 132 mm where P2 meets T1, past P1 and P3'; of one that is welded on both sides, that of one side."""
    by = " and ".join([mark for mark in way.by if mark not in (sheet, tube)][:2]) or itself
    side = " on one side" if both else ""
    return sentence(mm(way.reached, 0), " of ", mm(way.whole, 0), f"{side} where {sheet} meets {tube}, past {by}")


def _is_sheet(solid: Solid) -> bool:
    return isinstance(solid.part, FlatPart) and solid.part.band is None


def _welded(job: Checked) -> Iterator[tuple[Solid, Solid]]:
    """The sheet parts and profiles that lie against tubes and are not bolted to them, with each such tube."""
    held = [{layer.mark for layer in stack.layers} for stack in job.plan.bolts]
    for sheet in job.contacts.solids:
        if not _is_sheet(sheet) and not isinstance(sheet.part, ProfilePart):
            continue
        for tube in job.contacts.seated_by(sheet):
            part = tube.part
            is_tube = isinstance(part, LengthPart) and not isinstance(part, LinkPart) and not part.is_bent_bar
            made = not (sheet.as_it_is and tube.as_it_is)
            if is_tube and made and tube.kind == "tube" and not any({sheet.mark, tube.mark} <= each for each in held):
                yield sheet, tube
