"""job.json: the whole job as data (`job.schema.json` says what each key is)."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from fabgen import __version__
from fabgen.checks.finding import Finding
from fabgen.documents.data.json_figures import rounded
from fabgen.documents.data.marking_json import hole_json, saw_json
from fabgen.documents.drawing.tube.bend_table import bends_json
from fabgen.job.tables.definitions import Header
from fabgen.parts.piece import BarEnd, CutLine, FlatPart, FlattenedEnd, LengthPart, Piece, ThreadedEnd, WorkedEnd
from fabgen.plan.plan import BarPlan, Plan, Purchase


def job_json(
    header: Header,
    pieces: Sequence[Piece],
    plan: Plan,
    findings: Sequence[Finding],
    files: Sequence[str],
    dxf_paths: dict[str, str],
    more: Mapping[str, Any] | None = None,
) -> str:
    """The document as text; `dxf_paths` gives each flat part's file relative to the folder, `more` further keys."""
    document = {
        "fabgen": __version__,
        "job": {"title": header.title, "number": header.number, "units": header.units},
        "pieces": [_piece(piece, dxf_paths, header.units) for piece in pieces],
        "plan": {
            "effort": plan.effort,
            "bars": _bars(plan),
            "bills": _bills(plan),
            "sheets": _sheets(plan),
            "unplaced": [[mark, reason.words()] for mark, reason in plan.unplaced],
        },
        "shopping": [_purchase(p) for p in plan.shopping],
        "checks": [finding.data for finding in findings],
        "files": list(files),
    } | dict(more or {})
    return _written(document)


def _written(document: dict[str, Any]) -> str:
    """Indented, but each cut line in one line of text: nobody reads 360 pairs below one another."""
    lines: list[str] = []

    def kept(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: held(part) if key == "line" and part else kept(part) for key, part in value.items()}
        return [kept(part) for part in value] if isinstance(value, list | tuple) else value

    def held(pairs: Any) -> str:
        lines.append(json.dumps(pairs, allow_nan=False))
        return f"{_HELD}{len(lines) - 1}"

    text = json.dumps(kept(document), ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    return re.sub(f'"line": "{_HELD}([0-9]+)"', lambda found: f'"line": {lines[int(found[1])]}', text)


_HELD = "\N{REPLACEMENT CHARACTER}line "
"""Stands for a cut line until all else is written."""


def line_pairs(line: CutLine) -> list[list[float | None]]:
    """[[phi_deg, x_mm or null], ...]; null where the end misses its main."""
    pairs = zip(np.degrees(line.phi).tolist(), line.x.tolist(), strict=True)
    return [[round(phi, 4), None if x != x else rounded(x)] for phi, x in pairs]


def _piece(piece: Piece, dxf_paths: dict[str, str], units: str) -> dict[str, Any]:
    common: dict[str, Any] = {
        "mark": piece.mark,
        "kind": piece.kind,
        "quantity": piece.quantity,
        "material": piece.material,
        "mass_kg": round(piece.mass, 4),
    }
    shape = piece.shape
    own = _flat(shape, dxf_paths[piece.mark]) if isinstance(shape, FlatPart) else _length(shape)
    facts = {"facts": {fact.label: fact.text.words(units) for fact in piece.facts}} if piece.facts else {}
    hardware = [{"item": h.item, "spec": h.goods.words(), "quantity": h.quantity} for h in piece.hardware]
    return common | own | facts | ({"hardware": hardware} if hardware else {})


def _length(part: LengthPart) -> dict[str, Any]:
    holes = [hole_json(hole) for hole in part.holes]
    return (
        {
            "section": str(part.section),
            "length_mm": rounded(part.length),
            "axis_mm": rounded(part.axis),
            "ends": [_end(end) | saw_json(end.saw) for end in part.ends],
        }
        | ({"holes": holes} if holes else {})
        | ({"bends": bends_json(part)} if part.bends else {})
    )


def _end(end: WorkedEnd) -> dict[str, Any]:
    return {
        "at": end.at,
        "cut": end.cut,
        "onto": [seat.onto for seat in end.seats],
        "joints": [
            {"onto": j.onto, "angle_deg": round(math.degrees(j.angle), 4), "offset_mm": rounded(j.offset)}
            for j in end.seats
        ],
        "fit": end.fit,
        "top_phi_deg": round(math.degrees(end.top), 4),
        "line": line_pairs(end.line),
    } | _form(end.form)


def _form(form: BarEnd) -> dict[str, Any]:
    if isinstance(form, ThreadedEnd):
        return {"thread": {"name": form.thread.name, "hand": form.thread.hand, "length_mm": rounded(form.length)}}
    if isinstance(form, FlattenedEnd):
        sizes = {"length": form.length, "thickness": form.thickness, "width": form.width, "hole": form.hole}
        return {
            "flattened": {f"{name}_mm": rounded(size) for name, size in (sizes | {"hole_from_end": form.at}).items()}
        }
    return {}


def _flat(part: FlatPart, dxf: str) -> dict[str, Any]:
    x0, y0, x1, y1 = part.outline.bounds
    return {
        "thickness_mm": rounded(part.thickness),
        "flat": {
            "width_mm": rounded(x1 - x0),
            "height_mm": rounded(y1 - y0),
            "area_mm2": rounded(part.net_area),
            "perimeter_mm": rounded(part.cut_length),
            "holes": len(part.holes),
            "dxf": dxf,
        },
        "bends": [
            {
                "name": b.name,
                "angle_deg": round(math.degrees(b.bend.angle), 4),
                "direction": "up" if b.up else "down",
                "radius_mm": rounded(b.bend.radius),
                "k": round(b.bend.k, 4),
                "allowance_mm": rounded(b.bend.allowance),
                "deduction_mm": rounded(b.bend.deduction),
            }
            for b in part.bends
        ],
    }


def _bars(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "section": str(bar.section),
            "material": bar.material,
            "stock_mm": rounded(bar.stock),
            "count": bar.count,
            "cuts": [[cut.mark, rounded(cut.length)] for cut in bar.cuts],
            "offcut_mm": rounded(bar.offcut),
            "kerf_mm": rounded(bar.kerf),
            "end_loss_mm": rounded(bar.end_loss),
            "assumed": bar.assumed,
            "kept": bar.offcut >= plan.least_offcut,
        }
        | ({"shared_cuts": shared} if (shared := _shared(bar)) else {})
        | ({"slanted_kerf_extra_mm": rounded(extra)} if (extra := sum(cut.extra for cut in bar.cuts)) else {})
        | ({"rack_marks": list(bar.rack_marks)} if bar.rack_marks else {})
        for bar in plan.bars
    ]


