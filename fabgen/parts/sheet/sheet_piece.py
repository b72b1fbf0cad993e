"""The last step that all sheet families share: from flat parts to pieces, faults collected."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from fabgen.job.errors import JobError, Path, Problem
from fabgen.job.tables.definitions import Bracket, Cover, Definitions, Plate
from fabgen.parts.piece import Concern, FlatPart, Piece, fact
from fabgen.parts.sheet.features import Unfit, hole_facts, sheet_mass
from fabgen.shop.materials import Material
from fabgen.wording.levels import Level

SheetPart = TypeVar("SheetPart", Plate, Bracket, Cover)
Facts = Sequence[tuple[str, str]]


def all_made(
    kind: str, parts: Iterable[SheetPart], make: Callable[[SheetPart, Path, list[Problem]], Piece]
) -> list[Piece]:
    """A piece of every part; raises one JobError with the problems of all."""
    problems: list[Problem] = []
    made: list[Piece] = []
    for i, part in enumerate(parts):
        try:
            made.append(make(part, (kind, i), problems))
        except Unfit:
            continue
    if problems:
        raise JobError(problems)
    return made


def material_of(part: Plate | Bracket | Cover, job: Definitions) -> Material:
    """The part's material, else the job's."""
    return job.find_material(part.material or job.job.material)


def mark_text(part: Plate | Bracket | Cover) -> str:
    """What is etched on the part: its own text, else its mark."""
    return part.mark if part.mark_text is None else part.mark_text


def sheet_piece(
    part: Plate | Bracket | Cover, kind: str, material: Material, flat: FlatPart, path: Path, facts: Facts, last: Facts
) -> Piece:
    """The piece; its holes in words stand between the `facts` and the `last` ones, which say where there was no room
    for what is etched."""
    return Piece(
        mark=part.mark,
        kind=kind,
        quantity=part.quantity,
        material=material.name,
        mass=sheet_mass(flat.net_area, flat.thickness, material),
        shape=replace(flat, grain=part.grain, process=part.process),
        title=part.title,
        note=part.note,
        finish=part.finish,
        facts=tuple(fact(label, label, text) for label, text in (*facts, *hole_facts(flat.holes), *last)),
        path=path,
        concerns=tuple(_left_off(last)) if part.mark_text else (),
    )


def _left_off(no_room: Facts) -> Iterable[Concern]:
    """A text that the job asks for is not left off unsaid; the part's own number in its facts only."""
    for _, text in no_room:
        advice = "a shorter mark_text, or mark_text = '' and the mark by paint pen"
        yield Concern(Level.WARN, "mark-left-off", f"etched mark: {text}: {advice}", "common practice, no source")
