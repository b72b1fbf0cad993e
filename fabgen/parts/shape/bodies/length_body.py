"""A length of section as a body: the strip between its two cut lines, outside and bore, and ends beaten flat.

Everything is in mm.
"""

from __future__ import annotations

import math

import numpy as np

from fabgen.geometry.plane.outline import Circle, Outline
from fabgen.geometry.space.frame import Array, Frame
from fabgen.geometry.space.mesh import EdgedMesh, round_edges
from fabgen.geometry.tube.centreline import Turn
from fabgen.parts.piece import FlatPart, FlattenedEnd, Hole, LengthPart, WorkedEnd
from fabgen.parts.shape.sections import section_profile
from fabgen.parts.shape.sheet_body import sheet_body
from fabgen.shop.section import Section

_STEP, _FINE_STEP = 5, 3
"""A round tube has a place every so many degrees."""
BEND_STEP = math.radians(6.0)
_CREASE = 0.9
"""Cosine of the turn between two places of a section below which an edge is drawn along the tube."""


def tube_body(part: LengthPart, as_sawn: bool = False) -> EdgedMesh:
    """A tube between its cut lines, wall and bore; solid bar has closed ends.

    A cut runs square to the tube's axis through the wall, so the bore's edge lies
    as far along the tube as the skin's edge beside it.

    Args:
        part: the tube.
        as_sawn: at an end cut by a straight saw the bore's edge lies in the saw's plane instead, as it is made, and
            the section is finer, above all round its corners.
    """
    places, skin, bore = _section_places(part.section, as_sawn)
    rows = _rows(part, places)
    rings = [ring(frame, along, skin) for frame, along in rows]
    count, last = len(places), len(rows) - 1
    sharp = _sharp_places(skin)
    along = [(r * count + i, (r + 1) * count + i) for r in range(last) for i in sharp]
    around = round_edges(0, count) + round_edges(last * count, count)
    if part.section.is_solid:
        (first, near), (end, far) = rows[0], rows[-1]
        middles = [first.origin + near.mean() * first.x, end.origin + far.mean() * end.x]
        top = len(rows) * count
        lids = [(top, (i + 1) % count, i) for i in range(count)]
        lids += [(top + 1, last * count + i, last * count + (i + 1) % count) for i in range(count)]
        return EdgedMesh(
            np.vstack([*rings, middles]), np.array(_strip(len(rows), count, 0) + lids), np.array(around + along)
        )
    within = [at for _, at in rows]
    if as_sawn:
        start, finish = part.ends
        within[0] = within[0] + _sawn_beyond(start, places, skin, bore)
        within[-1] = within[-1] - _sawn_beyond(finish, places, skin, bore)
    rings += [ring(frame, at, bore) for (frame, _), at in zip(rows, within, strict=True)]
    around += round_edges(len(rows) * count, count) + round_edges((len(rows) + last) * count, count)
    return EdgedMesh(np.vstack(rings), np.array(hollow_strip(len(rows), count)), np.array(around + along))


def flattened_ends(part: LengthPart) -> list[EdgedMesh]:
    """Ends beaten or crushed flat, and what lies between the flat and the round of a tube's.

    Args:
        part: the length they are of.
    """
    flats = [_flat_end(end, end.form) for end in part.ends if isinstance(end.form, FlattenedEnd)]
    return flats + [
        _shoulder(part.section, end, end.form)
        for end in part.ends
        if isinstance(end.form, FlattenedEnd) and end.form.transition
    ]


def _section_places(section: Section, fine: bool = False) -> tuple[Array, Array, Array]:
    """Angles from the tube's top toward its right seen from the start, rad, and there the skin and bore as
    (up, right) mm; `fine`: with more places round it, and every one that there is round its corners."""
    profile = section_profile(section)
    kept = np.arange(len(profile.phi)) % (_FINE_STEP if fine else _STEP) == 0
    if not section.is_round:
        turns = (profile.inward * np.roll(profile.inward, 1, axis=0)).sum(axis=1) < 1.0 - 1e-6
        kept = (kept & ~turns & ~np.roll(turns, -1)) | turns | np.roll(turns, -1)
        if not fine:
            kept &= ~(turns & np.roll(turns, -1)) | (np.arange(len(kept)) % 3 == 0)
    skin, inward, depth = profile.skin[kept], profile.inward[kept], profile.depth[kept]
    return profile.phi[kept], skin, skin + inward * depth[:, None]


def _rows(part: LengthPart, places: Array) -> list[tuple[Frame, Array]]:
    """Where the rings stand: a frame (x along the tube, z its top) and how far along it each place lies."""
    start, finish = part.ends
    first, last = top_frame(start), top_frame(finish)
    rows = [(first, _cut_at(start, places) + start.flattened)]
    none = np.zeros(len(places))
    for stretch in part.path.stretches if part.path is not None else ():
        if isinstance(stretch, Turn):
            steps = max(2, math.ceil(stretch.angle / BEND_STEP))
            rows += [(stretch.frame_at(stretch.length * i / steps), none) for i in range(steps + 1)]
    rows.append((last, -_cut_at(finish, places) - finish.flattened))
    return rows


def top_frame(end: WorkedEnd) -> Frame:
    """The tube's own frame at an end's work point: x from start to finish, z the top line."""
    x = end.frame.x if end.at == "start" else -end.frame.x
    z = end.frame.y * math.cos(end.top) + end.frame.z * math.sin(end.top)
    return Frame(end.frame.origin, x, np.cross(z, x), z)


