"""The page as one HTML text: lists and checks in it, the scene and the parts' sheets as data, style and script inside.

Nothing is fetched: a content policy in the page forbids it.  A part's sheet is packed until it is opened; without a
script the page still has its lists and checks.
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
from fabgen.documents.page.archive import packed_texts
from fabgen.documents.page.fingerprint import cut_print, marked_print, words_print
from fabgen.documents.page.page_lists import by_level, cut_list, worst
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
from fabgen.parts.shape.alike import alike_tubes
from fabgen.plan.plan import Plan
from fabgen.wording.levels import Level

if TYPE_CHECKING:
    from fabgen.motion.movement import Movement

SCRIPTS = (
    "scene.js",
    "archive.js",
    "travel.js",
    "camera.js",
    "measure.js",
    "labels.js",
    "view.js",
    "touch.js",
    "sheet.js",
    "stage.js",
    "ticks.js",
)
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
    kept = kept or Kept()
    bodies = bodies_of(pieces, prints, kept)
    style, scripts = _asset("page.css").replace("DRAWING_FACE", FACE), [*SCRIPTS, *([LIVE] if live else [])]
    moving, beside, travelling = None, [], dict[str, Any]()
    if movement is not None:
        from fabgen.documents.page.page_movement import moving_part  # the jobs that move are few
        from fabgen.documents.scene.beside import wires
        from fabgen.documents.scene.travelling import travels

        moving, beside = moving_part(header, movement), wires(movement.linkage.job)
        travelling = travels(movement, pieces)
    scene = standing_bodies(pieces, bodies, [each.body for each in beside])
    sheets = _sheets(header, pieces, findings, prints, kept)
    shown = {**packed(scene, beside, worst(findings)), **travelling}
    data = {"job": header.number, "units": header.units, **shown, **sheets}
    return _filled(
        "page.html",
        job=header,
        about=_about_job(header, pieces),
        pieces=pieces,
        known={piece.mark for piece in pieces},
        groups=cut_list(pieces, findings, metal_prints(pieces), header.units),
        bars=plan.bars,
        first=[each for each in graded(merged(findings)) if each.level != Level.NOTE],
        checks=by_level(findings),
        moving=moving,
        travels=[each["name"] for each in travelling.get("travels", [])],
        loose=any(not each.placed for each in scene) and any(each.placed for each in scene),
        cautions=cautions,
        live=live,
        style=style,
        script="\n".join(map(_asset, scripts)),
        data=_data(data),
        length=partial(length_text, units=header.units),
    )


def bodies_of(pieces: Sequence[Piece], prints: dict[str, str], kept: Kept) -> dict[str, EdgedMesh]:
    """Bodies by mark, those of parts that are as they were taken from `kept`, which then holds these."""
    kept.bodies = {
        own: before if (before := kept.bodies.get(own)) is not None else body(piece)
        for piece in pieces
        for own in (prints[piece.mark],)
    }
    return {piece.mark: kept.bodies[prints[piece.mark]] for piece in pieces}


def _sheets(
    header: Header, pieces: Sequence[Piece], findings: Sequence[Finding], prints: dict[str, str], kept: Kept
) -> dict[str, Any]:
    """The parts' sheets, packed: of each mark what it is and the numbers of its texts: its own words, the findings on
    it, each kept once, and what is drawn and tabulated of it and of all that are made alike."""
    known = {piece.mark: piece for piece in pieces}
    found, on = _texts_of(findings)
    texts = [*found]
    rows: dict[str, tuple[str, int, list[int], int]] = {}
    figures: dict[str, PartFigures] = {}
    for group in alike_tubes(pieces):
        first = group[0]
        # A drawing also shows what the part's ends sit on, and what sits on it.
        about = [words_print(first), marked_print(first), *(prints.get(mark, "") for mark in _mains(first))]
        seen = ".".join([header.units, prints[first.mark], *about])
        figures[seen] = kept.figures.get(seen) or figured(first, known, header.units)
        shared = len(texts)
        texts.append(_filled("part_figures.html", figures=figures[seen], marks=[piece.mark for piece in group]))
        for piece in group:
            rows[piece.mark] = (piece.title or piece.kind, len(texts), on.get(piece.mark, []), shared)
            texts.append(_filled("part_sheet.html", sheet=part_sheet(piece, header.units)))
    kept.figures = figures
    return {"sheets": [[piece.mark, *rows[piece.mark]] for piece in pieces], "texts": packed_texts(texts)}


def _texts_of(findings: Sequence[Finding]) -> tuple[list[str], dict[str, list[int]]]:
    """Findings as the page words them, and by mark the numbers of those on it."""
    texts: dict[str, int] = {}
    on: dict[str, list[int]] = {}
    for finding in findings:
        text = _filled("finding.html", finding=finding)
        number = texts.setdefault(text, len(texts))
        for mark in dict.fromkeys(finding.marks):
            on.setdefault(mark, []).append(number)
    return list(texts), on


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


def _filled(template: str, **values: object) -> str:
    return filled("fabgen.documents.page", template, anchor=anchor, **values)


def _asset(name: str) -> str:
    return files("fabgen.documents.page").joinpath(name).read_text(encoding="utf-8")


def _data(value: Any) -> str:
    """JSON that may stand inside a script element whatever texts are in it."""
    text = json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
