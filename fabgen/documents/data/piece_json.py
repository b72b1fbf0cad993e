"""The key `pieces` of job.json: every mark with its shape."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from fabgen.documents.data.json_figures import in_deg, in_degrees, in_mm, rounded, values_data
from fabgen.documents.data.plan_json import goods_data
from fabgen.documents.data.profile_json import profile_data
from fabgen.documents.dxf.flat_dxf import drill_name, flat_name, hole_name
from fabgen.parts.piece import (
    BarEnd,
    CutLine,
    DrilledHole,
    Fact,
    FlatPart,
    FlattenedEnd,
    Landing,
    LengthPart,
    Opening,
    Piece,
    ProfilePart,
    SawSetup,
    Slit,
    ThreadedEnd,
    WorkedEnd,
    like_holes,
)
from fabgen.parts.shape.along_tube import axis_at, job_side


def piece_data(piece: Piece, units: str) -> dict[str, Any]:
    """One mark; `units` are the job's, for texts."""
    common: dict[str, Any] = {
        "mark": piece.mark,
        "kind": piece.kind,
        "quantity": piece.quantity,
        "material": piece.material,
        "mass_kg": round(piece.mass, 4),
    }
    for key in ("opposite_of", "same_as"):
        if mark := getattr(piece, key):
            common[key] = mark
    if piece.state == "made":
        common["made"] = True
    if piece.as_it_is:
        common["state"] = piece.state
    shape = piece.shape
    if isinstance(shape, FlatPart):
        own = _flat(shape, f"flat/{flat_name(piece)}" if piece.is_to_make else "")
    elif isinstance(shape, ProfilePart):
        own = profile_data(shape)
    else:
        own = _length(shape)
    facts = {"facts": _texts(piece.facts, units), "values": _values(piece.facts)} if piece.facts else {}
    hardware = [
        {"item": each.item, "spec": each.goods.words(), "quantity": each.quantity}
        | goods_data(each.goods)
        | {"note": each.note.words(units)}
        for each in piece.hardware
    ]
    if piece.coating:
        common["coating"] = piece.coating
    return common | own | facts | ({"hardware": hardware} if hardware else {})


def _texts(facts: Sequence[Fact], units: str) -> dict[str, str]:
    """The text of each label; facts that share one stand below one another in it."""
    found: dict[str, str] = {}
    for fact in facts:
        text = fact.text.words(units)
        found[fact.label] = f"{found[fact.label]}\n{text}" if fact.label in found else text
    return found


def _values(facts: Sequence[Fact]) -> list[dict[str, Any]]:
    return [{"key": fact.key, "label": fact.label} | value for fact in facts for value in values_data(fact.text)]


def _length(part: LengthPart) -> dict[str, Any]:
    holes = [hole_data(hole) for hole in part.holes]
    groups = like_holes(part.drilled)
    return (
        {"section": str(part.section)}
        | in_mm(part, "length", "axis")
        | {"ends": [_end(end) | saw_data(end.saw) for end in part.ends]}
        | ({"holes": holes} if holes else {})
        | ({"drilled": [drilled_data(hole, group[0]) for group in groups for hole in group]} if groups else {})
        | ({"bends": tube_bends(part)} if part.bends else {})
        | ({"landings": [landing_data(part, each) for each in part.landings]} if part.landings else {})
    )


def landing_data(main: LengthPart, landing: Landing) -> dict[str, Any]:
    """An end that sits on a tube: `along` where its axis comes through the skin, else where the axes are nearest; round
    a round tube by the clock, on flat sides by the job's name of the side and how far beside its middle, clockwise seen
    from the start."""
    skin = landing.axes if landing.skin is None else landing.skin
    found: dict[str, Any] = {"branch": landing.branch, "at": landing.at, "along_mm": rounded(skin)}
    found |= in_deg(landing, "angle")
    if landing.round is None:
        return found
    found |= in_deg(landing, "round")
    if main.section.is_round:
        return found
    face, beside = main.section.face_at(landing.round)
    side = "" if main.frame is None else job_side(axis_at(main, landing.axes), face)
    return found | ({"side": side} if side else {}) | {"from_middle_mm": rounded(beside)}


