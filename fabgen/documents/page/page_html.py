"""The page as one HTML text: words, tables and drawings in it, the scene as data, style and script inside.

Nothing is fetched: a content policy in the page forbids it.  Without a script the page still
shows every part, drawing, table and check, one under the other, as it also prints.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from fabgen.changes.metal_print import metal_prints
from fabgen.checks.rule import Finding, graded, merged
from fabgen.documents.page.fingerprint import cut_print, marked_print, words_print
from fabgen.documents.page.page_lists import by_level, cut_list
from fabgen.documents.page.part_figures import PartFigures, figured
from fabgen.documents.page.part_sheet import anchor, part_sheet
from fabgen.documents.render import cautions
from fabgen.documents.render.html import filled
from fabgen.documents.render.svg import FACE
from fabgen.documents.render.words import counted, length_text
from fabgen.documents.scene.bodies import body
from fabgen.documents.scene.scene import packed, standing_bodies
from fabgen.geometry.space.mesh import EdgedMesh
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import Piece, made_here
from fabgen.plan.plan import Plan
from fabgen.wording.levels import Level

if TYPE_CHECKING:
    from fabgen.motion.movement import Movement

SCRIPTS = ("scene.js", "camera.js", "view.js", "sheet.js", "ticks.js")
LIVE = "live.js"


@dataclass
class Kept:
    """Results kept by fingerprint, for a page that is made again and again."""

    bodies: dict[str, EdgedMesh] = field(default_factory=dict)
    figures: dict[str, PartFigures] = field(default_factory=dict)


def page_html(
    header: Header,
    pieces: Sequence[Piece],
    plan: Plan,
    findings: Sequence[Finding],
    kept: Kept | None = None,
    live: bool = False,
    movement: Movement | None = None,
) -> str:
    """The page of a job; the same job gives the same text.

    `live`: the page listens to the program that serves it and reloads when it is made again.
    """
    prints = {piece.mark: cut_print(piece) for piece in pieces}
    bodies, figures = _worked_out(header, pieces, prints, kept or Kept())
    known = {piece.mark: piece for piece in pieces}
    style, scripts = _asset("page.css").replace("DRAWING_FACE", FACE), [*SCRIPTS, *([LIVE] if live else [])]
    moving, beside = None, []
    if movement is not None:
        from fabgen.documents.page.page_movement import moving_part  # the jobs that move are few
        from fabgen.documents.scene.beside import wires

        moving, beside = moving_part(header, movement), wires(movement.linkage.job)
    scene = standing_bodies(pieces, bodies, [each.body for each in beside])
    data = {"job": header.number, "parts": packed(scene, beside)}
    return filled(
        "fabgen.documents.page",
        "page.html",
        job=header,
        about=_about_job(header, pieces),
        pieces=pieces,
        known=known,
        sheets=[part_sheet(piece, figures[piece.mark], findings, header.units) for piece in pieces],
        groups=cut_list(pieces, findings, metal_prints(pieces), header.units),
        bars=plan.bars,
        first=[each for each in graded(merged(findings)) if each.level != Level.NOTE],
        checks=by_level(findings),
        moving=moving,
        cautions=cautions,
        live=live,
        style=style,
        script="\n".join(map(_asset, scripts)),
        data=_data(data),
        anchor=anchor,
        length=partial(length_text, units=header.units),
    )


def _worked_out(
    header: Header, pieces: Sequence[Piece], prints: dict[str, str], kept: Kept
) -> tuple[dict[str, EdgedMesh], dict[str, PartFigures]]:
    """Bodies and figures by mark, those of parts that are as they were taken from `kept`, which then holds these."""
    known = {piece.mark: piece for piece in pieces}
    bodies: dict[str, EdgedMesh] = {}
    figures: dict[str, PartFigures] = {}
    for piece in pieces:
        own = prints[piece.mark]
        bodies[own] = kept.bodies.get(own) or body(piece)
        # A drawing also shows what the part's ends sit on, and what sits on it.
        about = [words_print(piece), marked_print(piece), *(prints.get(mark, "") for mark in _mains(piece))]
        seen = ".".join([header.units, own, *about])
        figures[seen] = kept.figures.get(seen) or figured(piece, known, header.units)
    in_order = list(figures.values())
    kept.bodies, kept.figures = bodies, figures
    return (
        {piece.mark: bodies[prints[piece.mark]] for piece in pieces},
        {piece.mark: each for piece, each in zip(pieces, in_order, strict=True)},
    )


def _mains(piece: Piece) -> list[str]:
    if (profile := piece.profile_part) is not None:
        return [mark for end in profile.ends for mark in end.onto]
    part = piece.length_part
    return [joint.onto for end in part.ends for joint in end.joints] if part is not None else []


def _about_job(header: Header, pieces: Sequence[Piece]) -> str:
    own = made_here(pieces)
    count = sum(piece.quantity for piece in own)
    parts = [header.number, f"revision {header.revision}"]
    parts += [header.date.isoformat()] if header.date is not None else []
    parts += [
        f"{counted(len(own), 'mark')}, {counted(count, 'piece')}",
        f"{sum(p.mass * p.quantity for p in own):.1f} kg",
    ]
    return " · ".join(parts)


def _asset(name: str) -> str:
    return files("fabgen.documents.page").joinpath(name).read_text(encoding="utf-8")


def _data(value: Any) -> str:
    """JSON that may stand inside a script element whatever texts are in it."""
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