def _cut_at(end: WorkedEnd, places: Array) -> Array:
    """x of the cut line at angles from the top; the saw cut where the end misses its main."""
    x = end.line.x
    missing = np.isnan(x)
    filled = np.zeros_like(x) if missing.all() else np.where(missing, np.nanmin(x), x)
    phi = end.top + places if end.at == "start" else end.top - places
    return np.asarray(np.interp(phi, end.line.phi, filled, period=2.0 * math.pi))


def _sawn_beyond(end: WorkedEnd, places: Array, skin: Array, bore: Array) -> Array:
    """How much farther along the tube than the skin's edge beside it the bore's edge lies in the planes of an end's saw
    cuts, (n,) mm; nothing where it has none."""
    if not end.flats or end.line.misses:
        return np.zeros(len(places))
    x = _cut_at(end, places)
    frame = top_frame(end)
    into = frame.x if end.at == "start" else -frame.x
    levels = []
    for flat in end.flats:
        normal = flat.inward(end.frame)
        deep = float(normal @ into)
        # Of several planes each cuts where it lies farthest in: on the skin none is behind the line.
        up, left = float(normal @ frame.z), float(normal @ frame.y)
        level = float((x * deep + skin[:, 0] * up - skin[:, 1] * left).min())
        levels.append((level - bore[:, 0] * up + bore[:, 1] * left) / deep)
    return np.asarray(np.max(levels, axis=0) - x)


def flat_frame(end: WorkedEnd, form: FlattenedEnd) -> Frame:
    """Where a flattened end lies: x into the length from its end, y across the flat, z through its thickness.

    Args:
        end: of the length.
        form: the flat of that end.
    """
    way = end.top + (form.turn if end.at == "start" else -form.turn)
    up = math.cos(way) * end.frame.y + math.sin(way) * end.frame.z
    return Frame.along(end.frame.origin + end.line.longest * end.frame.x, end.frame.x, up)


def _shoulder(section: Section, end: WorkedEnd, form: FlattenedEnd) -> EdgedMesh:
    """Between a crushed end's flat and the round tube: from place to place straight."""
    frame = flat_frame(end, form)
    turn = np.arange(0.0, 2.0 * math.pi, math.pi / 24.0)
    c, s = np.cos(turn), np.sin(turn)
    flat = np.column_stack((np.full(len(turn), form.length), form.width / 2.0 * c,
                            form.thickness / 2.0 * np.clip(4.0 * s, -1.0, 1.0)))  # fmt: skip
    whole = np.full(len(turn), form.taken)
    round_ = np.column_stack((whole, section.width / 2.0 * c, section.width / 2.0 * s))
    strip = np.array(_strip(2, len(turn), 0))[:, ::-1]
    return EdgedMesh(frame.outside(np.vstack((flat, round_))), strip, np.array(round_edges(0, len(turn))))


def _flat_end(end: WorkedEnd, form: FlattenedEnd) -> EdgedMesh:
    """An end beaten flat in the plane of the bar's bends, which holds its top line, with its hole."""
    sheet = Outline.rectangle(form.length, form.width)
    holes = (Hole(Circle(form.at, form.width / 2.0, form.hole)),) if form.hole else ()
    # On the sheet x runs into the bar and y toward the bar's top line.
    frame = flat_frame(end, form)
    corner = frame.origin - form.width / 2.0 * frame.y - form.thickness / 2.0 * frame.z
    return sheet_body(FlatPart(form.thickness, sheet, holes)).in_frame(Frame(corner, frame.x, frame.y, frame.z))


def ring(frame: Frame, along: Array, skin: Array) -> Array:
    """A ring of places round a length, (n, 3).

    Args:
        frame: x along the length, z its top.
        along: how far along x each place lies, (n,) mm.
        skin: (up, right) of each place, (n, 2) mm.
    """
    return np.asarray(frame.origin + along[:, None] * frame.x + skin[:, :1] * frame.z - skin[:, 1:] * frame.y)


def _strip(rows: int, count: int, base: int) -> list[tuple[int, int, int]]:
    """The wall through rings of `count` places, seen from outside."""
    found = []
    for row in range(rows - 1):
        for i in range(count):
            j = (i + 1) % count
            a, b = base + row * count + i, base + row * count + j
            c, d = b + count, a + count
            found += [(a, b, c), (a, c, d)]
    return found


def hollow_strip(rows: int, count: int) -> list[tuple[int, int, int]]:
    """Skin, bore and both end faces through as many rings of the bore as of the skin, which come first."""
    base = rows * count
    triangles = _strip(rows, count, 0) + [(a, c, b) for a, b, c in _strip(rows, count, base)]
    for row, flip in ((0, False), (rows - 1, True)):
        for i in range(count):
            j = (i + 1) % count
            a, b, c, d = row * count + i, row * count + j, base + row * count + j, base + row * count + i
            triangles += [(a, d, c), (a, c, b)] if not flip else [(a, c, d), (a, b, c)]
    return triangles


def _sharp_places(skin: Array) -> list[int]:
    sides = np.roll(skin, -1, axis=0) - skin
    sides /= np.linalg.norm(sides, axis=1)[:, None]
    return np.flatnonzero((sides * np.roll(sides, 1, axis=0)).sum(axis=1) < _CREASE).tolist()