def _shared(bar: BarPlan) -> list[dict[str, Any]]:
    """Saw cuts that end one piece and begin the next: which pieces of the bar, counted from 0."""
    return [
        {"between": [i - 1, i], "from_square_deg": round(cut.shared, 1), "saved_mm": rounded(cut.saved)}
        for i, cut in enumerate(bar.cuts)
        if cut.shared
    ]


def _bills(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "section": str(bill.section),
            "material": bill.material,
            "of": "price" if bill.priced else "mm",
            "bill": round(bill.bill, 2),
            "bound": round(bill.bound, 2),
            "proven_least": bill.proven,
        }
        for bill in plan.bills
    ]


def _sheets(plan: Plan) -> list[dict[str, Any]]:
    return [
        {
            "material": sheet.material,
            "thickness_mm": rounded(sheet.thickness),
            "size_mm": [rounded(s) for s in sheet.size],
            "placed": [[p.mark, rounded(p.x), rounded(p.y), p.turn] for p in sheet.placed],
            "used": round(sheet.used, 4),
            "assumed": sheet.assumed,
        }
        | ({"rack_marks": list(sheet.rack_marks)} if sheet.rack_marks else {})
        | ({"instead_of_mm": [rounded(s) for s in sheet.instead_of]} if sheet.instead_of else {})
        for sheet in plan.sheets
    ]


def _purchase(purchase: Purchase) -> dict[str, Any]:
    line: dict[str, Any] = {
        "item": purchase.item,
        "spec": purchase.spec,
        "quantity": purchase.quantity,
        "unit": purchase.unit,
    }
    if purchase.price is not None:
        line["price"] = purchase.price
    return line