def _end(end: WorkedEnd) -> dict[str, Any]:
    return {
        "at": end.at,
        "cut": end.cut,
        "onto": [seat.onto for seat in end.seats],
        "joints": [{"onto": seat.onto} | in_deg(seat, "angle") | in_mm(seat, "offset") for seat in end.seats],
        "fit": end.fit,
        "top_phi_deg": in_degrees(end.top),
        "line": line_pairs(end.line),
    } | _form(end.form)


def line_pairs(line: CutLine) -> list[list[float | None]]:
    """[[phi_deg, x_mm or null], ...]; null where the end misses its main."""
    pairs = zip(np.degrees(line.phi).tolist(), line.x.tolist(), strict=True)
    return [[round(phi, 4), None if x != x else rounded(x)] for phi, x in pairs]


def _form(form: BarEnd) -> dict[str, Any]:
    if isinstance(form, ThreadedEnd):
        return {"thread": {"name": form.thread.name, "hand": form.thread.hand} | in_mm(form, "length")}
    if isinstance(form, FlattenedEnd):
        sizes = in_mm(form, "length", "thickness", "width", "hole")
        return {"flattened": sizes | {"hole_from_end_mm": rounded(form.at)}}
    return {}


def saw_data(setup: SawSetup | None) -> dict[str, Any]:
    """{"saw": {…}} with the keys of `SawSetup` that say something; {} where there is none."""
    if setup is None:
        return {}
    told = asdict(setup) | {"advice": setup.advice.words()}
    return {"saw": {key: value for key, value in told.items() if value is not None and key != "brief"}}


def hole_data(hole: Opening) -> dict[str, Any]:
    """One hole: whose bore, where its centre lies, its edge as [[round, along], …] and its file.

    Millimetres: round the main to the right of its top line, along it from its start's saw cut.
    """
    points = zip(hole.edge.station.tolist(), hole.edge.along.tolist(), strict=True)
    return {
        "for": hole.branch,
        "at": hole.at,
        "bore": hole.bore_size.words(),
        "bore_mm": [rounded(size) for size in hole.bore_size.values],
        "angle_deg": in_degrees(hole.angle),
        "centre_mm": [rounded(value) for value in hole.edge.centre],
        "edge": [[rounded(station), rounded(along)] for station, along in points],
        "dxf": f"wrap/{hole_name(hole)}",
    }


def drilled_data(hole: DrilledHole, first: DrilledHole) -> dict[str, Any]:
    """One hole of the job's own in one wall, places as those of `hole_data`; `first` of those alike has the file."""
    points = zip(hole.edge.station.tolist(), hole.edge.along.tolist(), strict=True)
    return {
        "number": hole.number,
        "wall": "far" if hole.far else "near",
        "vent": hole.vent,
        "bolt": hole.bolt,
        "size_mm": [rounded(size) for size in hole.size.values],
        "offset_mm": rounded(hole.offset),
        "centre_mm": [rounded(value) for value in hole.edge.centre],
        "edge": [[rounded(station), rounded(along)] for station, along in points],
        "dxf": "" if first.is_there else f"wrap/{drill_name(first)}",
    } | _slit(hole.slit)


def _slit(slit: Slit | None) -> dict[str, Any]:
    return {} if slit is None else {"slit": {"at": slit.at, "tab": slit.tab} | in_mm(slit, "width", "depth", "hole")}


def tube_bends(part: LengthPart) -> list[dict[str, Any]]:
    """The bends lengths in mm along the tube before it is bent, angles in degrees."""
    return [
        in_mm(bend, "at", "mark", "length", "radius")
        | in_deg(bend, "angle", "set_angle", "rotation")
        | {"from_top_deg": round(math.degrees(bend.from_top) % 360.0, 4) % 360.0, "former": bend.former.words()}
        for bend in part.bends
    ]


def _flat(part: FlatPart, dxf: str) -> dict[str, Any]:
    width, height = part.size
    return {
        "thickness_mm": rounded(part.thickness),
        "flat": {
            "width_mm": rounded(width),
            "height_mm": rounded(height),
            "area_mm2": rounded(part.net_area),
            "perimeter_mm": rounded(part.cut_length),
            "holes": len(part.holes),
            "dxf": dxf,
        },
        "bends": [
            {"name": b.name}
            | in_deg(b.bend, "angle")
            | {"direction": "up" if b.up else "down"}
            | in_mm(b.bend, "radius")
            | {"k": round(b.bend.k, 4)}
            | in_mm(b.bend, "allowance", "deduction")
            for b in part.bends
        ],
    }
